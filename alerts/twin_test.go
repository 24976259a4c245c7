package alerts_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
)

// TestTwinsAgreeOnRecords sends seeded random records, with gaps, nonsense
// values, settings out of bounds and future nights, through both evaluators.
func TestTwinsAgreeOnRecords(t *testing.T) {
	t.Parallel()
	const cases = 5000
	tb, rnd := alerts.Default(), rand.New(rand.NewPCG(1, 2))
	var stdin bytes.Buffer
	var want []string
	fired := map[string]bool{}
	for range cases {
		b, err := json.Marshal(randomInput(tb, rnd))
		if err != nil {
			t.Fatal(err)
		}
		stdin.Write(append(b, '\n'))
		var in alerts.Input // what the other side reads, not what was made
		if err := json.Unmarshal(b, &in); err != nil {
			t.Fatal(err)
		}
		var states []string
		for _, f := range tb.Evaluate(in) {
			states = append(states, strings.Join([]string{f.Rule, f.Eye, f.State.String(), f.Level.String(), strconv.Itoa(tb.Version)}, ":"))
			fired[f.Rule] = fired[f.Rule] || f.State == alerts.Fired
		}
		marks := tb.RecordMarks(tb.Evaluate(in))
		if in.Report != nil {
			marks = tb.ReportMarks(*in.Report)
		}
		want = append(want, fmt.Sprintf("%s %v %v", strings.Join(states, ","), marks.Right, marks.Left))
	}
	got := nodeWith(t, stdin.Bytes(), "evaluate")()
	if len(got) != cases {
		t.Fatalf("%d answers, want %d", len(got), cases)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("case %d:\nJavaScript %s\nGo         %s", i, got[i], want[i])
		}
	}
	for _, r := range tb.Rules {
		if !fired[r.ID] {
			t.Errorf("rule %s never fired in %d cases", r.ID, cases)
		}
	}
}

func randomInput(tb *alerts.Table, rnd *rand.Rand) alerts.Input {
	today := civil.MustDate("2026-03-20").AddDays(rnd.IntN(300))
	in := alerts.Input{Today: today, Nights: map[civil.Date]alerts.Signs{}, Facts: randomSigns(tb, rnd, alerts.OfFact), Settings: map[string]int{}}
	for back := -2; back < 16; back++ {
		if rnd.IntN(5) > 0 {
			in.Nights[today.AddDays(-back)] = randomSigns(tb, rnd, alerts.OfNight)
		}
	}
	for _, s := range tb.Settings {
		if rnd.IntN(2) == 0 {
			in.Settings[s.Name] = s.Min - 2 + rnd.IntN(s.Max-s.Min+5)
		}
	}
	if rnd.IntN(2) == 0 {
		r := randomReport(rnd)
		in.Report = &r
	}
	return in
}

func randomSigns(tb *alerts.Table, rnd *rand.Rand, scope alerts.Scope) alerts.Signs {
	out := alerts.Signs{}
	for _, s := range tb.Signs {
		if s.Scope != scope {
			continue
		}
		switch dice := rnd.IntN(12); {
		case dice == 0: // not logged
		case dice == 1:
			out[s.Name] = alerts.Word("unlogged")
		case dice == 2:
			out[s.Name] = alerts.Number(1e6)
		case s.Answers != nil:
			out[s.Name] = alerts.Word(s.Answers[rnd.IntN(len(s.Answers))])
		default: // near the limits, where rules differ
			out[s.Name] = alerts.Number(max(*s.Min, min(*s.Max, 0)) + float64(rnd.IntN(9))/2*float64([]int{1, 1, 20, 120}[rnd.IntN(4)]))
		}
	}
	return out
}
