package transport

import (
	"strings"

	"github.com/gofiber/fiber/v2"
)

// page serves a named file of the site.
func page(name string) func(*Call) error {
	return func(c *Call) error { return c.serve(name) }
}

func (c *Call) static() error { return c.serve(strings.TrimPrefix(c.Path(), "/")) }

// serve answers with a file of the site in the best encoding the browser
// takes, or 304.
func (c *Call) serve(path string) error {
	if c.Srv.Asset == nil {
		return notFound(c.Path())
	}
	f, ok := c.Srv.Asset(path)
	if !ok {
		return notFound(c.Path())
	}
	c.Set(fiber.HeaderContentType, f.ContentType)
	c.Set(fiber.HeaderCacheControl, f.CacheControl)
	c.Set(fiber.HeaderETag, f.ETag)
	if f.Inline != "" {
		c.Set("Content-Security-Policy", strings.Replace(csp, "script-src 'self'", "script-src 'self' "+f.Inline, 1))
	}
	c.Set(fiber.HeaderVary, fiber.HeaderAcceptEncoding)
	if c.Get(fiber.HeaderIfNoneMatch) == f.ETag {
		return c.SendStatus(fiber.StatusNotModified)
	}
	accepts := c.Get(fiber.HeaderAcceptEncoding)
	for _, enc := range []struct {
		name string
		body []byte
	}{{"br", f.Brotli}, {"gzip", f.Gzip}} {
		if enc.body != nil && strings.Contains(accepts, enc.name) {
			c.Set(fiber.HeaderContentEncoding, enc.name)
			return c.Send(enc.body)
		}
	}
	return c.Send(f.Body)
}
