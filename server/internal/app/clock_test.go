package app

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
)

// stepped is a practice on a clock that is set while it runs. True time is what
// the clock that nobody can set counts.
//
// The clock is simulated because the program's own cannot be moved from outside:
// Go asks the kernel for the time without the C library, so libfaketime does not
// reach it, and a time namespace of Linux moves only the clocks that count since
// the start (both tried). Setting the machine's clock would move everybody's.
type stepped struct {
	t     *testing.T
	app   *App
	start time.Time
	true_ time.Duration // since the start
	off   time.Duration // by how much the wall clock is wrong
	mu    sync.Mutex
	sent  []sending
	nags  map[string]int
}

type sending struct {
	at  time.Duration
	row escalate.Row
}

func (s *stepped) wall() time.Time { return s.start.Add(s.true_ + s.off) }

// Deliver takes every message, and notes when.
func (s *stepped) Deliver(_ context.Context, r escalate.Row) escalate.Result {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sent = append(s.sent, sending{s.true_, r})
	return escalate.Result{Verdict: escalate.HandedOver, Note: "taken"}
}

// Remind notes each item.
func (s *stepped) Remind(_ context.Context, m remind.Message) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, it := range m.Items {
		s.nags[it.Key+" "+it.Date.String()]++
	}
	return nil
}

const c1, c2, c3 care.PersonID = "c1", "c2", "c3"

func newStepped(t *testing.T, start time.Time) *stepped {
	s := &stepped{t: t, start: start, nags: map[string]int{}}
	s.open()
	plan := schedule.DefaultPlan(civil.DateOf(start).AddDays(-30), "Europe/Lisbon")
	raw, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	rota := escalate.Rota{Zone: "UTC"}
	for day := range 7 {
		rota.Slots = append(rota.Slots, escalate.Slot{Weekday: day, Person: c1, Deputy: c2}, escalate.Slot{Weekday: day, To: 1, Person: c3})
	}
	err = s.app.DB.Update(func(tx *store.Tx) error {
		for _, err := range []error{
			tx.Register().AddFamily(care.Family{ID: "f1"}), tx.Register().AddWearer(care.Wearer{ID: "w1", Family: "f1", Code: "W"}), tx.Register().SetSetting("rota", rota),
			tx.Register().AddPerson(care.Person{ID: c1, Role: care.Clinician}), tx.Register().AddPerson(care.Person{ID: c2, Role: care.Clinician}), tx.Register().AddPerson(care.Person{ID: c3, Role: care.Clinician}),
		} {
			if err != nil {
				return err
			}
		}
		if _, err := tx.Chart().PutPlan("w1", c1, raw); err != nil {
			return err
		}
		return tx.Duty().SetDue("w1", tx.Now)
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// open starts the server, again after a stop.
func (s *stepped) open() {
	path := filepath.Join(s.t.TempDir(), "n.db")
	if s.app != nil {
		path = s.app.DB.Path()
		if err := s.app.DB.Close(); err != nil {
			s.t.Fatal(err)
		}
	}
	db, err := store.Open(path, s.wall)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { db.Close() })
	db.NoSync(true)
	s.app = &App{
		opt: Options{Now: s.wall, Log: slog.New(slog.DiscardHandler)}, DB: db, kick: make(chan struct{}, 1),
		clock:    &steadyClock{wall: s.wall, mono: func() time.Duration { return s.true_ }},
		Reminder: &remind.Runner{Ledger: dispatch.Reminders{DB: db, Read: readCase}, Sender: s, Now: s.wall, Log: slog.New(slog.DiscardHandler)},
	}
	s.app.Reminder.Hold = s.app.clock.ahead
	s.app.Worker = &escalate.Worker{Outbox: dispatch.Outbox{DB: db}, Deliverer: s, Now: s.wall}
	if err := s.app.startClock(); err != nil {
		s.t.Fatal(err)
	}
	s.beat()
}

// beat is one round of everything that runs by itself.
func (s *stepped) beat() {
	s.t.Helper()
	a := s.app
	if err := a.mindClock(); err != nil {
		s.t.Fatal(err)
	}
	if err := a.Climb(); err != nil {
		s.t.Fatal(err)
	}
	for n := 1; n > 0; {
		var err error
		if n, err = a.Worker.Work(context.Background()); err != nil {
			s.t.Fatal(err)
		}
	}
	if !a.clock.ahead() {
		if _, err := a.Reminder.Tick(context.Background(), s.wall()); err != nil {
			s.t.Fatal(err)
		}
	}
	if err := a.DB.Update(func(tx *store.Tx) error { return tx.Duty().MarkClock() }); err != nil {
		s.t.Fatal(err)
	}
}

const round = 20 * time.Second

// until lets true time pass.
func (s *stepped) until(end time.Duration) {
	for s.true_ < end {
		s.true_ += round
		s.beat()
	}
}

func (s *stepped) raise() {
	s.t.Helper()
	err := s.app.DB.Update(func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		a := escalate.Alert{ID: "a1", Wearer: "w1", Family: "f1", Rule: "pain"}
		_, err = dispatch.Apply(tx, rules, a, escalate.Event{Kind: escalate.Raised, Level: "emergency", Entry: "e1"})
		return err
	})
	if err != nil {
		s.t.Fatal(err)
	}
}

// first returns when a person was first told of the alert over a channel, after
// it was raised; -1 for never.
func (s *stepped) first(raised time.Duration, to care.PersonID, c escalate.Channel) time.Duration {
	for _, x := range s.sent {
		if x.row.Alert == "a1" && x.row.Target == to && x.row.Channel == c {
			return x.at - raised
		}
	}
	return -1
}

func stepSchedules(t *testing.T) int {
	text := os.Getenv("NIGHTKEEP_STEPS")
	if text == "" {
		return 60
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("NIGHTKEEP_STEPS=%s: want a number", text)
	}
	return n
}

// Whatever the clock does, from two days back to forty days ahead, at any moment
// and also while the server is stopped: nobody is told of an alert later than the
// ladder says by true time (1, 3, 10 and every 15 minutes, the practice owner at
// 60: the default policy), nobody is reminded twice of one thing of one night, and
// where the clock is right again half an hour before bedtime the night's reminder
// comes.
func TestStepsOfTheClock(t *testing.T) {
	t.Parallel()
	bedtimes := 0
	for seed := range stepSchedules(t) {
		r := rand.New(rand.NewPCG(18, uint64(seed)))
		s := newStepped(t, time.Date(2026, 6, 10, 18, 0, 0, 0, time.UTC)) // 19:00 in Lisbon
		raised := time.Duration(r.Int64N(int64(90 * time.Minute))).Truncate(round)
		stepsEnd := 40*time.Minute + time.Duration(r.Int64N(int64(2*time.Hour)))
		steps := ""
		var up bool
		right := time.Duration(-1)
		for end := 200 * time.Minute; s.true_ < end; {
			next := min(s.true_+time.Duration(r.Int64N(int64(20*time.Minute)))+round, end)
			if !up && raised <= next {
				s.until(raised)
				s.raise()
				up = true
			}
			s.until(next)
			switch {
			case s.true_ > stepsEnd:
				if right < 0 {
					right = s.true_
					steps += fmt.Sprintf(" %v right", right)
				}
				s.off = 0
			default:
				s.off = time.Duration(r.Int64N(int64(42*24*time.Hour))) - 2*24*time.Hour
				if r.IntN(2) == 0 {
					s.off = time.Duration(r.Int64N(int64(4*time.Hour))) - 2*time.Hour
				}
				steps += fmt.Sprintf(" %v %v", s.true_, s.off)
			}
			if r.IntN(6) == 0 {
				s.open()
			}
		}
		slack := 2*round + 2*time.Second
		for _, w := range []struct {
			to   care.PersonID
			c    escalate.Channel
			most time.Duration
		}{{c1, escalate.Push, 0}, {c2, escalate.Push, 3 * time.Minute}, {c1, escalate.Mail, 3 * time.Minute}, {c3, escalate.Push, 10 * time.Minute}, {escalate.PracticeOwner, escalate.Mail, 60 * time.Minute}} {
			if got := s.first(raised, w.to, w.c); got < 0 || got > w.most+slack {
				t.Fatalf("seed %d, raised at %v: %s over %s was told %v later, want at most %v;%s", seed, raised, w.to, w.c, got, w.most, steps)
			}
		}
		last := raised
		for _, x := range append(s.sent, sending{at: s.true_}) {
			if x.row.Alert == "a1" || x.row.Alert == "" {
				if gap := x.at - last; gap > 15*time.Minute+slack {
					t.Fatalf("seed %d, raised at %v: nobody was told for %v before %v;%s", seed, raised, gap, x.at, steps)
				}
				last = x.at
			}
		}
		for what, n := range s.nags {
			if n > 1 {
				t.Fatalf("seed %d: reminded %d times of %s;%s", seed, n, what, steps)
			}
		}
		if right >= 0 && right <= 90*time.Minute { // bedtime is 21:00 in Lisbon, after 120 minutes
			bedtimes++
			if s.nags["remind.insertion 2026-06-10"] != 1 {
				t.Fatalf("seed %d: not reminded of bedtime: %v;%s", seed, s.nags, steps)
			}
		}
	}
	if bedtimes == 0 {
		t.Error("no schedule says anything of bedtime")
	}
}
