package interop_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
)

// No text of ours makes a spreadsheet calculate: whatever begins, after what a
// program may trim, with a sign that starts a formula (OWASP, CSV injection), in
// any width, is marked as text; anything else stands as it was written.
func TestNoCellIsAFormula(t *testing.T) {
	t.Parallel()
	for text, marked := range map[string]bool{
		"=1+1": true, "+1": true, "-1": true, "@SUM(A1)": true, "\t=1": true, "\v=1": true, "  =1+1": true, "\u00a0=1": true, "\u200b=1": true, "\ufeff=1": true,
		"＝1+1": true, "＋1": true, "－1": true, "＠SUM": true, "\u3000＝1": true, "|cmd": true, "%1": true,
		"W-0007": false, "Ann = Ben": false, "": false, " W": false, "王小明": false,
	} {
		var out bytes.Buffer
		if err := interop.RecallsCSV(&out, []interop.RecallRow{{Code: text}}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(out.String(), "\ufeff"))).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%q: %d rows, %v", text, len(rows), err)
		}
		want := text
		if marked {
			want = "'" + text
		}
		if got := rows[1][0]; got != want {
			t.Errorf("%q is written as %q, want %q", text, got, want)
		}
	}
}

// What a writer forgets to mark is marked where all of them end; a number stays one.
func TestNoTableHoldsAFormula(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	if err := interop.DictionaryCSV(&out, []interop.Column{{Name: "=1+1", Meaning: "-1.5"}}); err != nil {
		t.Fatal(err)
	}
	if got, want := out.String(), "column,meaning\r\n'=1+1,-1.5\r\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A stop of the right eye from the 2nd, a rest of both on the 1st alone: each
// night says what held in each eye, and the last column stays empty but in the line of a
// wearer whose nights are missing.
func TestTheNightsSayWhatHeld(t *testing.T) {
	t.Parallel()
	on := civil.MustDate
	wear := []care.WearFact{
		{ID: "rest", Kind: care.NotWorn, Night: on("2026-03-01"), State: "stored", Judged: care.Marks{Right: care.Rest, Left: care.Rest, Given: true}},
		{ID: "stop", Kind: care.Cease, Night: on("2026-03-02"), State: "stored", Eyes: []string{"right"}},
		{ID: "again", Kind: care.Resume, Night: on("2026-03-02"), State: "stored", Eyes: []string{"right", "left"}, Answers: []care.EntryID{"rest"}, From: on("2026-03-02")},
	}
	var out bytes.Buffer
	w := interop.NewNightsCSV(&out)
	nights := []care.Night{{Date: on("2026-02-28")}, {Date: on("2026-03-01")}, {Date: on("2026-03-02")}}
	if err := errors.Join(w.Write("W-1", nights, wear), w.Unread("W-2", "cannot be read"), w.Flush()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 5 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, want := range []string{"held_right held_left unread", "  ", "rest rest ", "stop  ", "  cannot be read"} {
		n := len(rows[i])
		if got := strings.Join(rows[i][n-3:], " "); got != want || n != len(interop.NightColumns) {
			t.Errorf("line %d: %q in %d cells, want %q", i+1, got, n, want)
		}
	}
}

// A red morning and a report of a sore eye stand in the table of nights, the worse of
// two that differ: whoever reads the table alone sees no calmer eye than the log.
func TestTheNightsTellOfTheEyes(t *testing.T) {
	t.Parallel()
	entry := func(n byte, author, kind, body string) *care.Entry {
		return &care.Entry{ID: care.EntryID("01900000-0000-7000-8000-00000000000" + string('0'+n)), Wearer: "w1", Device: "d1", DSeq: uint64(n), Author: care.PersonID(author),
			Kind: care.EntryKind(kind), Night: civil.MustDate("2026-03-01"), Wall: "2026-03-02T07:00:00", Zone: "UTC", HLC: "1774734000000-000" + string('0'+n), V: 1, Body: []byte(body)}
	}
	entries := []*care.Entry{
		entry(1, "p1", "morning", `{"redness":3,"comfort":2}`), entry(2, "t1", "morning", `{"redness":0,"comfort":4}`),
		entry(3, "p1", "symptoms", `{"right":{"pain":"persists"},"left":{"pain":"none"}}`),
	}
	nights := care.Fold(entries)
	var out bytes.Buffer
	w := interop.NewNightsCSV(&out)
	if err := errors.Join(w.Write("W-1", nights, nil), w.Write("W-1", []care.Night{{Date: civil.MustDate("2026-03-02")}}, nil), w.Flush()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	got := map[string]string{}
	for i, name := range rows[0] {
		got[name] = rows[1][i]
		if strings.HasPrefix(name, "eye_") && rows[2][i] != "" {
			t.Errorf("a night without a report has %s %q", name, rows[2][i])
		}
	}
	if got["redness"] != "3" || got["comfort"] != "2" || got["eye_reports"] != "1" || !strings.Contains(got["eye_signs"], "right: pain") || strings.Contains(got["eye_signs"], "left") {
		t.Errorf("%v", got)
	}
}
