package transport

import (
	"net/url"
	"strings"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
)

// csp allows our own files only: no inline script but the one a page is served
// with by its hash, no third party.
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
	if m := c.Method(); m != fiber.MethodGet && m != fiber.MethodHead && !s.sameSite(c) {
		return care.Errorf(care.Forbidden, "other-site", "writes are accepted from this site's own pages only")
	}
	done, err := s.readBody(c)
	if err != nil {
		return err
	}
	defer done()
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
// that is not a browser and so carries nobody's cookies by accident. Behind a
// proxy that does not pass the host on, ours is the one in the base URL.
func (s *Server) sameSite(c *fiber.Ctx) bool {
	if site := c.Get("Sec-Fetch-Site"); site != "" {
		return site == "same-origin" || site == "none"
	}
	origin := c.Get(fiber.HeaderOrigin)
	if origin == "" {
		return true
	}
	u, err := url.Parse(origin)
	return err == nil && u.Host != "" && (u.Host == string(c.Request().Host()) || origin == s.BaseURL)
}
