package alerts_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"nightkeep/alerts"
)

func TestLoadRefuses(t *testing.T) {
	t.Parallel()
	rule := func(fields string) string {
		return `{"version":1,"signs":[{"name":"pain","scope":"eye","label":"pain","answers":["none","gone"],"meaning":""},
			{"name":"days","scope":"fact","label":"days","min":0,"max":9,"unit":"days","meaning":""},
			{"name":"redness","scope":"night","label":"redness","min":0,"max":3,"unit":"grade","meaning":""}],
			"settings":[{"name":"limit","label":"limit","default":3,"min":1,"max":5,"unit":"days","why":"none published"}],
			"actions":["lenses-out","no-lens","call-now","call-today","keep-lenses","bring"],
			"rules":[` + fields + `]}`
	}
	const tail = `,"family":"f","clinic":"c","actions":["lenses-out"],"source":"s"}`
	const all = `,"family":"f","clinic":"c","actions":["lenses-out","no-lens","call-now","call-today","keep-lenses","bring"],"mark":"stop","source":"s"}`
	const pain = `{"sign":"pain","op":">=","value":"gone"}`
	const ok = `{"id":"a","level":"note","about":"symptoms","when":` + pain + tail
	note := func(when string) string {
		return rule(`{"id":"a","level":"note","about":"record","when":` + when + tail)
	}
	if _, err := alerts.Load([]byte(rule(ok))); err != nil {
		t.Fatalf("the table that the faults are put into: %v", err)
	}
	tests := []struct{ name, table, want string }{
		{"not JSON", `{`, "EOF"},
		{"something after", rule(ok) + `{}`, "follows"},
		{"unknown field", rule(strings.Replace(ok, `"id"`, `"colour":"red","id"`, 1)), "unknown field"},
		{"unknown field in a condition", note(`{"sign":"days","op":">=","value":1,"unit":"d"}`), "unknown field"},
		{"sign without a name", strings.Replace(rule(ok), `"name":"pain"`, `"name":""`, 1), "unnamed"},
		{"sign of an unknown scope", strings.Replace(rule(ok), `"scope":"eye"`, `"scope":"ear"`, 1), "scope"},
		{"sign twice", strings.Replace(rule(ok), `"name":"days","scope":"fact"`, `"name":"redness","scope":"fact"`, 1), "twice"},
		{"sign with one answer", strings.Replace(rule(ok), `["none","gone"]`, `["gone"]`, 1), "two answers"},
		{"sign with answers and a least number", strings.Replace(rule(ok), `"answers":["none","gone"]`, `"answers":["none","gone"],"min":0`, 1), "two answers"},
		{"sign with answers and a greatest number", strings.Replace(rule(ok), `"answers":["none","gone"]`, `"answers":["none","gone"],"max":3`, 1), "two answers"},
		{"sign with answers and a range", strings.Replace(rule(ok), `"answers":["none","gone"]`, `"answers":["none","gone"],"min":0,"max":3,"unit":"grade"`, 1), "two answers"},
		{"sign with neither", strings.Replace(rule(ok), `"answers":["none","gone"],`, ``, 1), "two answers"},
		{"sign without a least number", strings.Replace(rule(ok), `"min":0,"max":9`, `"max":9`, 1), "range"},
		{"sign without a greatest number", strings.Replace(rule(ok), `"min":0,"max":9`, `"min":0`, 1), "range"},
		{"sign with an empty range", strings.Replace(rule(ok), `"min":0,"max":9`, `"min":9,"max":9`, 1), "range"},
		{"sign without a unit", strings.Replace(rule(ok), `"unit":"grade"`, `"unit":""`, 1), "unit"},
		{"setting without a name", strings.Replace(rule(ok), `"name":"limit"`, `"name":""`, 1), "unnamed"},
		{"setting below its least", strings.Replace(rule(ok), `"default":3,"min":1`, `"default":0,"min":1`, 1), "min <= default"},
		{"setting above its greatest", strings.Replace(rule(ok), `"default":3,"min":1,"max":5`, `"default":6,"min":1,"max":5`, 1), "default <= max"},
		{"setting without a reason", strings.Replace(rule(ok), `"why":"none published"`, `"why":""`, 1), "reason"},
		{"number under the range", note(`{"sign":"days","op":">=","value":-1}`), "from 0 to 9"},
		{"an answer by another operator", rule(strings.Replace(ok, `">="`, `"<="`, 1)), "want = or >="},
		{"rule about nothing", rule(strings.Replace(ok, `"about":"symptoms"`, `"about":"weather"`, 1)), "weather"},
		{"no text for the family", rule(strings.Replace(ok, `"family":"f"`, `"family":""`, 1)), "text"},
		{"no text for the clinic", rule(strings.Replace(ok, `"clinic":"c"`, `"clinic":""`, 1)), "text"},
		{"no rules", rule(``), "no rules"},
		{"duplicate id", rule(ok + "," + ok), "twice"},
		{"missing source", rule(strings.Replace(ok, `"source":"s"`, `"source":""`, 1)), "source"},
		{"unknown level", rule(strings.Replace(ok, "note", "red", 1)), `"red"`},
		{"level none", rule(strings.Replace(ok, "note", "none", 1)), "level"},
		{"unknown sign", note(`{"sign":"itch","op":">=","value":1}`), "itch"},
		{"sign of the other kind of rule", note(pain), "pain"},
		{"unknown operator", note(`{"sign":"days","op":"!=","value":1}`), "operator"},
		{"unknown answer", rule(strings.Replace(ok, "gone", "awful", 1)), "awful"},
		{"answer that always holds", rule(strings.Replace(ok, `"gone"}`, `"none"}`, 1)), "none"},
		{"word for a number", note(`{"sign":"days","op":">=","value":"many"}`), "days"},
		{"number out of range", note(`{"sign":"days","op":">=","value":10}`), "days"},
		{"null limit", note(`{"sign":"days","op":">=","value":null}`), "value"},
		{"unknown setting", note(`{"sign":"days","op":">=","value":{"setting":"other"}}`), "setting"},
		{"two forms", note(`{"sign":"days","op":">=","value":1,"all":[]}`), "forms"},
		{"no form", note(`{}`), "forms"},
		{"one term", note(`{"all":[{"sign":"days","op":">=","value":1}]}`), "two terms"},
		{"night outside a window", note(`{"sign":"redness","op":">=","value":1}`), "window"},
		{"fact inside a window", note(`{"nights":{"of":2,"atLeast":1,"where":{"sign":"days","op":">=","value":1}}}`), "window"},
		{"window of nothing", note(`{"nights":{"of":2,"atLeast":0,"where":{"sign":"redness","op":">=","value":1}}}`), "atLeast"},
		{"window too small", note(`{"nights":{"of":2,"atLeast":3,"where":{"sign":"redness","op":">=","value":1}}}`), "atLeast"},
		{"unknown advice", rule(strings.Replace(ok, `["lenses-out"]`, `["hope"]`, 1)), "hope"},
		{"no advice", rule(strings.Replace(ok, `["lenses-out"]`, `[]`, 1)), "advice"},
		{"emergency without phoning", rule(strings.Replace(ok, "note", "emergency", 1)), "no-lens"},
		{"mark without its advice", rule(strings.Replace(ok, `"source"`, `"mark":"stop","source"`, 1)), "mark"},
		{"advice without its mark", rule(`{"id":"a","level":"urgent","about":"symptoms","when":` + pain + strings.Replace(all, `"mark":"stop",`, "", 1)), "mark"},
		{"unknown mark", rule(strings.Replace(ok, `"source"`, `"mark":"halt","source"`, 1)), "halt"},
		{"a step that gives way to none", strings.Replace(rule(ok), `"rules":[`, `"gives_way":[{"action":"bring","to":[]}],"rules":[`, 1), "gives_way"},
		{"a step that gives way to an unknown one", strings.Replace(rule(ok), `"rules":[`, `"gives_way":[{"action":"bring","to":["hope"]}],"rules":[`, 1), "gives_way"},
		{"emergency with not", rule(`{"id":"a","level":"emergency","about":"symptoms","when":{"not":` + pain + `}` + all), "not"},
		{"emergency with a setting", rule(`{"id":"a","level":"emergency","about":"record","when":{"sign":"days","op":">=","value":{"setting":"limit"}}` + all), "lower"},
		{"urgent with a setting that can lower it", rule(`{"id":"a","level":"urgent","about":"record","when":{"sign":"days","op":">=","value":{"setting":"limit"}}` + all), "lower"},
	}
	sourced := strings.Replace(rule(`{"id":"a","level":"urgent","about":"record","when":{"sign":"days","op":">=","value":{"setting":"limit"}}`+all), `"why"`, `"source":"s","why"`, 1)
	if _, err := alerts.Load([]byte(sourced)); err != nil {
		t.Errorf("an urgent rule with a setting whose bounds have a source: %v", err)
	}
	for what, table := range map[string]string{ // just within what is refused above
		"the least and the greatest number":   note(`{"all":[{"sign":"days","op":">=","value":0},{"sign":"days","op":"<=","value":9}]}`),
		"a setting at its least":              strings.Replace(rule(ok), `"default":3`, `"default":1`, 1),
		"a setting at its greatest":           strings.Replace(rule(ok), `"default":3`, `"default":5`, 1),
		"a sign of one number on, to another": strings.Replace(rule(ok), `"min":0,"max":9`, `"min":8,"max":9`, 1),
		"an answer that is the one":           rule(strings.Replace(ok, `">="`, `"="`, 1)),
		"the mildest answer alone":            rule(strings.Replace(strings.Replace(ok, `">="`, `"="`, 1), `"gone"}`, `"none"}`, 1)),
	} {
		if _, err := alerts.Load([]byte(table)); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, err := alerts.Load([]byte(tt.table))
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want an error about %q", err, tt.want)
			}
		})
	}
}

// The names and answers are those that phones send; a change here is a change
// of the entry contract.
func TestSignsOfAReportAreThoseOfTheContract(t *testing.T) {
	t.Parallel()
	var got []string
	for _, s := range alerts.Default().Signs {
		if s.Scope == alerts.OfEye || s.Scope == alerts.OfReport {
			got = append(got, string(s.Name)+" "+strings.Join(s.Answers, " "))
		}
	}
	var want []string
	for _, s := range space {
		want = append(want, s.sign+" "+strings.Join(s.answers, " "))
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestEveryKeyHasAWording(t *testing.T) {
	t.Parallel()
	tb, say := alerts.Default(), alerts.English()
	keys := []string{"answer.unknown"}
	for _, r := range tb.Rules {
		keys = append(keys, r.Family, r.Clinic)
	}
	for _, a := range tb.Actions {
		keys = append(keys, "action."+a)
	}
	for _, l := range []string{"none", "note", "routine", "urgent", "emergency"} {
		keys = append(keys, "level."+l)
	}
	keys = append(keys, "level.none.told", "level.note.told", "level.routine.told", "level.unsure.told", "level.unsure",
		"told.rinse-eye", "told.leave-lens", "told.lens-if-loose", "told.stuck-lens", "told.lenses-out", "told.lenses-stay-out", "told.go-now", "told.call-now", "told.call-today")
	for _, k := range []string{"fired", "clear", "unknown"} {
		keys = append(keys, "state."+k)
	}
	for _, k := range []string{"at-least", "unknown", "better", "cannot-see", "worried", "local"} {
		keys = append(keys, "caution."+k)
	}
	for _, k := range []string{"unknown", "soon", "over-12-hours", "over-49-hours"} {
		keys = append(keys, "delay."+k)
	}
	for _, s := range space {
		keys = append(keys, "sign."+s.sign)
		for _, a := range s.answers {
			keys = append(keys, "answer."+s.sign+"."+a)
		}
	}
	for _, k := range keys {
		if say.Texts[k].Text == "" {
			t.Errorf("no wording for %q", k)
		}
	}
	for _, id := range []string{"peroxide", "stuck-lens", "dropped-lens", "broken-lens", "swapped-lenses", "red-eye"} {
		found := false
		for _, c := range say.Cards {
			found = found || c.ID == id && c.Title != "" && len(c.Do) > 0 && len(c.Dont) > 0 && c.Source != ""
		}
		if !found {
			t.Errorf("help card %q is missing or lacks steps or source", id)
		}
	}
}

// The lens is prescribed for the night, so soft-lens advice would be wrong; an
// eye is never called fine; lenses and case are kept and brought.
func TestWordsThatMustAndMustNotAppear(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("texts.json")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ToLower(string(b))
	for _, bad := range []string{"never sleep in", "8-10 h", "eye is fine", "eye is healthy", "nothing to worry", "you have an infection", "diagnos"} {
		if strings.Contains(text, bad) {
			t.Errorf("texts.json says %q", bad)
		}
	}
	bring := alerts.English().Say("action.bring")
	for _, w := range []string{"lenses", "case", "bottle", "spectacles"} {
		if !strings.Contains(bring, w) {
			t.Errorf("bring: %q lacks %q", bring, w)
		}
	}
}

// Infections come years after fitting as well as weeks (Hu 2021; Kam 2017), so
// no symptom rule may look at anything but the report.
func TestSymptomRulesLookOnlyAtTheReport(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	r := alerts.Report{Right: map[string]string{"redness": "mild"}, Ill: "no"}
	for _, nights := range []float64{1, 400, 4000} {
		n := 0
		for _, f := range tb.Evaluate(alerts.Input{Report: &r, Facts: alerts.Signs{"nights_since_start": alerts.Number(nights)}}) {
			if f.State == alerts.Fired && tb.Rule(f.Rule).About == "symptoms" {
				n++
			}
		}
		if n != 1 {
			t.Errorf("after %v nights %d symptom rules fire, want 1", nights, n)
		}
	}
}

func TestDelay(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 29, 8, 0, 0, 0, time.UTC)
	// Keay 2006: over 12 h; Eye 2009: 49 to 72 h.
	tests := []struct {
		name  string
		began time.Time
		want  string
	}{
		{"not said", time.Time{}, "delay.unknown"},
		{"in the future", now.Add(time.Minute), "delay.unknown"},
		{"12 h", now.Add(-12 * time.Hour), "delay.soon"},
		{"13 h", now.Add(-13 * time.Hour), "delay.over-12-hours"},
		{"just under 49 h", now.Add(-49*time.Hour + time.Second), "delay.over-12-hours"},
		{"49 h", now.Add(-49 * time.Hour), "delay.over-49-hours"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if got := alerts.Delay(tt.began, now); got != tt.want {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
}

func TestCheckSettings(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	if err := tb.CheckSettings(map[string]int{"missed_nights": 7}); err != nil {
		t.Error(err)
	}
	for _, bad := range []map[string]int{{"missed_nights": 8}, {"missed_nights": 1}, {"water_watch_days": 27}, {"other": 1}} {
		if tb.CheckSettings(bad) == nil {
			t.Errorf("%v was accepted", bad)
		}
	}
}

func TestFindingsCarryTheVersionOfTheTable(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("rules.json")
	if err != nil {
		t.Fatal(err)
	}
	tb, err := alerts.Load(bytes.Replace(b, []byte(`"version": 7,`), []byte(`"version": 8,`), 1))
	if err != nil {
		t.Fatal(err)
	}
	f, err := json.Marshal(tb.Evaluate(alerts.Input{})[0])
	if err != nil || !bytes.Contains(f, []byte(`"version":8`)) || !bytes.Contains(f, []byte(`"state":"unknown"`)) {
		t.Errorf("got %s, %v", f, err)
	}
}

func TestTheWholeTableCanBeRead(t *testing.T) {
	t.Parallel()
	tb := alerts.Default()
	var text, page bytes.Buffer
	if err := alerts.WriteText(&text, tb); err != nil {
		t.Fatal(err)
	}
	if err := alerts.WriteHTML(&page, tb); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"version 7", "stuck-twice", "on at least 2 of the last 7 nights: lens stuck on waking: came-off or worse",
		"Lens bound on two or more of the last 7 nights", "Swarbrick and Holden 1996", "[setting missed_nights, 2 to 7]"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("text lacks %q", want)
		}
		if !strings.Contains(page.String(), want) {
			t.Errorf("page lacks %q", want)
		}
	}
	if n := strings.Count(page.String(), "<tr id="); n != len(tb.Rules) {
		t.Errorf("page shows %d rules of %d", n, len(tb.Rules))
	}
}

// The watch after water is weeks to months (CDC, clinical overview of Acanthamoeba
// keratitis; onset from textbooks): 90 days unless a practice says otherwise, never
// below 28. The most is what the nights that rules look at are counted by.
func TestTheWatchAfterWater(t *testing.T) {
	t.Parallel()
	for _, s := range alerts.Default().Settings {
		if s.Name == "water_watch_days" {
			if s.Default != 90 || s.Min != 28 || s.Max != 120 || s.Source == "" {
				t.Errorf("%+v, want 90, 28 to 120, with its source", s)
			}
			return
		}
	}
	t.Error("no setting water_watch_days")
}
