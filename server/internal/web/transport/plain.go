package transport

import (
	"html/template"
	"regexp"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// plain is the page for a browser that cannot run the app: what to do, and the
// numbers of the practice. It needs no script.
func (c *Call) plain() error {
	var asset Asset
	ok := c.Srv.Asset != nil
	if ok {
		asset, ok = c.Srv.Asset("plain.html")
	}
	if !ok {
		return notFound(c.Path())
	}
	page, err := template.New("plain").Funcs(template.FuncMap{"dial": dial}).Parse(string(asset.Body))
	if err != nil {
		return err
	}
	var practice care.Practice
	if err := c.View(func(tx *store.Tx) (err error) { practice, err = tx.Register().Practice(); return err }); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, asset.ContentType)
	c.Set(fiber.HeaderCacheControl, "no-store")
	return page.Execute(c.Ctx, practice.Contacts)
}

// notDialled is what a number is written with and no telephone dials, as in
// pwa/ui/tel.js.
var notDialled = regexp.MustCompile(`[^\d+*#]`)

// dial is a number as it stands in a tel: link (RFC 3966).
func dial(number string) string { return notDialled.ReplaceAllString(number, "") }
