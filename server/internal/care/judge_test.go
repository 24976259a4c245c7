package care_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

type judged struct {
	ID     care.EntryID    `json:"id"`
	Kind   care.EntryKind  `json:"kind"`
	Night  civil.Date      `json:"night"`
	At     string          `json:"at"`
	Body   json.RawMessage `json:"body"`
	Judged care.Marks      `json:"judged"`
	Recv   time.Time       `json:"recv"`
	SkewMS int64           `json:"skew_ms"`

	Retracts care.EntryID `json:"retracts"`
}

func (j judged) entry() *care.Entry {
	return &care.Entry{ID: j.ID, Wearer: "w1", Kind: j.Kind, Night: j.Night, Wall: j.At, Zone: "UTC", HLC: j.At, V: care.Schema, Body: j.Body, Judged: j.Judged, Retracts: j.Retracts, Recv: j.Recv, SkewMS: j.SkewMS}
}

// TestJudge goes through what one entry says of wearing; the JavaScript twin
// reads the same file in pwa/test/judge.test.js.
func TestJudge(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/judge.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name    string     `json:"name"`
			Log     []judged   `json:"log"`
			Draft   judged     `json:"draft"`
			Tonight civil.Date `json:"tonight"`
			Want    eyePair    `json:"want"`
		} `json:"cases"`
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) < 30 {
		t.Fatalf("%d cases, want 30 or more", len(file.Cases))
	}
	for _, tc := range file.Cases {
		t.Run(tc.Name, func(t *testing.T) {
			t.Parallel()
			var log []*care.Entry
			for _, j := range tc.Log {
				log = append(log, j.entry())
			}
			e := tc.Draft.entry()
			m := care.Judge(e, judging(e, log, tc.Tonight))
			if got := (eyePair{m.Right.String(), m.Left.String()}); got != tc.Want {
				t.Errorf("got %v, want %v", got, tc.Want)
			}
			if !m.Given || m.Table == 0 {
				t.Error("a judgement must say so, and by which table")
			}
			if m.Worst() >= care.Rest && !care.MayMark(e) {
				t.Error("MayMark says that this entry cannot be marked")
			}
		})
	}
}

// judging is what a log of a few entries is for the judge, without a store.
func judging(e *care.Entry, log []*care.Entry, tonight civil.Date) *care.Judging {
	live := func(all []*care.Entry) (out []*care.Entry) {
		var nights []civil.Date
		for _, x := range all {
			if !slices.Contains(nights, x.Night) {
				nights = append(nights, x.Night)
				out = append(out, care.Live("w1", x.Night, all)...)
			}
		}
		return out
	}
	return &care.Judging{
		Plan: schedule.Plan{FirstNight: civil.MustDate("2026-11-01")}, Tonight: tonight,
		Nights: func() (out []care.NightSigns) {
			for _, n := range care.Fold(append(slices.Clone(log), e)) {
				out = append(out, care.NightSignsOf(n.Date, care.Live("w1", n.Date, append(slices.Clone(log), e))))
			}
			return out
		},
		Facts: func() (out []care.WearFact) {
			for _, x := range log {
				out = append(out, x.WearFact())
			}
			return out
		},
		Entries: func() []*care.Entry { return live(log) },
		Said:    func() []*care.Entry { return log },
	}
}

// TestJudgedIsKept holds that what the server adds crosses the log and the wire
// as it is, and is no part of what two copies of an entry are compared by.
func TestJudgedIsKept(t *testing.T) {
	t.Parallel()
	const plain = `{"id":"01900000-0000-7000-8000-000000000001","wearer":"w1","device":"d1","dseq":1,"author":"p1","kind":"care","night":"2026-12-02","wall":"2026-12-02T21:00:00","zone":"UTC","offset":0,"hlc":"1796245500001-0000","v":1,"body":{"rub":true},"fseq":7,"recv":"2026-12-02T21:00:01Z","judged":%,"extra":1}`
	for _, m := range []string{`{"table":2}`, `{"table":2,"right":"stop","left":"stop"}`, `{"table":2,"left":"rest"}`, `{"table":12,"right":"clear"}`} {
		raw := strings.Replace(plain, "%", m, 1)
		raw = strings.Replace(raw, `,"extra":1`, "", 1)
		e, err := care.ParseEntry([]byte(raw))
		if err != nil {
			t.Fatal(err)
		}
		if !e.Judged.Given || string(e.AppendJSON(nil)) != raw {
			t.Errorf("%s came back as %s", raw, e.AppendJSON(nil))
		}
		bare := e
		bare.Forget()
		if bare.Judged.Given || !e.SameContent(&bare) {
			t.Errorf("%s: judged takes part in comparing", m)
		}
		if err := e.ReadBack(e.AppendJSON(nil)); err != nil {
			t.Error(err)
		}
	}
}
