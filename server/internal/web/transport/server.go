// Package transport is what every room of the HTTP face stands on: the caller
// and what they may, one request, one error shape, limits, sessions, cookies,
// strict JSON, the app's files, health and figures. It knows no route of a room.
package transport

import (
	"fmt"
	"log/slog"
	"net/netip"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/watch"
)

// Limits of the HTTP face. Fiber has none by default.
const (
	maxBody     = 256 << 10        // bytes; four times the batch a phone sends
	readTimeout = 15 * time.Second // for one request, header and body
	idleTimeout = 75 * time.Second
	// WriteTimeout is how long one reply, or one piece of a long one, may take.
	WriteTimeout = 30 * time.Second
)

// Site is what the HTTP face is told of the program it is part of.
type Site struct {
	Intake  *intake.Intake
	Asset   func(path string) (Asset, bool) // files of the app; nil in tests without pages
	Push    Pusher
	Now     func() time.Time
	Log     *slog.Logger
	BaseURL string // as people reach it, without a final slash
	Secure  bool   // cookies only over TLS
	Demo    *Demo  // nil outside the demo
	Contact string // mail address of whoever runs the server; may be empty
	// TestMail sends a test mail with a number to an address and returns nil once
	// the mail server has taken it; nil when no mail server is set.
	TestMail func(to, number string) error
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
}

// Asset is one file of the app with its precompressed forms, which may be nil.
type Asset struct {
	Inline                          string // the script of its own that a page may run, as a policy names it
	ContentType, CacheControl, ETag string
	Body, Brotli, Gzip              []byte
}

// Pusher tells devices; see package push.
type Pusher interface {
	// PublicKey returns the VAPID public key, base64url.
	PublicKey() string
	// Check refuses a subscription that could never be sent to: its address must not
	// be posted to, or its keys are none.
	Check(s register.Subscription) error
	// Test sends a test message to a subscription and returns nil once the push
	// service has taken it; a [care.Conflict] error when it is gone for good.
	Test(s register.Subscription) error
}

// Server is what the rooms share. The store is not theirs to write to but
// through [Call.Update], which asks again whether the caller still may.
type Server struct {
	*Site
	db             *store.DB
	tries, unknown *Limiter
	crowds         *Limiter    // lines of the log
	requests       *quota.Book // of a family's devices
	bodies         *bodies
	figures        figures
}

// New returns a server over a store; what changes in site later counts.
func New(db *store.DB, site *Site) *Server {
	return &Server{
		Site: site, db: db, crowds: NewLimiter(1, time.Minute), tries: NewLimiter(triesAMinute, time.Minute), unknown: NewLimiter(unknownAMinute, time.Minute),
		requests: quota.NewBook(requestsOfDevice), bodies: newBodies(bodiesInAll, bodiesOfOne),
	}
}

// View reads from the store.
func (s *Server) View(f func(*store.Tx) error) error { return s.db.View(f) }

// Unreadable returns the stored records that are set aside.
func (s *Server) Unreadable() []pairs.Unreadable { return s.db.Unreadable() }

// App returns the Fiber application that answers the routes of the rooms and our
// own, and no others. It panics when a route is of a class of callers that the
// authorisation table does not know: such a program does not start.
func (s *Server) App(rooms []Route) *fiber.App {
	app := fiber.New(fiber.Config{
		AppName: "nightkeep", DisableStartupMessage: true, Immutable: true,
		CaseSensitive: true,                                                                 // a proxy's rule about a path is one about all of its requests
		BodyLimit:     maxBody, StreamRequestBody: true, DisablePreParseMultipartForm: true, // see bodies.go
		ReadTimeout: readTimeout, WriteTimeout: WriteTimeout, IdleTimeout: idleTimeout,
		ErrorHandler: s.fail,
	})
	app.Use(s.harden)
	if s.Rehearsal {
		app.Use(refuseFamilies)
	}
	for _, r := range s.all(rooms) {
		if !access.Known(r.who) {
			panic(fmt.Sprintf("%s %s is for callers of the class %q, which the authorisation table does not know", r.method, r.path, r.who))
		}
		app.Add(r.method, r.path, s.handle(r))
		if r.method == fiber.MethodGet {
			app.Add(fiber.MethodHead, r.path, s.handle(r)) // RFC 9110 section 9.3.2: as GET, without the content
		}
	}
	app.Use(func(c *fiber.Ctx) error { return notFound(c.Path()) })
	s.refuseUnheard(app)
	// Of a body one byte is read before we are asked: else eight KiB of each would be
	// waited for, whatever length it says.
	app.Server().HeaderReceived = func(*fasthttp.RequestHeader) fasthttp.RequestConfig {
		return fasthttp.RequestConfig{MaxRequestBodySize: 1}
	}
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
