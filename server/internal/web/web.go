// Package web is the HTTP face: routes, one file per resource. It turns a
// request into a call on the domain and an error kind into a status, in one
// place each. It refuses to hold rules of care.
package web

import (
	"log/slog"
	"net/netip"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/watch"
)

// Limits of the HTTP face. Fiber has none by default.
const (
	maxBody      = 256 << 10        // bytes; four times the batch a phone sends
	hardLimit    = 4 << 20          // bytes; beyond it the connection is cut instead of answered
	readTimeout  = 15 * time.Second // for one request, header and body
	writeTimeout = 30 * time.Second
	idleTimeout  = 75 * time.Second
)

// Server is the HTTP face of one practice.
type Server struct {
	DB      *store.DB
	Intake  *intake.Intake
	Asset   func(path string) (Asset, bool) // files of the app; nil in tests without pages
	Push    Pusher
	Now     func() time.Time
	Log     *slog.Logger
	BaseURL string // as people reach it, without a final slash
	Secure  bool   // cookies only over TLS
	Demo    *Demo  // nil outside the demo
	HasMail bool   // a mail server is set
	// Rehearsal refuses families' phones: they must not meet a copy's epoch.
	Rehearsal bool
	// Facts returns what the program knows about itself and its machine; what the
	// store knows is added here. Nil: nothing.
	Facts func() watch.Facts
	// TrustedProxies are the proxies whose forwarded addresses are believed.
	TrustedProxies []netip.Prefix
	// MetricsToken is what /metrics asks for; empty: this machine only, and only
	// while the server is not published.
	MetricsToken string
	gates        *gates
	roll         roll
}

// Asset is one file of the app with its precompressed forms, which may be nil.
type Asset struct {
	ContentType, CacheControl, ETag string
	Body, Brotli, Gzip              []byte
}

// Pusher tells devices; see package push.
type Pusher interface {
	// PublicKey returns the VAPID public key, base64url.
	PublicKey() string
	// CheckEndpoint refuses an address that must not be posted to.
	CheckEndpoint(endpoint string) error
	// Test sends a test message to a subscription and returns nil once the push
	// service has taken it; a [care.Conflict] error when it is gone for good.
	Test(s store.Subscription) error
}

// App returns the Fiber application.
func (s *Server) App() *fiber.App {
	s.gates = newGates()
	app := fiber.New(fiber.Config{
		AppName: "nightkeep", DisableStartupMessage: true, Immutable: true,
		BodyLimit: hardLimit, ReadTimeout: readTimeout, WriteTimeout: writeTimeout, IdleTimeout: idleTimeout,
		ErrorHandler: s.fail,
	})
	app.Use(s.harden)
	if s.Rehearsal {
		app.Use(refuseFamilies)
	}
	for _, r := range s.routes() {
		app.Add(r.method, r.path, s.handle(r))
	}
	app.Use(func(c *fiber.Ctx) error { return notFound(c.Path()) })
	s.refuseUnheard(app)
	return app
}

// refuseUnheard answers a method that Fiber does not know as every other bad
// request: Fiber itself writes a bare line without headers, past all middleware.
func (s *Server) refuseUnheard(app *fiber.App) {
	next := app.Server().Handler
	app.Server().Handler = func(r *fasthttp.RequestCtx) {
		if slices.Contains(fiber.DefaultMethods, string(r.Method())) {
			next(r)
			return
		}
		c := app.AcquireCtx(r)
		defer app.ReleaseCtx(c)
		_ = s.fail(c, fiber.ErrBadRequest) // writing JSON to memory cannot fail
	}
}
