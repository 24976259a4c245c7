package transport

import (
	"net/http"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/store"
)

// Route is one row of the table from which the router and the OpenAPI
// description are both made.
type Route struct {
	method, path string
	who          access.Who
	doc          string
	in           any // example of the request body's type; nil for none
	out          any // example of the reply's type; nil for a page
	handler      func(*Call) error
}

// Table writes the routes of one room. C is the room's own kind of call, made by
// the function from one of ours.
type Table[C any] func(*Call) C

func (t Table[C]) row(method, path string, who access.Who, doc string, in, out any, h func(C) error) Route {
	return Route{method, path, who, doc, in, out, func(c *Call) error { return h(t(c)) }}
}

// Get returns a route that reads.
func (t Table[C]) Get(path string, who access.Who, doc string, out any, h func(C) error) Route {
	return t.row(fiber.MethodGet, path, who, doc, nil, out, h)
}

// Post returns a route that adds or does something; in is nil without a body.
func (t Table[C]) Post(path string, who access.Who, doc string, in, out any, h func(C) error) Route {
	return t.row(fiber.MethodPost, path, who, doc, in, out, h)
}

// Put returns a route that replaces.
func (t Table[C]) Put(path string, who access.Who, doc string, in, out any, h func(C) error) Route {
	return t.row(fiber.MethodPut, path, who, doc, in, out, h)
}

// Delete returns a route that removes.
func (t Table[C]) Delete(path string, who access.Who, doc string, out any, h func(C) error) Route {
	return t.row(fiber.MethodDelete, path, who, doc, nil, out, h)
}

func (s *Server) handle(r Route) fiber.Handler {
	return func(ctx *fiber.Ctx) error {
		start := time.Now()
		err := s.answer(&Call{Ctx: ctx, Srv: s}, r)
		status := ctx.Response().StatusCode()
		if err != nil {
			status, _ = shape(err)
		}
		// Of a full disk, which is no fault of ours, the store knows when it is over.
		if r.path == SyncPath && (status == http.StatusInternalServerError || store.Faulted(err)) {
			s.Intake.Storing.Failed(s.Now())
		}
		s.figures.add(figure{r.method, r.path, status}, time.Since(start))
		return err
	}
}

func (s *Server) answer(c *Call, r Route) error {
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
