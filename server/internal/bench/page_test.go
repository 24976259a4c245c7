package bench_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"nightkeep/server/internal/bench"
)

// The figures that are published are those of the kept runs: nobody types them.
func TestThePublishedFiguresAreThoseOfTheRuns(t *testing.T) {
	t.Parallel()
	const page = "../../FIGURES.md"
	raw, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("../../figures/run*.json")
	if err != nil || len(files) < 3 {
		t.Fatalf("%d runs are kept, want 3 or more (%v)", len(files), err)
	}
	var runs []bench.Report
	for _, file := range files {
		one, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var r bench.Report
		if err := json.Unmarshal(one, &r); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		runs = append(runs, r)
	}
	want, err := bench.Page(string(raw), runs)
	if err != nil {
		t.Fatal(err)
	}
	if want != string(raw) {
		t.Error("the table is not that of the runs: go run ./server/bench -page server/FIGURES.md server/figures/run*.json")
	}
}

// By hand: of 2, 3 and 10 the median is 3; the target of at least 2.5 is met twice.
func TestATableOfThreeRuns(t *testing.T) {
	t.Parallel()
	run := func(ratio float64) bench.Report {
		return bench.Report{Rows: []bench.Row{{Group: 1, Name: "ingest", Unit: "requests/s", Ours: bench.Stat{Median: 100 * ratio, Runs: 5},
			Base: bench.Stat{Median: 100, Runs: 5}, BaseName: "bare", Ratio: ratio, Target: "at least 2.5", Met: ratio >= 2.5}}}
	}
	place := "<!-- figures: go run ./server/bench -page server/FIGURES.md RUN.json ... -->\nold\n<!-- end of figures -->\n"
	got, err := bench.Page("before\n"+place+"after\n", []bench.Report{run(10), run(2), run(3)})
	if err != nil {
		t.Fatal(err)
	}
	want := "| ingest, beside: bare | 3 (2 to 10.0); 300 requests/s | at least 2.5 | met in 2 of 3 |\n"
	if !strings.Contains(got, want) || strings.Contains(got, "old") || !strings.HasSuffix(got, "after\n") {
		t.Errorf("got\n%s\nwant the row\n%s", got, want)
	}
	if _, err := bench.Page("no place", []bench.Report{run(1)}); err == nil {
		t.Error("a page without a place for the table is no error")
	}
}
