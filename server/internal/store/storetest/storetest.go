// Package storetest says what an engine under the log must do, as a suite that
// any engine can be held against. It owns the narrow interface of that part of
// the store and refuses to know how an engine keeps its data.
//
// Invariant: the suite uses nothing but [Engine], so what passes it can carry
// the log.
package storetest

import (
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/log"
)

// Engine keeps the log. A write that returns an error leaves nothing behind,
// and one that returns nil is durable; writes at the same time may share a
// commit, so the function may run more than once.
type Engine interface {
	Write(func(*store.Tx) error) error
	View(func(*store.Tx) error) error
	Lease(now time.Time, n int, lease time.Duration) ([]escalate.Row, error)
	// Reopen ends the engine without warning and opens what it left.
	Reopen() error
}

// Now is the time of every transaction of an engine under test.
var Now = time.Date(2026, 3, 28, 22, 0, 0, 0, time.UTC)

// Run holds an engine against the suite. Open gives an empty one each time.
func Run(t *testing.T, open func(t *testing.T) Engine) {
	t.Helper()
	for _, tt := range []struct {
		name string
		run  func(*testing.T, Engine)
	}{
		{"an entry is stored once, under its id, with what it said first", once},
		{"the watermark waits for gaps, and passes what was held or refused", watermark},
		{"pages walk a family's log once, and no other's", pages},
		{"a night does not depend on the order of entries", folds},
		{"an entry, its alert and its messages stand or fall together", together},
		{"writes that share a commit stand or fall alone", alone},
		{"what was stored is there after an end without warning", reopened},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			tt.run(t, open(t))
		})
	}
}

// entry makes a care entry of wearer w1 from device d1, number n.
func entry(n int, body string, supersedes ...care.EntryID) *care.Entry {
	return &care.Entry{
		ID: id(n), Wearer: "w1", Device: "d1", DSeq: uint64(n), Author: "p1", Kind: care.Care, Night: civil.MustDate("2026-03-28"),
		Wall: "2026-03-28T21:40:00", Zone: "Europe/Lisbon", HLC: fmt.Sprintf("1774734000%03d-0000", n), V: 1,
		Supersedes: supersedes, Body: json.RawMessage(body),
	}
}

func id(n int) care.EntryID { return care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%012d", n)) }

func write(t *testing.T, e Engine, f func(*store.Tx) error) {
	t.Helper()
	if err := e.Write(f); err != nil {
		t.Fatal(err)
	}
}

func view(t *testing.T, e Engine, f func(*store.Tx) error) {
	t.Helper()
	if err := e.View(f); err != nil {
		t.Fatal(err)
	}
}

// add appends to family f1 and wants an outcome.
func add(t *testing.T, e Engine, x *care.Entry, want log.Stored) {
	t.Helper()
	write(t, e, func(tx *store.Tx) error {
		got, err := tx.Log().Append("f1", x)
		if got != want {
			t.Errorf("entry %s: outcome %d, want %d", x.ID, got, want)
		}
		return err
	})
}

// ids reads a family's whole log in pages of n.
func ids(t *testing.T, e Engine, f care.FamilyID, n int) (out []care.EntryID, sum string) {
	t.Helper()
	for after, more := uint64(0), true; more; {
		view(t, e, func(tx *store.Tx) error {
			p, err := tx.Log().Page(f, after, n, 1<<20)
			if err != nil {
				return err
			}
			for i, raw := range p.Entries {
				var x care.Entry
				if err := json.Unmarshal(raw, &x); err != nil {
					return err
				}
				if want := after + uint64(i) + 1; x.FSeq != want || !x.Recv.Equal(Now) {
					t.Errorf("entry %s has number %d, received %v; want %d, %v", x.ID, x.FSeq, x.Recv, want, Now)
				}
				out = append(out, x.ID)
			}
			if more = p.More; more && p.Cursor == after {
				return errors.New("a page that moves nowhere says there is more")
			}
			after, sum = p.Cursor, p.Checksum
			return nil
		})
	}
	return out, sum
}

func once(t *testing.T, e Engine) {
	add(t, e, entry(1, `{"rub":true}`), log.Added)
	add(t, e, entry(1, `{"rub":true}`), log.Duplicate)
	add(t, e, entry(1, `{"rub":false}`), log.Taken)
	write(t, e, func(tx *store.Tx) error {
		theirs := entry(1, `{"rub":true}`)
		theirs.Wearer = "w2"
		got, err := tx.Log().Append("f2", theirs)
		if got != log.Added { // or one family could learn, or spoil, what another has written
			t.Errorf("the id of another family's entry: outcome %d, want %d", got, log.Added)
		}
		return err
	})
	if got, _ := ids(t, e, "f1", 10); len(got) != 1 {
		t.Errorf("log %v, want one entry", got)
	}
	if v := value(t, e, "care/rub"); v != "true" {
		t.Errorf("rub is %s, want what was said first", v)
	}
}

// value returns the first fact of an item of the night.
func value(t *testing.T, e Engine, item string) (v string) {
	t.Helper()
	view(t, e, func(tx *store.Tx) error {
		n, err := tx.Log().Night("w1", civil.MustDate("2026-03-28"))
		if it := n.Item(item); it != nil {
			v = string(it.Facts[0].Value)
		}
		return err
	})
	return v
}

func watermark(t *testing.T, e Engine) {
	for _, step := range []struct {
		name string
		do   func(tx *store.Tx) error
		want uint64
	}{
		{"first", appended(1), 1}, {"third before second", appended(3), 1}, {"fourth held", held(4), 1},
		{"second refused", func(tx *store.Tx) error { return tx.Log().Refused("f1", "d1", 2) }, 4}, {"fifth", appended(5), 5},
	} {
		write(t, e, step.do)
		view(t, e, func(tx *store.Tx) error {
			if got := tx.Log().Watermark("f1", "d1"); got != step.want {
				t.Errorf("%s: watermark %d, want %d", step.name, got, step.want)
			}
			if got := tx.Log().Watermark("f1", "d2"); got != 0 {
				t.Errorf("%s: watermark of another device %d, want 0", step.name, got)
			}
			return nil
		})
	}
	if got, _ := ids(t, e, "f1", 10); len(got) != 3 {
		t.Errorf("log %v, want the three accepted entries", got)
	}
}

func appended(n int) func(*store.Tx) error {
	return func(tx *store.Tx) error { _, err := tx.Log().Append("f1", entry(n, `{}`)); return err }
}

func held(n int) func(*store.Tx) error {
	return func(tx *store.Tx) error { return tx.Log().KeepHeld("f1", entry(n, `{}`), []byte(`{"v":2}`)) }
}

func pages(t *testing.T, e Engine) {
	sum := ""
	for n := 1; n <= 7; n++ {
		add(t, e, entry(n, `{}`), log.Added)
		sum = log.NextChecksum(sum, id(n))
	}
	other := entry(8, `{}`)
	other.Wearer = "w2"
	write(t, e, func(tx *store.Tx) error { _, err := tx.Log().Append("f", other); return err })
	for _, size := range []int{1, 3, 7, 100} {
		got, end := ids(t, e, "f1", size)
		if len(got) != 7 || end != sum {
			t.Errorf("in pages of %d: %d entries, checksum %s; want 7, %s", size, len(got), end, sum)
		}
	}
	view(t, e, func(tx *store.Tx) error {
		if _, err := tx.Log().Page("f1", 99, 10, 1<<20); care.KindOf(err) != care.Invalid {
			t.Errorf("a cursor beyond the log: %v, want a refusal", err)
		}
		return nil
	})
}

func folds(t *testing.T, e Engine) {
	add(t, e, entry(2, `{"rub":false}`, id(1)), log.Added) // the correction first
	add(t, e, entry(1, `{"rub":true,"case_dried":true}`), log.Added)
	if v := value(t, e, "care/rub"); v != "false" {
		t.Errorf("rub is %q, want the correction's false", v)
	}
	if v := value(t, e, "care/case_dried"); v != "" {
		t.Errorf("case_dried is %q, want nothing: its entry was corrected", v)
	}
}

// rules tell ann at once of everything.
func rules() escalate.Rules {
	r := escalate.Rules{Policy: escalate.DefaultPolicy(), Rota: escalate.Rota{Zone: "Europe/Lisbon"}, Contacts: care.Contacts{Zone: "Europe/Lisbon"}}
	for day := range 7 {
		r.Rota.Slots = append(r.Rota.Slots, escalate.Slot{Weekday: day, Person: "ann", Deputy: "ben"})
	}
	return r
}

var errLate = errors.New("a fault after everything was written")

// raise stores a report with its alert and then fails or does not.
func raise(n int, fault error) func(*store.Tx) error {
	return func(tx *store.Tx) error {
		if _, err := tx.Log().Append("f1", entry(n, `{}`)); err != nil {
			return err
		}
		a := escalate.Alert{ID: care.AlertID(fmt.Sprintf("a%d", n)), Wearer: "w1", Family: "f1", Rule: "pain-persists"}
		event := escalate.Event{Kind: escalate.Raised, Level: escalate.Emergency, Eye: "right", Entry: id(n)}
		if _, err := dispatch.Apply(tx, rules(), a, event); err != nil {
			return err
		}
		return fault
	}
}

func together(t *testing.T, e Engine) {
	if err := e.Write(raise(1, errLate)); !errors.Is(err, errLate) {
		t.Errorf("a write that fails: %v, want its own error", err)
	}
	if got, _ := ids(t, e, "f1", 10); len(got) != 0 {
		t.Errorf("a write that failed left entries %v", got)
	}
	lives(t, e, 0)
	if rows, err := e.Lease(Now.Add(time.Hour), 100, time.Minute); err != nil || len(rows) != 0 {
		t.Errorf("a write that failed left messages %v, %v", rows, err)
	}
	write(t, e, raise(1, nil))
	lives(t, e, 1)
	rows, err := e.Lease(Now, 100, time.Minute)
	if err != nil || len(rows) == 0 {
		t.Fatalf("no message of a new alert is due: %v", err)
	}
	if again, err := e.Lease(Now, 100, time.Minute); err != nil || len(again) != 0 {
		t.Errorf("messages that are being sent were leased again: %v, %v", again, err)
	}
	if late, err := e.Lease(Now.Add(2*time.Minute), 100, time.Minute); err != nil || len(late) < len(rows) {
		t.Errorf("after the lease %d messages are due, want at least %d: %v", len(late), len(rows), err)
	}
}

func lives(t *testing.T, e Engine, want int) {
	t.Helper()
	view(t, e, func(tx *store.Tx) error {
		list, err := tx.Duty().LiveAlerts()
		if len(list) != want {
			t.Errorf("%d live alerts, want %d", len(list), want)
		}
		return err
	})
}

func alone(t *testing.T, e Engine) {
	const writers = 24
	var wg sync.WaitGroup
	errs := make([]error, writers)
	for i := range writers {
		wg.Go(func() {
			var fault error
			if i%3 == 0 {
				fault = errLate
			}
			errs[i] = e.Write(raise(i+1, fault))
		})
	}
	wg.Wait()
	stored := map[care.EntryID]bool{}
	list, _ := ids(t, e, "f1", 5)
	for _, x := range list {
		stored[x] = true
	}
	for i, err := range errs {
		if fails := i%3 == 0; stored[id(i+1)] == fails || errors.Is(err, errLate) != fails {
			t.Errorf("writer %d: answered %v, stored %v", i, err, stored[id(i+1)])
		}
	}
	lives(t, e, writers-writers/3)
}

func reopened(t *testing.T, e Engine) {
	write(t, e, raise(1, nil))
	add(t, e, entry(2, `{"rub":true}`), log.Added)
	before, sum := ids(t, e, "f1", 10)
	if err := e.Reopen(); err != nil {
		t.Fatal(err)
	}
	if after, again := ids(t, e, "f1", 10); len(after) != len(before) || again != sum {
		t.Errorf("log %v, checksum %s; want %v, %s", after, again, before, sum)
	}
	if v := value(t, e, "care/rub"); v != "true" {
		t.Errorf("rub is %q, want true", v)
	}
	lives(t, e, 1)
	add(t, e, entry(2, `{"rub":true}`), log.Duplicate)
}
