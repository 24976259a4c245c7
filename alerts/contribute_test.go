package alerts_test

import (
	"encoding/json"
	"strings"
	"testing"

	"nightkeep/alerts"
)

// A table of our own with one rule of each form.
const forms = `{"version":1,"signs":[
	{"name":"pain","scope":"eye","label":"pain","answers":["none","some","severe"],"meaning":""},
	{"name":"days","scope":"fact","label":"days since","min":0,"max":90,"unit":"days","meaning":""},
	{"name":"redness","scope":"night","label":"redness","min":0,"max":4,"unit":"grade","meaning":""},
	{"name":"halos","scope":"night","label":"halos","answers":["no","few","many"],"meaning":""}],
	"settings":[{"name":"limit","label":"limit","default":3,"min":2,"max":5,"unit":"nights","why":"none published"}],
	"actions":["bring","keep-lenses"],
	"rules":[
	{"id":"window","level":"note","about":"record","when":{"nights":{"of":{"setting":"limit"},"atLeast":2,"where":{"any":[{"sign":"redness","op":">=","value":2},{"sign":"halos","op":">=","value":"few"}]}}},"family":"f","clinic":"c","actions":["bring","keep-lenses"],"source":"s"},
	{"id":"fact","level":"note","about":"record","when":{"all":[{"sign":"days","op":">=","value":30},{"not":{"sign":"days","op":"<=","value":40}}]},"family":"f","clinic":"c","actions":["bring"],"source":"s"},
	{"id":"count","level":"note","about":"record","when":{"sign":"days","op":">","value":2},"family":"f","clinic":"c","actions":["bring"],"source":"s"},
	{"id":"below","level":"note","about":"record","when":{"sign":"days","op":"<","value":2},"family":"f","clinic":"c","actions":["bring"],"source":"s"},
	{"id":"report","level":"note","about":"symptoms","when":{"any":[{"sign":"pain","op":"=","value":"some"},{"all":[{"sign":"pain","op":">=","value":"severe"},{"not":{"sign":"pain","op":"=","value":"none"}}]}]},"family":"f","clinic":"c","actions":["bring"],"source":"s"}]}`

func formsTable(t *testing.T) *alerts.Table {
	t.Helper()
	tb, err := alerts.Load([]byte(forms))
	if err != nil {
		t.Fatal(err)
	}
	return tb
}

// What was logged takes part in a rule when by itself it meets one comparison of it,
// in a night the window holds, or brings a fact the rule looks at. Each case stands
// beside one that differs by a step; the table is this file's own.
func TestContributes(t *testing.T) {
	t.Parallel()
	tb := formsTable(t)
	for _, c := range []struct {
		rule, night, facts string
		ago, limit         int // limit 0: the usual 3
		want               bool
	}{
		{"window", `{"redness":2}`, ``, 0, 0, true},
		{"window", `{"redness":1}`, ``, 0, 0, false},
		{"window", `{"halos":"few"}`, ``, 0, 0, true},
		{"window", `{"halos":"no"}`, ``, 0, 0, false},
		{"window", `{}`, ``, 0, 0, false},
		{"window", `{"redness":2}`, ``, 2, 0, true},
		{"window", `{"redness":2}`, ``, 3, 0, false}, // the window of three nights ends
		{"window", `{"redness":2}`, ``, 3, 4, true},  // by the practice's setting it does not
		{"window", `{"redness":2}`, ``, -1, 0, false},
		{"fact", ``, `{"days":30}`, 0, 0, true},
		{"fact", ``, `{"days":1}`, 0, 0, true}, // a count is brought by each of its parts
		{"fact", ``, `{}`, 0, 0, false},
		{"fact", ``, `{"days":0}`, 0, 0, true}, // meets the limit from above
		{"count", ``, `{"days":1}`, 0, 0, true},
		{"count", ``, `{"days":0}`, 0, 0, false},
		{"below", ``, `{"days":1}`, 0, 0, true},
		{"below", ``, `{"days":2}`, 0, 0, false},
		{"report", `{"redness":4}`, `{"days":90}`, 0, 0, false}, // about symptoms: nothing of the record
		{"no such rule", `{"redness":4}`, `{"days":90}`, 0, 0, false},
	} {
		var night alerts.Signs
		var facts alerts.Signs
		for text, into := range map[string]any{c.night: &night, c.facts: &facts} {
			if text == "" {
				continue
			}
			if err := json.Unmarshal([]byte(text), into); err != nil {
				t.Fatal(err)
			}
		}
		var settings map[string]int
		if c.limit > 0 {
			settings = map[string]int{"limit": c.limit}
		}
		if got := tb.Contributes(c.rule, night, c.ago, facts, settings); got != c.want {
			t.Errorf("%s, night %s, facts %s, %d nights ago, limit %d: %t, want %t", c.rule, c.night, c.facts, c.ago, c.limit, got, c.want)
		}
	}
}

// The condition of a rule reads as the table says it: brackets where another order
// would be another rule, "or worse" where there is worse, and every step of advice.
func TestConditionsInWords(t *testing.T) {
	t.Parallel()
	rows := formsTable(t).Rows(nil)
	for i, want := range []string{
		"on at least 2 of the last limit (3 nights) nights: redness >= 2 grade or halos: few or worse",
		"days since >= 30 days and not (days since <= 40 days)",
		"days since > 2 days",
		"days since < 2 days",
		"pain: some or (pain: severe and not (pain: none))",
	} {
		if got := rows[i].Condition; got != want && !strings.HasPrefix(want, "on at least") {
			t.Errorf("%s: %q, want %q", rows[i].ID, got, want)
		} else if i == 0 && (!strings.HasPrefix(got, "on at least 2 of the last ") || !strings.HasSuffix(got, " nights: redness >= 2 grade or halos: few or worse")) {
			t.Errorf("%s: %q", rows[i].ID, got)
		}
	}
	if len(rows[0].Steps) != 2 || rows[0].Steps[0] == "" || rows[0].Steps[1] == "" || rows[0].Steps[0] == rows[0].Steps[1] {
		t.Errorf("steps %q, want both", rows[0].Steps)
	}
}
