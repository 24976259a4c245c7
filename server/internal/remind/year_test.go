package remind_test

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

// yearFile holds instants and dates made by other libraries; it names them.
type yearFile struct {
	Year []struct {
		Zone, Clock string
		Runs        [][3]any // first date, dates, minutes to add
	}
	Months []struct {
		Start civil.Date
		Due   []civil.Date
	}
}

// wall says when a wall clock in a zone shows a time on a date, without any of
// our own code.
type wall map[string]time.Time

func (w wall) at(zone string, date civil.Date, clock string) time.Time {
	return w[zone+" "+date.String()+" "+clock]
}

func readYear(t *testing.T) (wall, []string, yearFile) {
	t.Helper()
	raw, err := os.ReadFile("../../../testdata/schedule/year.json")
	if err != nil {
		t.Fatal(err)
	}
	var f yearFile
	if err := json.Unmarshal(raw, &f); err != nil {
		t.Fatal(err)
	}
	w, zones := wall{}, []string{}
	for _, y := range f.Year {
		if len(zones) == 0 || zones[len(zones)-1] != y.Zone {
			zones = append(zones, y.Zone)
		}
		for _, run := range y.Runs {
			day, err := time.Parse("2006-01-02 15:04", run[0].(string)+" "+y.Clock)
			if err != nil {
				t.Fatal(err)
			}
			for range int(run[1].(float64)) {
				at := day.Add(time.Duration(run[2].(float64)) * time.Minute)
				w[y.Zone+" "+day.Format(time.DateOnly)+" "+y.Clock] = at
				day = day.AddDate(0, 0, 1)
			}
		}
	}
	if len(zones) != 40 {
		t.Fatalf("%d zones, want 40", len(zones))
	}
	return w, zones, f
}

// home is one simulated family with one wearer.
type home struct {
	n         int
	zone      string
	loc       *time.Location
	insertion string
	plan      schedule.Plan
	cases     []civil.Date // on which a new case was started
}

// logsInsertion and logsRemoval say whether the family writes it down before
// it is reminded. They miss too few in a row for a rule to become quieter.
func (h *home) logsInsertion(day int) bool { return (day+h.n)%3 != 0 }
func (h *home) logsRemoval(day int) bool   { return (day+h.n)%4 != 1 }

var firstOfYear = civil.MustDate("2026-01-01")

// load is the log as it stands at now: what is not written down in time is
// written down by the following noon, and a case is replaced on its due date,
// after the reminder.
func (h *home) load(now time.Time) remind.Case {
	tonight, today := civil.NightOf(now, h.loc), civil.DateOf(now.In(h.loc))
	var log schedule.Log
	for back := range 6 {
		night := tonight.AddDays(-back)
		day := night.DaysSince(firstOfYear)
		log.Nights = append(log.Nights, schedule.Night{
			Night: night, Inserted: back > 0 || h.logsInsertion(day), Removed: back > 1 || h.logsRemoval(day),
		})
	}
	for i, d := range h.cases {
		if i == 0 || d.Before(today) {
			log.Supplies = []schedule.Supply{{ID: "case", Item: "case", Started: d}}
		}
	}
	return remind.Case{Family: care.FamilyID(fmt.Sprintf("f%d", h.n)), Input: schedule.Input{Plan: h.plan, Loc: h.loc, Log: log}}
}

// expected lists every reminder of the year with its instant, from the
// vectors alone.
func (h *home) expected(w wall, from, to time.Time) map[string]time.Time {
	out := map[string]time.Time{}
	put := func(key string, date civil.Date, at time.Time) {
		if !at.Before(from) && at.Before(to) {
			out[fmt.Sprintf("w%d %s %s", h.n, key, date)] = at
		}
	}
	for day := -2; day <= 366; day++ {
		night := firstOfYear.AddDays(day)
		if !h.logsInsertion(day) {
			on := night
			if h.insertion < "12:00" {
				on = night.AddDays(1)
			}
			put("insertion", night, w.at(h.zone, on, h.insertion))
		}
		if !h.logsRemoval(day) {
			put("removal", night, w.at(h.zone, night.AddDays(1), "06:45"))
		}
	}
	for _, d := range h.cases[1:] {
		put("case", d, w.at(h.zone, d, "18:30"))
	}
	return out
}

func homes(t *testing.T, zones []string, f yearFile) []*home {
	t.Helper()
	out := make([]*home, families)
	for n := range out {
		h := &home{n: n, zone: zones[n%40], insertion: []string{"00:00", "00:15", "02:15", "21:30"}[n/40%4]}
		var err error
		if h.loc, err = time.LoadLocation(h.zone); err != nil {
			t.Fatal(err)
		}
		chain := f.Months[n%len(f.Months)]
		h.cases = append([]civil.Date{chain.Start}, chain.Due...)
		p := schedule.DefaultPlan(civil.MustDate("2025-12-01"), h.zone)
		p.InsertionAt, p.RemovalAt = civil.MustClock(h.insertion), civil.MustClock("06:45")
		p.WearTo, p.MinHours = civil.MustClock("08:30"), 4
		p.QuietFrom, p.QuietTo = 0, 0
		p.Off = []string{"care", "spectacles", "evening-sight", "lens", "recall"}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		h.plan = p
		out[n] = h
	}
	return out
}

// TestSimulatedYear runs a thousand families in forty zones, among them some
// that jump at midnight and one that jumps by half an hour, through 2026. The
// program restarts at random, and ticks each 30 s from wherever it started.
// Every reminder that the independent dates ask for comes exactly once, within
// the minute, and no other comes. Four shards keep every core at work.
func TestSimulatedYear(t *testing.T) {
	t.Parallel()
	w, zones, file := readYear(t)
	all := homes(t, zones, file)
	for shard := range 4 {
		t.Run(fmt.Sprintf("families %d of 4", shard+1), func(t *testing.T) {
			t.Parallel()
			var mine []*home
			for _, h := range all {
				if h.n/40%4 == (h.n+shard)%4 { // every zone with every clock, over the shards
					mine = append(mine, h)
				}
			}
			year(t, w, mine, uint64(shard))
		})
	}
}

func year(t *testing.T, w wall, mine []*home, seed uint64) {
	from := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	to := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	want, byID := map[string]time.Time{}, map[care.WearerID]*home{}
	for _, h := range mine {
		byID[care.WearerID(fmt.Sprintf("w%d", h.n))] = h
		for k, at := range h.expected(w, from, to) {
			want[k] = at
		}
	}
	now := from.AddDate(0, 0, -2) // two days to get going, which do not count
	m := newMemory(func(id care.WearerID) (remind.Case, error) { return byID[id].load(now), nil })
	p := &phones{}
	start := func() *remind.Runner {
		return &remind.Runner{Ledger: m, Sender: p, Log: slog.New(slog.DiscardHandler)}
	}
	r := start()
	for id := range byID {
		if err := r.Reconsider(id, now); err != nil {
			t.Fatal(err)
		}
	}
	dice := rand.New(rand.NewPCG(seed, 2))
	phase, restarts, faults, total := time.Duration(0), 0, 0, len(want)
	for faults < 20 {
		next, ok := m.first()
		if !ok || !next.at.Before(to) {
			break
		}
		now = ticks(next.at, phase)
		if _, err := r.Tick(t.Context(), now); err != nil {
			t.Fatal(err)
		}
		for _, key := range p.keys() {
			at, expected := want[key]
			delete(want, key)
			if late := now.Sub(at); !now.Before(from) && (!expected || late < 0 || late >= time.Minute) {
				t.Errorf("%s at %s: wanted at %s (zero: not at all, or not twice)", key, now, at)
				faults++
			}
		}
		if dice.IntN(40) == 0 {
			r, phase, restarts = start(), time.Duration(dice.IntN(30))*time.Second, restarts+1
		}
	}
	for key, at := range want {
		t.Errorf("%d of %d never came, such as %s at %s", len(want), total, key, at)
		break
	}
	if total < 50*families || restarts < 50 {
		t.Errorf("only %d reminders and %d restarts: not the year that was meant", total, restarts)
	}
	t.Logf("%d reminders, each once; %d restarts", total, restarts)
}

// keys takes what was sent since the last call, as "wearer key date".
func (p *phones) keys() []string {
	var out []string
	for _, msg := range p.got {
		for _, it := range msg.Items {
			out = append(out, fmt.Sprintf("%s %s %s", it.Wearer, it.Firing().Key, it.Firing().Date))
		}
	}
	p.got = p.got[:0]
	return out
}

// ticks returns the first tick at or after an instant when ticks come every
// 30 s from a phase.
func ticks(at time.Time, phase time.Duration) time.Time {
	t := at.Truncate(remind.Every).Add(phase)
	if t.Before(at) {
		t = t.Add(remind.Every)
	}
	return t
}
