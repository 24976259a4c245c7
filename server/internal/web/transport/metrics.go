package transport

import (
	"crypto/subtle"
	"fmt"
	"html/template"
	"maps"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/watch"
)

// figures counts requests by route and status. No figure is about a person.
type figures struct {
	mu       sync.Mutex
	requests map[figure]sum
}

type figure struct {
	method, route string
	status        int
}

type sum struct {
	count   int
	seconds float64
}

func (f *figures) add(k figure, took time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.requests == nil {
		f.requests = map[figure]sum{}
	}
	s := f.requests[k]
	f.requests[k] = sum{s.count + 1, s.seconds + took.Seconds()}
}

func (f *figures) copy() map[figure]sum {
	f.mu.Lock()
	defer f.mu.Unlock()
	return maps.Clone(f.requests)
}

// mayRead reports whether a request may read the figures: with the token, or
// without one from this machine to a server that is not published. Behind a
// proxy everybody seems to come from this machine, so a published server needs
// the token.
func (c *Call) mayRead() bool {
	if want := c.Srv.MetricsToken; want != "" {
		given, ok := strings.CutPrefix(c.Get(fiber.HeaderAuthorization), "Bearer ")
		return ok && subtle.ConstantTimeCompare([]byte(given), []byte(want)) == 1
	}
	peer, err := netip.ParseAddr(c.IP())
	return err == nil && peer.Unmap().IsLoopback() && loopback(c.Srv.BaseURL)
}

func loopback(base string) bool {
	u, err := url.Parse(base)
	if err != nil {
		return false
	}
	a, err := netip.ParseAddr(u.Hostname())
	return u.Hostname() == "localhost" || err == nil && a.IsLoopback()
}

// metrics answers in the text exposition format 0.0.4 of Prometheus. Who may
// not read it is told that there is no such page.
func (c *Call) metrics() error {
	if !c.mayRead() {
		return notFound(c.Path())
	}
	var b strings.Builder
	h := c.Srv.look()
	gauge(&b, "nightkeep_up", "Whether nothing fails, see nightkeep_trouble.", truth(h.OK))
	gauge(&b, "nightkeep_outbox_oldest_seconds", "Age of the message that waits longest.", h.OldestMin*60)
	open, taken, err := c.liveAlerts()
	if err != nil {
		return err
	}
	gauge(&b, "nightkeep_alerts_open", "Alerts nobody has taken.", float64(open))
	gauge(&b, "nightkeep_alerts_acknowledged", "Alerts somebody has taken and not closed.", float64(taken))
	if backup := h.facts.Backup; backup != nil {
		gauge(&b, "nightkeep_backup_timestamp_seconds", "When the newest scheduled backup was made, Unix time; negative: never.", float64(backup.Newest.Unix()))
	}
	if at := h.facts.Rehearsed; !at.IsZero() {
		gauge(&b, "nightkeep_rehearsal_timestamp_seconds", "When a backup was last tried and worked, Unix time.", float64(at.Unix()))
	}
	if h.facts.Free != nil {
		gauge(&b, "nightkeep_free_bytes", "Bytes free where the data file is.", float64(*h.facts.Free))
	}
	if ends := h.facts.CertEnds; !ends.IsZero() {
		gauge(&b, "nightkeep_certificate_end_timestamp_seconds", "When the certificate that is shown ends, Unix time.", float64(ends.Unix()))
	}
	troubles(&b, h.list)
	gauge(&b, "nightkeep_unreadable_records", "Stored records that cannot be read and are set aside.", float64(h.Unreadable))
	gauge(&b, "nightkeep_push_up", "Whether push services take messages.", truth(h.Push))
	gauge(&b, "nightkeep_clock_step_seconds", "By how much the server's clock was set within the last day.", h.ClockStep)
	gauge(&b, "nightkeep_file_bytes", "Size of the data file.", float64(c.Srv.db.Size()))
	writeRequests(&b, c.Srv.figures.copy())
	c.Set(fiber.HeaderContentType, "text/plain; version=0.0.4; charset=utf-8")
	c.Set(fiber.HeaderCacheControl, "no-store")
	return c.SendString(b.String())
}

// liveAlerts counts the alerts nobody has taken, and those that are taken and not
// closed; drills are neither.
func (c *Call) liveAlerts() (open, taken int, err error) {
	err = c.View(func(tx *store.Tx) error {
		open, taken = 0, 0
		live, err := tx.Duty().LiveAlerts()
		for _, a := range live {
			switch {
			case a.Drill:
			case a.State == escalate.Open:
				open++
			default:
				taken++
			}
		}
		return err
	})
	return open, taken, err
}

func truth(ok bool) float64 {
	if ok {
		return 1
	}
	return 0
}

func gauge(b *strings.Builder, name, help string, v float64) {
	fmt.Fprintf(b, "# HELP %s %s\n# TYPE %s gauge\n%s %g\n", name, help, name, name, v)
}

// troubles writes one figure for each thing that can be wrong: 0 well, 1
// degraded, 2 fails.
func troubles(b *strings.Builder, list []watch.Trouble) {
	const name = "nightkeep_trouble"
	fmt.Fprintf(b, "# HELP %s What is wrong: 0 well, 1 degraded, 2 fails.\n# TYPE %s gauge\n", name, name)
	for _, what := range watch.Words() {
		degree := watch.Degree(0)
		for _, t := range list {
			if t.What == what {
				degree = max(degree, t.Degree)
			}
		}
		fmt.Fprintf(b, "%s{what=%q} %d\n", name, what, degree)
	}
}

func writeRequests(b *strings.Builder, all map[figure]sum) {
	keys := slices.SortedFunc(maps.Keys(all), func(x, y figure) int {
		return strings.Compare(fmt.Sprint(x), fmt.Sprint(y))
	})
	const name = "nightkeep_request_seconds"
	fmt.Fprintf(b, "# HELP %s Requests by route pattern and status, and the time they took.\n# TYPE %s summary\n", name, name)
	for _, k := range keys {
		labels := fmt.Sprintf(`{method="%s",route="%s",status="%d"}`, k.method, k.route, k.status)
		fmt.Fprintf(b, "%s_sum%s %g\n%s_count%s %d\n", name, labels, all[k].seconds, name, labels, all[k].count)
	}
}

var statusPage = template.Must(template.New("status").Parse(`<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>Nightkeep: how the server is</title>
{{if .Rehearsal}}<p><strong>Rehearsal.</strong> This is a copy of a backup that is being tried, not the practice's server: nothing leaves it, and phones of families are refused.</p>
{{end}}<h1>{{if not .OK}}Something does not work.{{else if .List}}It works, and needs attention.{{else}}The server is well.{{end}}</h1>
<ul>
{{range .List}}<li><strong>{{if eq .Degree 2}}Does not work{{else}}See to it{{end}}:</strong> {{.Text}}</li>
{{else}}<li>It stores what is sent to it, no message to anybody waits, reminders are at work, backups are made.</li>
{{end}}</ul>
<p>At {{.Now.Format "15:04:05"}} UTC. If an eye hurts, is red or sees badly, do not wait for this page: take the lenses out and phone the practice.</p>
</html>
`))

// status says how the server is, to people.
func (c *Call) status() error {
	h := c.Srv.look()
	if !h.OK {
		c.Status(fiber.StatusServiceUnavailable)
	}
	c.Set(fiber.HeaderContentType, fiber.MIMETextHTMLCharsetUTF8)
	c.Set(fiber.HeaderCacheControl, "no-store")
	return statusPage.Execute(c.Ctx, struct {
		health
		List      []watch.Trouble
		Rehearsal bool
	}{h, h.list, c.Srv.Rehearsal})
}
