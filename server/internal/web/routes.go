package web

import (
	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
)

const syncPath = "/api/sync"

// routes is the table of every route. Nothing is served that is not here.
func (s *Server) routes() []route {
	get, post, del := fiber.MethodGet, fiber.MethodPost, fiber.MethodDelete
	rows := []route{
		{get, "/", access.Anyone, "The family's app.", nil, nil, page("index.html")},
		{get, "/join", access.Anyone, "The family's app, at the invitation.", nil, nil, page("index.html")},
		{get, "/clinic", access.Anyone, "The clinic's console.", nil, nil, page("clinic.html")},
		{get, "/staff", access.Anyone, "The clinic's console, at a sign-in link.", nil, nil, page("clinic.html")},
		{get, "/sw.js", access.Anyone, "The service worker.", nil, nil, file("sw.js")},
		{get, "/manifest.webmanifest", access.Anyone, "The web app manifest.", nil, nil, file("manifest.webmanifest")},
		{get, "/icons/*", access.Anyone, "Icons.", nil, nil, (*call).static},
		{get, "/v/*", access.Anyone, "Content-hashed files of the app.", nil, nil, (*call).static},
		{get, "/healthz", access.Anyone, "Whether store, outbox, clock and disk are well; for machines.", nil, health{}, (*call).health},
		{get, "/api/openapi.json", access.Anyone, "This description.", nil, map[string]any{}, (*call).openAPI},

		{post, "/api/join", access.Anyone, "Use an invitation up and get this device's credential as a cookie.", joinRequest{}, joinReply{}, (*call).join},
		{get, "/api/family", access.FamilyOnly, "The family as this device may see it.", nil, familyView{}, (*call).family},
		{post, "/api/reminders", access.FamilyOnly, "Choose who is reminded first and what a locked phone shows.", remindersRequest{}, done{}, (*call).saveReminders},
		{post, syncPath, access.FamilyOnly, "Send entries, get verdicts and the changes since a cursor.", intake.Request{}, intake.Reply{}, (*call).sync},
		{post, "/api/push/subscription", access.AnyDevice, "Store where Web Push messages for this device go.", store.Subscription{}, done{}, (*call).subscribe},
		{del, "/api/push/subscription", access.AnyDevice, "Forget this device's subscription.", nil, done{}, (*call).unsubscribe},
		{post, "/api/push/test", access.AnyDevice, "Send this device a test notification.", nil, done{}, (*call).pushTest},
		{post, "/api/receipts", access.AnyDevice, "The service worker reports that a notification was shown or opened.", receipt{}, done{}, (*call).receipt},
	}
	rows = append(rows, s.clinicRoutes()...)
	rows = append(rows, s.interopRoutes()...)
	rows = append(rows, s.accessRoutes()...)
	rows = append(rows, s.settingsRoutes()...)
	return append(rows, route{get, "/demo/:who", access.DemoVisitor, "Sign this browser in as a person of the demo.", nil, nil, (*call).demoSignIn})
}

// done is the reply of a route that has nothing to say but that it is done.
type done struct {
	OK bool `json:"ok"`
}
