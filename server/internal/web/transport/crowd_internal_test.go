package transport

import (
	"bytes"
	"log/slog"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"
)

// A crowd of bodies that do not fit writes one line of the log a minute, and every other
// fault of the server its own.
func TestACrowdWritesOneLineAMinute(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	var out bytes.Buffer
	s := New(nil, &Site{Log: slog.New(slog.NewTextHandler(&out, nil)), Now: func() time.Time { return now }})
	app := fiber.New(fiber.Config{ErrorHandler: s.fail, DisableStartupMessage: true})
	app.Get("/crowd", func(*fiber.Ctx) error { return errCrowded })
	app.Get("/fault", func(*fiber.Ctx) error { return fiber.ErrInternalServerError })
	for _, step := range []struct {
		path  string
		lines int
	}{{"/crowd", 1}, {"/crowd", 1}, {"/fault", 2}, {"/fault", 3}, {"/crowd", 3}} {
		if _, err := app.Test(httptest.NewRequest("GET", step.path, nil)); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(out.String(), "request failed"); n != step.lines {
			t.Errorf("after %s: %d lines, want %d", step.path, n, step.lines)
		}
	}
	now = now.Add(time.Minute)
	if _, err := app.Test(httptest.NewRequest("GET", "/crowd", nil)); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out.String(), "request failed"); n != 4 {
		t.Errorf("a minute later: %d lines, want 4", n)
	}
}
