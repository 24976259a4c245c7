package transport

import (
	"log/slog"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// A route whose class of callers nobody has written down lets nobody in, not even
// an administrator.
func TestAnUnknownClassLetsNobodyIn(t *testing.T) {
	t.Parallel()
	now := func() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }
	db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	err = db.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddPerson(care.Person{ID: "a", Role: care.Administrator}), tx.Register().AddDevice(care.Device{ID: "d", Person: "a"}),
			tx.Access().AddCredential("admin", register.Credential{Device: "d"}),
		} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	s := New(db, &Site{Now: now, Log: slog.New(slog.DiscardHandler)})
	app := fiber.New(fiber.Config{ErrorHandler: s.fail})
	table := Table[*Call](func(c *Call) *Call { return c })
	for path, who := range map[string]access.Who{"/known": access.AdminOnly, "/unknown": "auditors"} {
		r := table.Get(path, who, "", nil, func(c *Call) error { return c.Done() })
		app.Add(r.method, r.path, s.handle(r))
	}
	for path, want := range map[string]int{"/known": 200, "/unknown": 403} {
		req := httptest.NewRequest("GET", path, nil)
		req.Header.Set("Cookie", StaffCookie+"=admin")
		res, err := app.Test(req, -1)
		if err != nil {
			t.Fatal(err)
		}
		if res.StatusCode != want {
			t.Errorf("%s: %d, want %d", path, res.StatusCode, want)
		}
	}
}

// A program with such a route does not start, and says which it is.
func TestAProgramWithAnUnknownClassDoesNotStart(t *testing.T) {
	t.Parallel()
	defer func() {
		if said, _ := recover().(string); !strings.Contains(said, "GET /unknown") || !strings.Contains(said, "auditors") {
			t.Errorf("the start said %q, want the route and its class", said)
		}
	}()
	table := Table[*Call](func(c *Call) *Call { return c })
	New(nil, &Site{}).App([]Route{table.Get("/unknown", "auditors", "", nil, func(*Call) error { return nil })})
}
