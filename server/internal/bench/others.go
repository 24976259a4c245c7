package bench

import (
	"context"
	"errors"
	"fmt"

	"github.com/gofiber/fiber/v2"
)

// other is a database that this program does not use, behind the same bare
// Fiber handler as the baseline: one durable commit for each request.
type other struct {
	name  string
	least float64 // of its rate that ours must reach
	put   func(ctx context.Context, k, v []byte) error
	close func() error
	host  *host
	rate  []float64
}

var errNoOthers = errors.New("this build carries no other database: want go run -tags compare ./server/bench, with -sqlite or -postgres")

// others opens the databases that the options name, the first time it is asked.
func (r *run) others() ([]*other, error) {
	if r.rest != nil {
		return r.rest, nil
	}
	r.rest = []*other{}
	if !r.opt.SQLite {
		r.skip("1 ingest: beside SQLite, which -sqlite adds to a build with -tags compare")
	}
	if r.opt.Postgres == "" {
		r.skip("1 ingest: beside PostgreSQL, which -postgres adds to a build with -tags compare")
	}
	if !r.opt.SQLite && r.opt.Postgres == "" {
		return r.rest, nil
	}
	dir, err := r.folder("others")
	if err != nil {
		return nil, err
	}
	list, err := openOthers(r.ctx, r.opt, dir)
	r.rest = append(r.rest, list...)
	if err != nil {
		return nil, err
	}
	for _, o := range r.rest {
		if o.host, err = serve(o.app()); err != nil {
			return nil, err
		}
	}
	return r.rest, nil
}

// app answers POST /push/:family/:seq as the baseline does.
func (o *other) app() *fiber.App {
	app := fiber.New(fiber.Config{DisableStartupMessage: true, Immutable: true})
	app.Post("/push/:family/:seq", func(c *fiber.Ctx) error {
		seq, err := c.ParamsInt("seq")
		if err != nil {
			return err
		}
		if err := o.put(c.Context(), bareKey(c.Params("family"), seq), c.Body()); err != nil {
			return err
		}
		return c.JSON(fiber.Map{"ok": true})
	})
	return app
}

// drive sends each the requests of the baseline.
func (o *other) drive(r *run, requests [][]byte) error {
	got, err := drive(r.ctx, o.host.addr, connections, requests)
	if err != nil {
		return fmt.Errorf("%s: %w", o.name, err)
	}
	o.rate = append(o.rate, got.rate)
	return nil
}

func closeOthers(list []*other) (err error) {
	for _, o := range list {
		if o.host != nil {
			err = errors.Join(err, o.host.close())
		}
		err = errors.Join(err, o.close())
	}
	return err
}
