package transport

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
)

// refuseFamilies keeps families' phones and calendars away from a rehearsal.
func refuseFamilies(c *fiber.Ctx) error {
	for _, p := range []string{SyncPath, "/api/join", "/api/family", "/api/reminders", "/calendar/"} {
		if c.Path() == p || strings.HasPrefix(c.Path(), p) && strings.HasSuffix(p, "/") {
			return care.Errorf(care.Unavailable, "rehearsal", "this is a rehearsal of the practice: please use its own address")
		}
	}
	return c.Next()
}
