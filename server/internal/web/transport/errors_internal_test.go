package transport

import (
	"bytes"
	"errors"
	"log/slog"
	"net"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"
	"github.com/valyala/fasthttp"
)

// A connection that is cut before its request has come is no fault of the server's: it
// leaves no error in the log, which somebody would go after. What the server itself
// fails on does.
func TestACutConnectionIsNoErrorOfOurs(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		err    error
		status int
		logged bool
	}{
		"cut":       {&net.OpError{Op: "read", Err: net.ErrClosed}, 400, false},
		"too slow":  {&net.OpError{Op: "read", Err: timeout{}}, 408, false},
		"our fault": {errors.New("no such table"), 500, true},
	} {
		var log bytes.Buffer
		s := New(nil, &Site{Now: time.Now, Log: slog.New(slog.NewTextHandler(&log, nil))})
		app := fiber.New(fiber.Config{ErrorHandler: s.fail})
		ctx := &fasthttp.RequestCtx{}
		if c.logged {
			app.Get("/", func(*fiber.Ctx) error { return c.err })
			app.Handler()(ctx)
		} else {
			app.Server().ErrorHandler(ctx, c.err) // as the HTTP server does when it cannot read a request
		}
		if ctx.Response.StatusCode() != c.status || (log.Len() > 0) != c.logged {
			t.Errorf("%s: answered %d, want %d; logged %q, want a line: %t", name, ctx.Response.StatusCode(), c.status, log.String(), c.logged)
		}
	}
}

type timeout struct{}

func (timeout) Error() string   { return "too slow" }
func (timeout) Timeout() bool   { return true }
func (timeout) Temporary() bool { return true }
