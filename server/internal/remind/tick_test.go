package remind_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

func tick(t *testing.T, r *remind.Runner, clock string) remind.Stats {
	t.Helper()
	s, err := r.Tick(t.Context(), evening(clock))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestOneMessageForAFamily(t *testing.T) {
	t.Parallel()
	m, p, r := household(t, 3)
	load := m.load
	m.load = func(w care.WearerID) (remind.Case, error) {
		c, err := load(w)
		if w == "w0001" {
			c.Input.Plan.LockScreenWords = "neutral"
		}
		return c, err
	}
	if s := tick(t, r, "20:59"); s != (remind.Stats{}) {
		t.Errorf("before it is due: got %+v, want nothing", s)
	}
	tick(t, r, "21:00")
	tick(t, r, "21:00")
	got := p.messages()
	if len(got) != 1 || len(got[0].Items) != 3 || got[0].Family != "fam" || got[0].To != "parent" {
		t.Fatalf("got %+v, want one message with three items to the parents", got)
	}
	if got[0].Words != "neutral" {
		t.Errorf("words %q: one wearer of three asked for neutral ones", got[0].Words)
	}
	if want := evening("00:00").AddDate(0, 0, 1).Add(2 * time.Hour); !got[0].UsefulUntil.Equal(want) {
		t.Errorf("useful until %s, want %s: six hours before 08:00", got[0].UsefulUntil, want)
	}
	if strings.Contains(got[0].Tag, "w000") || got[0].Tag == "" {
		t.Errorf("tag %q must be there and name nobody", got[0].Tag)
	}
}

func TestAtMostOnce(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		does func(context.Context, remind.Message) error
	}{
		{"sender fails", func(context.Context, remind.Message) error { return errDisk }},
		{"sender panics", func(context.Context, remind.Message) error { panic("push library") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m, p, r := household(t, 1)
			p.does = c.does
			if s := tick(t, r, "21:00"); s.Failed != 1 {
				t.Errorf("got %+v, want one failure", s)
			}
			again := &remind.Runner{Ledger: m, Sender: p, Log: r.Log} // the program starts anew
			if err := again.Reconsider("w0000", evening("21:01")); err != nil {
				t.Fatal(err)
			}
			tick(t, again, "21:02")
			if n := len(p.messages()); n != 1 {
				t.Errorf("handed over %d times, want once", n)
			}
		})
	}
}

// TestTheLedgerHasTheLastWord loads a wearer without what was sent before, as
// a stale read would: the record of it must still keep the message back.
func TestTheLedgerHasTheLastWord(t *testing.T) {
	t.Parallel()
	m, p, r := household(t, 1)
	tick(t, r, "21:00")
	kept := m.fired["w0000"]
	m.fired["w0000"] = append(kept, make([]schedule.Firing, 60)...) // pushes it out of what Load gives
	m.set("w0000", evening("21:01"))
	tick(t, r, "21:01")
	if n := len(p.messages()); n != 1 {
		t.Errorf("sent %d times, want once", n)
	}
}

func TestNothingIsSentThatWasNotRecorded(t *testing.T) {
	t.Parallel()
	m, p, r := household(t, 1)
	m.fail = errDisk
	if _, err := r.Tick(t.Context(), evening("21:00")); !errors.Is(err, errDisk) {
		t.Errorf("got %v, want the ledger's error", err)
	}
	if n := len(p.messages()); n != 0 {
		t.Errorf("sent %d messages without a record", n)
	}
	tick(t, r, "21:01")
	if n := len(p.messages()); n != 1 {
		t.Errorf("once the ledger works again: sent %d, want 1", n)
	}
}

func TestAfterDowntime(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, back string
		want       int
	}{
		{"an hour late it is still of use", "22:00", 1},
		{"the next noon it is not", "12:00", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, p, r := household(t, 1)
			now := evening(c.back)
			if c.want == 0 {
				now = now.AddDate(0, 0, 1)
			}
			if _, err := r.Tick(t.Context(), now); err != nil {
				t.Fatal(err)
			}
			if n := len(p.messages()); n != c.want {
				t.Errorf("sent %d, want %d", n, c.want)
			}
			if s := tick(t, r, "21:00"); s.Wearers != 0 {
				t.Errorf("the clock went back: %+v, want nothing again", s)
			}
		})
	}
}

func TestTouchAfterTheLogChanged(t *testing.T) {
	t.Parallel()
	m, p, r := household(t, 1)
	load := m.load
	m.load = func(w care.WearerID) (remind.Case, error) {
		c, err := load(w)
		c.Input.Plan.InsertionAt = civil.MustClock("20:00") // a new plan, after 20:00
		return c, err
	}
	if err := r.Reconsider("w0000", evening("20:10")); err != nil {
		t.Fatal(err)
	}
	tick(t, r, "20:10")
	if n := len(p.messages()); n != 1 {
		t.Fatalf("due since 20:00: sent %d, want 1", n)
	}
	m.load = func(care.WearerID) (remind.Case, error) { return remind.Case{}, nil }
	if err := r.Reconsider("w0000", evening("20:11")); err != nil {
		t.Fatal(err)
	}
	if _, ok := m.first(); ok {
		t.Error("a wearer who is gone is still in the index")
	}
}

func TestOneWearerWhoCannotBeLoadedHoldsNobodyUp(t *testing.T) {
	t.Parallel()
	m, p, r := household(t, 2)
	load := m.load
	m.load = func(w care.WearerID) (remind.Case, error) {
		if w == "w0000" {
			return remind.Case{}, errDisk
		}
		return load(w)
	}
	if s := tick(t, r, "21:00"); s.Failed != 1 || s.Messages != 1 {
		t.Errorf("got %+v, want one failure and one message", s)
	}
	m.load = load
	tick(t, r, "21:10")
	if n := len(p.messages()); n != 2 {
		t.Errorf("ten minutes later: sent %d, want the second one too", n)
	}
}

func TestATickCostsWhatIsDue(t *testing.T) {
	t.Parallel()
	m, _, r := household(t, 1000)
	m.loads = 0
	tick(t, r, "20:59")
	if m.loads != 0 {
		t.Errorf("nothing due: loaded %d wearers, want 0", m.loads)
	}
	m.set("w0500", evening("20:59"))
	tick(t, r, "20:59")
	if m.loads != 1 {
		t.Errorf("one due: loaded %d wearers, want 1", m.loads)
	}
	tick(t, r, "21:00")
	if m.loads != 1001 {
		t.Errorf("all due: loaded %d in all, want 1001", m.loads)
	}
}

// clockwork runs a started runner in a bubble whose clock begins at noon on
// 5 March 2026 by the runner's own reckoning.
func clockwork(t *testing.T, during func(m *memory, p *phones, r *remind.Runner)) {
	synctest.Test(t, func(t *testing.T) {
		m, p, r := household(t, 1)
		began := time.Now()
		r.Now = func() time.Time { return evening("12:00").Add(time.Since(began)) }
		ctx, stop := context.WithCancel(t.Context())
		wait := r.Start(ctx)
		synctest.Wait()
		during(m, p, r)
		stop()
		wait()
	})
}

// after lets the bubble's clock run.
func after(d time.Duration) {
	<-time.After(d)
	synctest.Wait()
}

// late is what the health check calls late: no good tick for three minutes.
func late(r *remind.Runner) bool { return r.Now().Sub(r.LastTick()) >= 3*time.Minute }

func TestStartTicksByItself(t *testing.T) {
	t.Parallel()
	clockwork(t, func(_ *memory, p *phones, r *remind.Runner) {
		after(8*time.Hour + 59*time.Minute)
		if n := len(p.messages()); n != 0 {
			t.Errorf("at 20:59: sent %d, want none", n)
		}
		after(90 * time.Second)
		if n := len(p.messages()); n != 1 {
			t.Errorf("at 21:00:30: sent %d, want one", n)
		}
		if late(r) {
			t.Error("the watchdog barks while the tick runs")
		}
	})
}

func TestAPanicEndsOneTickOnly(t *testing.T) {
	t.Parallel()
	clockwork(t, func(m *memory, p *phones, r *remind.Runner) {
		load := m.load
		m.use(func(care.WearerID) (remind.Case, error) { panic("corrupt record") })
		after(9*time.Hour + 20*time.Minute)
		if !late(r) {
			t.Error("twenty minutes of failing ticks, and the watchdog is silent")
		}
		m.use(load)
		after(time.Minute)
		if n := len(p.messages()); n != 1 || late(r) {
			t.Errorf("once it works again: sent %d, late %v; want 1, not late", n, late(r))
		}
	})
}

func TestASenderThatHangsIsCutOff(t *testing.T) {
	t.Parallel()
	clockwork(t, func(m *memory, p *phones, r *remind.Runner) {
		release := make(chan struct{})
		p.does = func(context.Context, remind.Message) error { <-release; return nil }
		after(9*time.Hour + time.Minute)
		m.mu.Lock()
		m.set("w0001", evening("21:05")) // a second wearer, five minutes on
		m.mu.Unlock()
		after(9 * time.Minute)
		if n := len(p.messages()); n != 2 {
			t.Errorf("sent %d, want the second one although the first hangs", n)
		}
		close(release)
	})
}

func TestCatchesUpAtStart(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		_, p, r := household(t, 1)
		r.Now = func() time.Time { return evening("21:40") }
		ctx, stop := context.WithCancel(t.Context())
		wait := r.Start(ctx)
		synctest.Wait()
		if n := len(p.messages()); n != 1 {
			t.Errorf("started at 21:40: sent %d, want the 21:00 reminder at once", n)
		}
		stop()
		wait()
	})
}
