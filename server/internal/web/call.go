package web

import (
	"encoding/json"
	"net/url"
	"strings"
	"sync"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// The two cookies. A browser may hold both: a practitioner can be a parent.
const (
	familyCookie = "nightkeep_device"
	staffCookie  = "nightkeep_staff"
)

// call is one request with its caller.
type call struct {
	*fiber.Ctx
	srv    *Server
	caller store.Caller // zero for routes open to anyone
}

// route is one row of the table from which the router and the OpenAPI
// description are both made.
type route struct {
	method, path string
	who          access.Who
	doc          string
	in           any // example of the request body's type; nil for none
	out          any // example of the reply's type; nil for a page
	handler      func(*call) error
}

func (s *Server) handle(r route) fiber.Handler {
	return func(ctx *fiber.Ctx) error {
		start := time.Now()
		err := s.answer(&call{Ctx: ctx, srv: s}, r)
		status := ctx.Response().StatusCode()
		if err != nil {
			status, _ = shape(err)
		}
		s.gates.figures.add(figure{r.method, r.path, status}, time.Since(start))
		return err
	}
}

func (s *Server) answer(c *call, r route) error {
	if err := c.authorise(r); err != nil {
		return err
	}
	if err := c.awake(r.path); err != nil {
		return err
	}
	return r.handler(c)
}

// authorise finds the caller and holds them against the authorisation table.
func (c *call) authorise(r route) error {
	who := r.who
	if who == access.DemoVisitor && c.srv.Demo == nil {
		return notFound(c.Path())
	}
	if access.Allowed(who, "") {
		return nil
	}
	var names []string
	if access.Allowed(who, care.Parent) {
		names = append(names, familyCookie)
	}
	if access.Allowed(who, care.Clinician) || access.Allowed(who, care.Administrator) {
		names = append(names, staffCookie)
	}
	return c.srv.DB.View(func(tx *store.Tx) error {
		var err error
		for _, name := range names {
			c.caller, err = tx.CallerOf(c.Cookies(name), r.path == receiptsPath)
			if err != nil {
				continue
			}
			if !access.Allowed(who, c.caller.Person.Role) {
				err = care.Errorf(care.Forbidden, "not-allowed", "your role may not do this")
				continue
			}
			return nil
		}
		return err
	})
}

// read decodes the JSON body strictly.
func (c *call) read(v any) error {
	if ct := c.Get(fiber.HeaderContentType); !strings.HasPrefix(ct, fiber.MIMEApplicationJSON) {
		return care.Refuse("bad-content-type", "", "want a body of type application/json")
	}
	dec := json.NewDecoder(strings.NewReader(string(c.Body())))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-body", Text: "the body is not what this route takes: " + err.Error()}
	}
	return nil
}

// reply sends JSON that no cache keeps.
func (c *call) reply(v any) error {
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.JSON(v)
}

// setCookie gives the browser a token. How long it lasts is told as a span, so
// that a browser whose clock is wrong keeps it as long.
func (c *call) setCookie(name, token string, expires time.Time) {
	c.Cookie(&fiber.Cookie{
		Name: name, Value: token, Path: "/", MaxAge: int(expires.Sub(c.srv.Now()).Seconds()),
		HTTPOnly: true, Secure: c.srv.Secure, SameSite: fiber.CookieSameSiteLaxMode,
	})
}

// csp allows our own files only: no inline script, no third party.
const csp = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'; trusted-types nightkeep"

// harden sets the headers of every reply and refuses writes from other sites.
func (s *Server) harden(c *fiber.Ctx) error {
	c.Set("Content-Security-Policy", csp)
	c.Set("X-Content-Type-Options", "nosniff")
	c.Set("Referrer-Policy", "no-referrer")
	c.Set("Cross-Origin-Opener-Policy", "same-origin")
	c.Set("Cross-Origin-Resource-Policy", "same-origin")
	c.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
	if s.Secure {
		c.Set("Strict-Transport-Security", "max-age=31536000")
	}
	if len(c.Request().Body()) > maxBody {
		return care.Errorf(care.TooLarge, "body-too-large", "a request body takes at most %d bytes, this one has %d", maxBody, len(c.Request().Body()))
	}
	if m := c.Method(); m != fiber.MethodGet && m != fiber.MethodHead && !sameSite(c) {
		return care.Errorf(care.Forbidden, "other-site", "writes are accepted from this site's own pages only")
	}
	return c.Next()
}

// sameSite reports whether a write comes from our own pages, or from a program
// that is not a browser and so carries nobody's cookies by accident.
func sameSite(c *fiber.Ctx) bool {
	if site := c.Get("Sec-Fetch-Site"); site != "" {
		return site == "same-origin" || site == "none"
	}
	origin := c.Get(fiber.HeaderOrigin)
	if origin == "" {
		return true
	}
	u, err := url.Parse(origin)
	return err == nil && u.Host == string(c.Request().Host())
}

// limiter counts tries per key in fixed windows; it forgets old windows.
type limiter struct {
	mu     sync.Mutex
	most   int
	window time.Duration
	start  time.Time
	tries  map[string]int
}

func newLimiter(most int, window time.Duration) *limiter {
	return &limiter{most: most, window: window, tries: map[string]int{}}
}

// allow notes a try and reports whether it is within the limit.
func (l *limiter) allow(key string, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if now.Sub(l.start) >= l.window || now.Before(l.start) {
		l.start, l.tries = now, map[string]int{}
	}
	l.tries[key]++
	return l.tries[key] <= l.most
}
