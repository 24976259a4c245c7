package transport

import (
	"slices"
	"sync"

	"nightkeep/server/internal/access"
)

// all returns our own routes, which name nobody, and those of the rooms.
func (s *Server) all(rooms []Route) []Route {
	t := Table[*Call](func(c *Call) *Call { return c })
	own := []Route{
		t.Get("/", access.Anyone, "The family's app.", nil, page("index.html")),
		t.Get("/join", access.Anyone, "The family's app, at the invitation.", nil, page("index.html")),
		t.Get("/clinic", access.Anyone, "The clinic's console.", nil, page("clinic.html")),
		t.Get("/staff", access.Anyone, "The clinic's console, at a sign-in link.", nil, page("clinic.html")),
		t.Get("/sw.js", access.Anyone, "The service worker.", nil, page("sw.js")),
		t.Get("/manifest.webmanifest", access.Anyone, "The web app manifest.", nil, page("manifest.webmanifest")),
		t.Get("/icons/*", access.Anyone, "Icons.", nil, (*Call).static),
		t.Get("/v/*", access.Anyone, "Content-hashed files of the app.", nil, (*Call).static),
		t.Get("/healthz", access.Anyone, "Whether store, outbox, clock and disk are well; for machines.", health{}, (*Call).health),
		t.Get("/plain", access.Anyone, "What to do in a browser that cannot run the app, and the practice's numbers.", nil, (*Call).plain),
		t.Get("/status", access.Anyone, "How the server is, for people.", nil, (*Call).status),
		t.Get("/notices", access.Anyone, "The licences of what the program is built with.", nil, (*Call).notices),
		t.Get("/metrics", access.Anyone, "Figures in the text format of Prometheus; for this machine or with the token.", nil, (*Call).metrics),
		t.Get("/demo/:who", access.DemoVisitor, "Sign this browser in as a person of the demo.", nil, (*Call).demoSignIn),
	}
	every := slices.Concat(own, rooms)
	describe := sync.OnceValue(func() map[string]any { return OpenAPI(every) })
	every = append(every, t.Get("/api/openapi.json", access.Anyone, "This description.", map[string]any{}, func(c *Call) error {
		return c.Reply(describe())
	}))
	return every
}
