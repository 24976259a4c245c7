package web

import (
	"encoding/json"
	"mime"
	"net/url"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"

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
	caller store.Caller  // zero for routes open to anyone
	token  string        // by which the caller was known
	over   time.Duration // how long the device must wait that has made too many requests
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
	if err := c.moderate(r.path); err != nil {
		return err
	}
	if err := c.awake(r.path); err != nil {
		return err
	}
	if err := r.handler(c); err != nil {
		return err
	}
	c.pack()
	return nil
}

// packAbove is the size in bytes from which a reply of JSON is compressed: a
// phone on slow 4G (1.6 Mbit/s) receives this much in about 40 ms. Smaller
// replies, those of a phone that is up to date, cost no time of the server.
const packAbove = 8 << 10

var gzipped = fasthttp.CompressHandlerLevel(func(*fasthttp.RequestCtx) {}, fasthttp.CompressBestSpeed)

// pack compresses a large reply of JSON for a caller that takes gzip. Its length
// is no help in guessing what is in it (the attack called BREACH): that needs a
// reply that repeats what another site put into the request, and requests with
// a body are refused when they come from other sites.
func (c *call) pack() {
	res := c.Response()
	if res.IsBodyStream() || len(res.Body()) < packAbove || !strings.HasPrefix(string(res.Header.ContentType()), fiber.MIMEApplicationJSON) {
		return
	}
	c.Vary(fiber.HeaderAcceptEncoding)
	gzipped(c.Context())
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
			c.token = c.cookie(name)
			c.caller, err = tx.CallerOf(c.token, r.path == receiptsPath)
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

// update writes on behalf of the caller. Whether they may still is asked inside
// the transaction: what was true when the request came may have changed since.
func (c *call) update(f func(*store.Tx) error) error { return c.srv.DB.Update(c.asCaller(f)) }

// write is update for what may share a commit with others; f may run again.
func (c *call) write(f func(*store.Tx) error) error {
	return c.srv.DB.WriteFor(string(c.caller.Person.Family), false, c.asCaller(f))
}

func (c *call) asCaller(f func(*store.Tx) error) func(*store.Tx) error {
	return func(tx *store.Tx) error {
		if c.caller.Device.ID != "" {
			if err := tx.Still(c.caller); err != nil {
				return err
			}
		}
		return f(tx)
	}
}

// moderate refuses a family's device that makes very many requests. Sync decides
// for itself, because a first symptom report is never refused.
func (c *call) moderate(path string) error {
	if c.caller.Person.Family == "" {
		return nil
	}
	c.over = c.srv.gates.requests.Take(c.srv.Now(), string(c.caller.Device.ID), 1)
	if c.over == 0 || path == syncPath {
		return nil
	}
	return care.Later("too-many-requests", c.over, "this phone asks very often; wait a little")
}

// read decodes the JSON body strictly.
func (c *call) read(v any) error {
	if kind, _, err := mime.ParseMediaType(c.Get(fiber.HeaderContentType)); err != nil || kind != fiber.MIMEApplicationJSON {
		return care.Refuse("bad-content-type", "", "want a body of type application/json")
	}
	dec := json.NewDecoder(strings.NewReader(string(c.Body())))
	dec.DisallowUnknownFields()
	err := dec.Decode(v)
	if err == nil {
		err = strict(c.Body())
	}
	if err != nil {
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
// that a browser whose clock is wrong keeps it as long; one in the past takes
// the cookie away.
func (c *call) setCookie(name, token string, expires time.Time) {
	f := &fiber.Cookie{
		Name: c.srv.cookieName(name), Value: token, Path: "/", HTTPOnly: true, Secure: c.srv.Secure, SameSite: fiber.CookieSameSiteLaxMode,
	}
	if f.MaxAge = int(expires.Sub(c.srv.Now()).Seconds()); f.MaxAge <= 0 {
		f.MaxAge, f.Expires = 0, expires
	}
	c.Cookie(f)
}

// cookie returns the token a browser holds; empty when it has none.
func (c *call) cookie(name string) string { return c.Cookies(c.srv.cookieName(name)) }

// cookieName adds the prefix by which a browser takes the cookie from this very
// host and over TLS only, so that no neighbouring site can plant one (RFC
// 6265bis, 4.1.3.2; OWASP ASVS 3.4.4).
func (s *Server) cookieName(name string) string {
	if s.Secure {
		return "__Host-" + name
	}
	return name
}

// csp allows our own files only: no inline script, no third party.
const csp = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'; trusted-types nightkeep"

// harden sets the headers of every reply and refuses writes from other sites.
// An encoded body is refused unread: unpacked, a few bytes can fill the memory.
func (s *Server) harden(c *fiber.Ctx) error {
	s.headers(c)
	if strings.HasPrefix(c.Path(), "/api/") {
		c.Set(fiber.HeaderCacheControl, "no-store")
	}
	if enc := c.Get(fiber.HeaderContentEncoding); enc != "" && enc != "identity" {
		return care.Refuse("bad-encoding", "", "want a body that is not compressed")
	}
	if n := len(c.Request().Body()); n > maxBody {
		return care.Errorf(care.TooLarge, "body-too-large", "a request body takes at most %d bytes, this one has %d", maxBody, n)
	}
	if m := c.Method(); m != fiber.MethodGet && m != fiber.MethodHead && !sameSite(c) {
		return care.Errorf(care.Forbidden, "other-site", "writes are accepted from this site's own pages only")
	}
	return c.Next()
}

func (s *Server) headers(c *fiber.Ctx) {
	c.Set("Content-Security-Policy", csp)
	c.Set("X-Content-Type-Options", "nosniff")
	c.Set("Referrer-Policy", "no-referrer")
	c.Set("Cross-Origin-Opener-Policy", "same-origin")
	c.Set("Cross-Origin-Resource-Policy", "same-origin")
	c.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
	if s.Secure {
		c.Set("Strict-Transport-Security", "max-age=31536000")
	}
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
