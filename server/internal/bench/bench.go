// Package bench measures this machine. It owns the rows of `server/bench`:
// each sets what the server does beside a bare program that does the least
// that could be called the same, in the same run and in turns, so that a slow
// disk or a busy neighbour slows both. It refuses to give a figure without
// its baseline or a smaller size to grow from.
//
// Invariant: all traffic stays on the loopback, all files in one temporary
// folder, and the whole run ends within [Options.Budget].
package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web"
)

// rounds is how often each figure is taken; the median of them is reported.
const rounds = 5

// Program is the real server, wired but without an address of its own.
type Program struct {
	DB       *store.DB
	Server   *web.Server
	Reminder *remind.Runner
	Deliver  func(context.Context) // empties the outbox until the context ends
	Close    func() error
}

// Options say what to measure.
type Options struct {
	Rows   []int // numbers of the row groups, 1 to 9; empty: all
	Large  bool  // grow to 100,000 wearers, which takes several minutes and gigabytes
	Budget time.Duration
	// SQLite and Postgres, the address of a database on this machine, set row
	// group 1 beside those too, in a build with the tag compare.
	SQLite   bool
	Postgres string
	// Open wires the server over a data folder.
	Open func(dir string, now func() time.Time) (*Program, error)
	// Demo starts the demo over a data folder, in the evening, with so many more
	// children than two in its parent's family.
	Demo func(dir string, more int) (*Demo, error)
	Log  io.Writer // progress, one line per step
}

// Demo is a running demo.
type Demo struct {
	Link, Page       string           // signs a parent in; is the app itself
	Now              func() time.Time // the demo's clock
	Listen, Unlisten func() error     // the rest goes on without an address
	Stop             func() error
}

// Report is the result of a run.
type Report struct {
	Machine string    `json:"machine"` // its kind, never its name
	Go      string    `json:"go"`
	Started time.Time `json:"started"`
	Seconds float64   `json:"seconds"`
	Rows    []Row     `json:"rows"`
	Skipped []string  `json:"skipped"` // what was not measured and why
}

// Row is one figure beside its baseline.
type Row struct {
	Group    int     `json:"group"`
	Name     string  `json:"name"`
	Unit     string  `json:"unit"`
	Ours     Stat    `json:"ours"`
	Base     Stat    `json:"base"` // zero when the target is a plain limit
	BaseName string  `json:"base_name,omitempty"`
	Ratio    float64 `json:"ratio,omitempty"` // of the medians, ours to base
	Target   string  `json:"target"`
	Met      bool    `json:"met"`
}

// Stat is the median of the rounds with the least and the most.
type Stat struct {
	Median float64 `json:"median"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
	Runs   int     `json:"runs"`
}

// run is one run of the command.
type run struct {
	opt     Options
	ctx     context.Context
	dir     string
	report  Report
	started time.Time
	pair    *pair // both are opened by the first row group that needs them
	rest    []*other
	big     *crowd
	peak    float64 // pushes a second, once known
}

// groups are the row groups in the order in which they run: those that share a
// large file come last.
func groups() []struct {
	n    int
	name string
	f    func(*run) error
} {
	return []struct {
		n    int
		name string
		f    func(*run) error
	}{
		{1, "ingest", (*run).ingest}, {2, "pull", (*run).pull}, {8, "backup under load", (*run).backup}, {6, "report to hand-over", (*run).handOver},
		{4, "tick", (*run).tick}, {5, "rules", (*run).rules}, {3, "growth", (*run).growth}, {7, "review page", (*run).reviewPage},
		{9, "phone", (*run).phone},
	}
}

// Run measures and returns the report. What the budget leaves no time for is
// listed as skipped.
func Run(whole context.Context, opt Options) (Report, error) {
	if (opt.SQLite || opt.Postgres != "") && !carriesOthers {
		return Report{}, errNoOthers
	}
	ctx, cancel := context.WithTimeout(whole, opt.Budget)
	defer cancel()
	dir, err := os.MkdirTemp("", "nightkeep-bench-")
	if err != nil {
		return Report{}, err
	}
	defer os.RemoveAll(dir)
	r := &run{opt: opt, ctx: ctx, dir: dir, started: time.Now()}
	r.report = Report{Machine: fmt.Sprintf("%d cores, %s/%s", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH), Go: runtime.Version(), Started: r.started.UTC(), Skipped: []string{}}
	defer r.close()
	for _, g := range groups() {
		if len(opt.Rows) > 0 && !slices.Contains(opt.Rows, g.n) {
			continue
		}
		if r.ctx.Err() != nil {
			r.skip("%d %s: not begun, the time of this run was over", g.n, g.name)
			continue
		}
		r.say("%d %s", g.n, g.name)
		err := g.f(r)
		switch {
		case err != nil && errors.Is(r.ctx.Err(), context.DeadlineExceeded):
			r.skip("%d %s: not finished, the time of this run was over", g.n, g.name)
		case err != nil:
			return r.report, fmt.Errorf("row %d, %s: %w", g.n, g.name, err)
		}
		runtime.GC()
	}
	slices.SortStableFunc(r.report.Rows, func(a, b Row) int { return a.Group - b.Group })
	r.report.Seconds = time.Since(r.started).Seconds()
	return r.report, whole.Err()
}

func (r *run) say(format string, args ...any) {
	fmt.Fprintf(r.opt.Log, "%6.1f s  %s\n", time.Since(r.started).Seconds(), fmt.Sprintf(format, args...))
}

// close closes what row groups share. Their files are temporary.
func (r *run) close() {
	if r.pair != nil {
		_ = r.pair.close()
	}
	_ = closeOthers(r.rest)
	if r.big != nil {
		_ = r.big.prog.Close()
	}
}

func (r *run) skip(format string, args ...any) {
	r.report.Skipped = append(r.report.Skipped, fmt.Sprintf(format, args...))
}

// folder makes an empty folder of the run.
func (r *run) folder(name string) (string, error) {
	dir := filepath.Join(r.dir, name)
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	}
	return dir, nil
}

// atLeast adds a row whose ratio must not be below least.
func (r *run) atLeast(least float64, row Row) {
	row.Ratio = row.Ours.Median / row.Base.Median
	row.Target, row.Met = fmt.Sprintf("at least %.3g", least), row.Ratio >= least
	r.add(row)
}

// atMost adds a row whose ratio must not be above most; without a base its
// median must not be.
func (r *run) atMost(most float64, row Row) {
	got := row.Ours.Median
	if row.Base.Runs > 0 {
		row.Ratio = row.Ours.Median / row.Base.Median
		got = row.Ratio
	}
	row.Target, row.Met = fmt.Sprintf("at most %.3g", most), got <= most
	r.add(row)
}

// inform adds a row that has no target.
func (r *run) inform(row Row) {
	if row.Base.Runs > 0 {
		row.Ratio = row.Ours.Median / row.Base.Median
	}
	row.Target, row.Met = "none", true
	r.add(row)
}

func (r *run) add(row Row) {
	r.report.Rows = append(r.report.Rows, row)
	r.say("  %s", row)
}

// statOf sums up the rounds.
func statOf(list []float64) Stat {
	s := slices.Sorted(slices.Values(list))
	mid := s[len(s)/2]
	if len(s)%2 == 0 {
		mid = (mid + s[len(s)/2-1]) / 2
	}
	return Stat{mid, s[0], s[len(s)-1], len(s)}
}

func (s Stat) String() string {
	if s.Runs == 0 {
		return "-"
	}
	if s.Runs == 1 {
		return short(s.Median)
	}
	return fmt.Sprintf("%s (%s to %s)", short(s.Median), short(s.Min), short(s.Max))
}

// short writes a number with three figures.
func short(v float64) string {
	switch {
	case v >= 100:
		return fmt.Sprintf("%.0f", v)
	case v >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

func (row Row) String() string {
	out := fmt.Sprintf("%s: %s %s", row.Name, row.Ours, row.Unit)
	if row.Base.Runs > 0 {
		out += fmt.Sprintf("; %s: %s; ratio %.2f", row.BaseName, row.Base, row.Ratio)
	}
	if row.Target != "none" {
		out += "; target " + row.Target
		if !row.Met {
			out += ": MISSED"
		}
	}
	return out
}

// Table writes the report for people.
func (rep Report) Table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s, %.0f s; median (least to most) of the rounds\n\n", rep.Machine, rep.Go, rep.Seconds)
	for _, row := range rep.Rows {
		fmt.Fprintf(&b, "%d  %s\n", row.Group, row)
	}
	for _, s := range rep.Skipped {
		fmt.Fprintf(&b, "left out: %s\n", s)
	}
	return b.String()
}
