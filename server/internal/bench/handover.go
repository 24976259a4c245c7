package bench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/push/pushtest"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// How many symptom reports are sent and how fast: a thousand a minute, for some
// seconds without other traffic and then for one whole minute beside it.
const (
	calmReports  = 200
	busyReports  = 1000
	reports      = calmReports + busyReports
	reportsEvery = time.Minute / busyReports
)

// arrivals is a push service that only notes when a message came.
type arrivals struct {
	mu   sync.Mutex
	at   []time.Time
	body [][]byte
}

func (a *arrivals) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	a.mu.Lock()
	a.at, a.body = append(a.at, time.Now()), append(a.body, body)
	a.mu.Unlock()
	w.WriteHeader(http.StatusCreated)
}

func (a *arrivals) count() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return len(a.at)
}

// handOver is row group 6, the last that uses the families of the pair: from the request with a red flag to the push message
// leaving for the clinician on duty, alone and while devices push
// at half the rate this machine can take.
func (r *run) handOver() error {
	p, err := r.sharedPair()
	if err != nil {
		return err
	}
	if r.peak == 0 {
		if err := r.findPeak(p); err != nil {
			return err
		}
	}
	service := &arrivals{}
	server := httptest.NewServer(service)
	defer server.Close()
	phone := pushtest.NewReceiver()
	if err := onDuty(p.prog.DB, register.Subscription{Endpoint: server.URL + "/push", P256dh: phone.P256dh(), Auth: phone.AuthSecret()}); err != nil {
		return err
	}
	ctx, stop := context.WithCancel(r.ctx)
	worked := make(chan struct{})
	go func() { p.prog.Deliver(ctx); close(worked) }()
	defer func() { stop(); <-worked }()

	calm, err := r.sendReports(p, 0, calmReports, service, phone)
	if err != nil {
		return err
	}
	load, stopLoad := context.WithCancel(r.ctx)
	loaded := make(chan error, 1)
	go func() { loaded <- p.load(load, r.peak/2) }()
	busy, err := r.sendReports(p, calmReports, busyReports, service, phone)
	stopLoad()
	if err := errors.Join(err, <-loaded); err != nil {
		return err
	}
	of := func(n int, v float64) Stat { return Stat{v, v, v, n} }
	one := func(v float64) Stat { return of(busyReports, v) }
	alone := func(q float64) Stat { return of(calmReports, quantile(calm, q)) }
	r.inform(Row{Group: 6, Name: "report to hand-over, p50", Unit: "ms", Ours: one(quantile(busy, 0.5)), Base: alone(0.5), BaseName: "no other traffic"})
	r.atMost(1000, Row{Group: 6, Name: "report to hand-over, p99", Unit: "ms", Ours: one(quantile(busy, 0.99))})
	r.inform(Row{Group: 6, Name: "report to hand-over, longest", Unit: "ms", Ours: one(quantile(busy, 1)), Base: alone(1), BaseName: "no other traffic"})
	r.atMost(250, Row{Group: 6, Name: "delay by ingest at p99", Unit: "ms", Ours: one(quantile(busy, 0.99) - quantile(calm, 0.99))})
	r.atMost(0, Row{Group: 6, Name: fmt.Sprintf("reports lost of %d", reports), Unit: "reports", Ours: of(reports, float64(reports-len(calm)-len(busy)))})
	return nil
}

// findPeak measures how many pushes a second this machine takes.
func (r *run) findPeak(p *pair) error {
	ours, _ := p.pushes(0, pushers, p.stored, batchSize)
	o, err := drive(r.ctx, p.ours.addr, connections, ours)
	p.stored += batchSize
	r.peak = o.rate
	return err
}

// onDuty puts a clinician with a phone on the rota at all hours.
func onDuty(db *store.DB, s register.Subscription) error {
	if err := hireClinician(db); err != nil {
		return err
	}
	rota := escalate.Rota{Zone: "Europe/Lisbon"}
	for day := range 7 {
		rota.Slots = append(rota.Slots, escalate.Slot{Weekday: day, Person: "clinician"})
	}
	return db.Update(func(tx *store.Tx) error {
		return errors.Join(tx.Access().PutSubscription("desk", s), tx.Register().SetSetting("rota", rota))
	})
}

// sendReports sends one report of each of n families every so often, whatever
// became of those before, and returns how long each took until its message left.
func (r *run) sendReports(p *pair, first, n int, service *arrivals, phone *pushtest.Receiver) ([]time.Duration, error) {
	before := service.count()
	started := make([]time.Time, n)
	ids := make(map[care.EntryID]int, n)
	tick := time.NewTicker(reportsEvery)
	defer tick.Stop()
	var wg sync.WaitGroup
	errs := make(chan error, n)
	for k := range n {
		i := first + k
		e := report(i, 900000)
		ids[e.ID] = k
		request := post("/api/sync", cookieOf(i), requestBody(p.epoch, e))
		select {
		case <-tick.C:
		case <-r.ctx.Done():
			return nil, r.ctx.Err()
		}
		started[k] = time.Now()
		wg.Go(func() {
			c, err := dial(p.ours.addr)
			if err != nil {
				errs <- err
				return
			}
			defer c.conn.Close()
			if _, err := c.do(request); err != nil {
				errs <- err
			}
		})
	}
	wg.Wait()
	if len(errs) > 0 {
		return nil, <-errs
	}
	if err := r.await(func() bool { return service.count()-before >= n }); err != nil {
		return nil, err
	}
	return service.match(p.prog.DB, before, phone, ids, started)
}

// await waits until something holds, at most ten seconds: what has not left by
// then counts as lost.
func (r *run) await(holds func() bool) error {
	limit := time.After(10 * time.Second)
	look := time.NewTicker(20 * time.Millisecond)
	defer look.Stop()
	for !holds() {
		select {
		case <-r.ctx.Done():
			return r.ctx.Err()
		case <-limit:
			return nil
		case <-look.C:
		}
	}
	return nil
}

// match reads the messages that came, finds the report of each, and returns
// the time from the report to its first message.
func (a *arrivals) match(db *store.DB, from int, phone *pushtest.Receiver, ids map[care.EntryID]int, started []time.Time) ([]time.Duration, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	var out []time.Duration
	seen := map[int]bool{}
	err := db.View(func(tx *store.Tx) error {
		for n := from; n < len(a.at); n++ {
			raw, err := phone.Decrypt(a.body[n])
			if err != nil {
				return err
			}
			var payload struct {
				Tag care.AlertID `json:"tag"`
			}
			if err := json.Unmarshal(raw, &payload); err != nil {
				return err
			}
			alert, err := tx.Duty().Alert(payload.Tag)
			if err != nil {
				continue // a canary
			}
			if k, ok := ids[alert.Entry]; ok && !seen[k] {
				seen[k] = true
				out = append(out, a.at[n].Sub(started[k]))
			}
		}
		return nil
	})
	return out, err
}

// report is an urgent symptom report of family i.
func report(i, n int) care.Entry {
	e := entry(i, 0, tonight)
	e.ID = care.EntryID(fmt.Sprintf("%08x-%04x-7000-9000-%012x", evening.UnixMilli()>>16, evening.UnixMilli()&0xffff, i))
	e.Kind, e.DSeq = care.Symptoms, uint64(n)
	e.Body = json.RawMessage(`{"right":{"pain":"severe","redness":"marked","light":"yes"}}`)
	return e
}

func requestBody(epoch string, e care.Entry) []byte {
	raw, err := json.Marshal(map[string]any{"epoch": epoch, "cursor": 0, "entries": []care.Entry{e}, "now": evening})
	if err != nil {
		panic(err) // plain values always marshal
	}
	return raw
}

// load lets devices push at a rate in requests a second until the context
// ends.
func (p *pair) load(ctx context.Context, rate float64) error {
	tick := time.NewTicker(time.Duration(float64(time.Second) / rate))
	defer tick.Stop()
	const lanes = connections
	const each = (pushers - reports) / lanes
	var wg sync.WaitGroup
	errs := make([]error, lanes)
	for lane := range lanes {
		wg.Go(func() {
			c, err := dial(p.ours.addr)
			if err != nil {
				errs[lane] = err
				return
			}
			defer c.conn.Close()
			for k := 0; ; k++ {
				select {
				case <-ctx.Done():
					return
				case <-tick.C:
				}
				i, n := reports+lane*each+k%each, p.stored+k/each*batchSize
				body := batchBody(i, n, batchSize, firstNight(), p.epoch, uint64(n))
				if _, err := c.do(post("/api/sync", cookieOf(i), body)); err != nil {
					errs[lane] = err
					return
				}
			}
		})
	}
	wg.Wait()
	return errors.Join(errs...)
}
