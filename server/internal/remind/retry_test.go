package remind_test

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

// outage is a push service that takes nothing for a while.
func outage(now *time.Time, from, to string, err error) func(context.Context, remind.Message) error {
	return func(context.Context, remind.Message) error {
		if !now.Before(evening(from)) && now.Before(evening(to)) {
			return err
		}
		return nil
	}
}

// A push service that answers 503 from 20:50 to 21:20 does not lose the reminder
// of 21:00: it is sent again as long as it is of use, once.
func TestAReminderOutlivesAnOutage(t *testing.T) {
	t.Parallel()
	busy := remind.Later{Err: errors.New("push service busy")}
	for _, c := range []struct {
		name     string
		to       string
		err      error
		inserted string // when the lens goes in, which ends it
		restarts bool   // the program starts anew before every tick
		taken    int    // messages that somebody has got by 02:00
	}{
		{"busy until 21:20", "21:20", busy, "", false, 1},
		{"busy all evening", "23:59", busy, "", false, 1},
		{"refused for good", "21:20", errors.New("gone"), "", false, 0},
		{"the lens is in meanwhile", "21:20", busy, "21:10", false, 0},
		{"busy until 21:20, and restarts", "21:20", busy, "", true, 1},
		{"busy all evening, and restarts", "23:59", busy, "", true, 1},
		{"refused for good, and restarts", "21:20", errors.New("gone"), "", true, 0},
		{"the lens is in meanwhile, and restarts", "21:20", busy, "21:10", true, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m, p, r := household(t, 1)
			now := evening("20:50")
			fails := outage(&now, "20:50", c.to, c.err)
			taken := 0
			p.does = func(ctx context.Context, x remind.Message) error {
				err := fails(ctx, x)
				if err == nil {
					taken++
				}
				return err
			}
			load := m.load
			m.use(func(w care.WearerID) (remind.Case, error) {
				got, err := load(w)
				if c.inserted != "" && !now.Before(evening(c.inserted)) {
					got.Input.Log = schedule.Log{Nights: []schedule.Night{{Night: civil.DateOf(evening("21:00")), Inserted: true}}}
				}
				return got, err
			})
			for ; now.Before(evening("20:50").Add(5 * time.Hour)); now = now.Add(remind.Every) {
				if c.restarts {
					r = &remind.Runner{Ledger: m, Sender: p, Log: r.Log}
				}
				if _, err := r.Tick(t.Context(), now); err != nil {
					t.Fatal(err)
				}
			}
			if taken != c.taken {
				t.Errorf("%d reminders were taken, want %d", taken, c.taken)
			}
			if tries := len(p.messages()); tries > 60 {
				t.Errorf("%d tries: nobody waits between them", tries)
			}
		})
	}
}

// What the program decided and had no time to send, because it was stopped, goes out
// after its next start.
func TestAStopWhileSendingLosesNoReminder(t *testing.T) {
	t.Parallel()
	synctest.Test(t, stopWhileSending)
}

func stopWhileSending(t *testing.T) {
	m, p, r := household(t, 40)
	ctx, stop := context.WithCancel(t.Context())
	var families atomic.Int64
	load := m.load
	m.use(func(w care.WearerID) (remind.Case, error) { // each wearer of a family of their own
		got, err := load(w)
		got.Family = care.FamilyID(w)
		return got, err
	})
	p.does = func(context.Context, remind.Message) error {
		if families.Add(1) == 1 {
			stop()
		}
		return nil
	}
	_, _ = r.Tick(ctx, evening("21:00"))
	synctest.Wait() // what was begun has ended
	sent := map[care.FamilyID]int{}
	for _, x := range p.messages() {
		sent[x.Family]++
	}
	if len(sent) == 0 || len(sent) == 40 {
		t.Fatalf("%d of 40 were sent before the stop, so the test shows nothing", len(sent))
	}
	p.got, p.does = nil, nil
	again := &remind.Runner{Ledger: m, Sender: p, Log: r.Log}
	if _, err := again.Tick(t.Context(), evening("21:05")); err != nil {
		t.Fatal(err)
	}
	for _, x := range p.messages() {
		if sent[x.Family]++; sent[x.Family] > 1 {
			t.Errorf("%s was reminded twice", x.Family)
		}
	}
	if len(sent) != 40 {
		t.Errorf("%d of 40 families were reminded", len(sent))
	}
}
