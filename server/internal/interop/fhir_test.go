package interop_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
)

// entries is an invented log: a corrected removal, a retracted care entry,
// two evenings, a symptom report with an odd note, two runs of the sight test.
func entries() []*care.Entry {
	var list []*care.Entry
	add := func(n int, kind care.EntryKind, night, wall, body string) *care.Entry {
		e := &care.Entry{
			ID: care.EntryID(fmt.Sprintf("01900000-0000-7000-8000-%012d", n)), Wearer: "w7", Device: "d1", DSeq: uint64(n), Author: "p1", Kind: kind,
			Night: civil.MustDate(night), Wall: wall, Zone: "Europe/Lisbon", Offset: 60, HLC: fmt.Sprintf("%013d-0000", 1777000000000+n), V: 1,
			Body: json.RawMessage(body), FSeq: uint64(n),
		}
		at, _ := e.Instant()
		e.Recv = at.Add(time.Minute)
		list = append(list, e)
		return e
	}
	add(1, care.Insertion, "2026-05-04", "2026-05-04T21:05:00", `{"at":"21:00","eyes":"both"}`)
	add(2, care.Removal, "2026-05-04", "2026-05-05T07:10:00", `{"at":"06:00","eyes":"both","slept_minutes":480}`)
	add(3, care.Removal, "2026-05-04", "2026-05-05T07:30:00", `{"at":"07:00","eyes":"both","slept_minutes":480}`).Supersedes = []care.EntryID{list[1].ID}
	add(4, care.Care, "2026-05-04", "2026-05-05T07:12:00", `{"hand_wash":true,"rub":true,"rinse":"tap-water","tap_water":true}`)
	retraction := add(5, care.Retraction, "2026-05-04", "2026-05-05T07:20:00", `{"reason":"wrong child"}`)
	retraction.Retracts, retraction.Author = list[3].ID, "p2"
	add(6, care.Care, "2026-05-04", "2026-05-05T07:21:00", `{"hand_wash":true,"rinse":"solution","closed_at":"07:25","case_dried":false}`)
	add(7, care.Morning, "2026-05-04", "2026-05-05T07:15:00", `{"moved":"freely","comfort":4,"redness":0,"drops":true}`)
	add(8, care.EveningSight, "2026-05-05", "2026-05-05T19:00:00", `{"rating":4,"hours_since_removal":12,"halos":"some","spectacles":false}`).Author = "p2"
	add(9, care.NotWorn, "2026-05-05", "2026-05-05T21:00:00", `{"reason":"sore-eye","eyes":"left"}`)
	add(10, care.Symptoms, "2026-05-05", "2026-05-05T21:02:00", `{"left":{"pain":"gone","redness":"mild","lens":"out"},"began":"2026-05-05T20:30:00+01:00","ill":"no","note":"a little\u00a0sore\u0007 \ufeff"}`)
	add(11, care.EveningSight, "2026-05-06", "2026-05-06T19:00:00", `{"rating":2}`).Author = "p2"
	add(12, care.AcuityRun, "2026-05-06", "2026-05-06T19:05:00", `{"eye":"right","distance_m":2,"px_per_mm":6,"trials":`+trials+`}`)
	add(13, care.AcuityRun, "2026-05-06", "2026-05-06T19:09:00", `{"eye":"left","distance_m":2,"px_per_mm":6,"trials":[[0.3,1],[0.2,1]],"stopped_early":true}`)
	add(14, care.Supply, "2026-05-06", "2026-05-06T19:20:00", `{"item":"solution","action":"started","on":"2026-05-05","eye":"both","discard_after_days":90,"label":"kitchen"}`)
	add(15, care.Note, "2026-05-06", "2026-05-06T19:22:00", `{"text":"School trip next week"}`)
	add(16, care.PlanAck, "2026-05-06", "2026-05-06T19:25:00", `{"plan":2}`)
	add(17, care.Pause, "2026-05-07", "2026-05-07T20:00:00", `{"reason":"away","to":"2026-05-09"}`).V = 2
	add(18, care.Snooze, "2026-05-07", "2026-05-07T20:01:00", `{"until":"22:15"}`).V = 2
	practice := func(n int, kind care.EntryKind, body string) {
		e := add(n, kind, "2026-05-07", fmt.Sprintf("2026-05-07T21:%02d:00", n), body)
		e.V, e.Author, e.ByName, e.Mac = 3, "s1", "Dr A", "bWFj"
	}
	report := string(list[9].ID)
	practice(19, care.Cease, `{"eyes":"left","reason":"report","review_by":"2026-05-12","text":"Until the visit","alert":"al1"}`)
	practice(20, care.Visit, `{"on":"2026-05-11","at":"15:30","moves":"01900000-0000-7000-8000-000000000019","cancelled":false}`)
	practice(21, care.Word, `{"text":"How is it now?","about":"`+report+`","answer_wanted":true,"phrase":"call-us","withdraws":"`+report+`","alert":"al1"}`)
	practice(22, care.Resume, `{"eyes":"left","answers":["`+report+`"],"from":"2026-05-12","basis":"examined","check":true,"hours":6,"new_lens":false,"new_case":true,"text":"From Tuesday","alert":"al1"}`)
	practice(23, care.WearStart, `{"opens":{"`+report+`":{"left":"stop"}}}`)
	add(24, care.Reply, "2026-05-07", "2026-05-07T21:30:00", `{"text":"Better","to":"01900000-0000-7000-8000-000000000021"}`).V = 3
	add(25, care.Read, "2026-05-07", "2026-05-07T21:30:00", `{"of":"01900000-0000-7000-8000-000000000021"}`).V = 3
	add(26, care.CheckOpen, "2026-05-07", "2026-05-07T21:31:00", `{"eyes":"left"}`).V = 3
	add(27, care.Elsewhere, "2026-05-07", "2026-05-07T21:32:00", `{"on":"2026-05-06","who":"Eye clinic","said":"Come back","eyes":"left","phone":"+351 210 000 000"}`).V = 3
	practice(28, care.Taught, `{"skills":["hands","in"]}`)
	add(29, care.Learnt, "2026-05-07", "2026-05-07T21:33:00", `{"skill":"hands","done":true}`).V = 3
	return list
}

const trials = `[[0.3,1],[0.2,1],[0.1,1],[0,1],[-0.1,0],[0.05,1],[0,0],[0.05,1],[0,1],[-0.05,0],[0.02,1],[-0.02,0],[0.05,1],[0,1],[-0.05,0],[0.02,1],[0,0],[0.04,1],[0.02,1],[-0.04,0],[0.02,0],[0.06,1],[0.02,1],[0,1]]`

func record(t *testing.T) interop.Record {
	t.Helper()
	f := func(v float64) *float64 { return &v }
	log := entries()
	nights := care.Fold(log)
	stored := time.Date(2026, 4, 20, 9, 30, 0, 0, time.UTC)
	plan := schedule.DefaultPlan(civil.MustDate("2026-05-02"), "Europe/Lisbon")
	second := plan
	second.Version, second.From, second.MinHours, second.DepositRemovalDays = 2, civil.MustDate("2026-05-05"), 7, 14
	visit := course.Visit{
		ID: "v1", Date: civil.MustDate("2026-04-20"), Kind: "suitability", State: "kept", Scale: "0 to 4, photographs", Instrument: "Optical biometer", Advice: "No water near the lenses.\nReturn after the first night.", By: "Dr. Example",
		Right: course.EyeFindings{Refraction: &course.Refraction{Sphere: -2.25, Cylinder: f(-0.5), Axis: f(175)}, Unaided: f(0.74), BestCorrected: f(-0.08), AxialMM: f(24.02), Grades: map[string]float64{"redness": 1, "papillae": 0}},
		Left:  course.EyeFindings{Refraction: &course.Refraction{Sphere: -2}, Unaided: f(0.7), BestCorrected: f(0), AxialMM: f(23.96), Staining: map[string]float64{"central": 0, "inferior": 1}, Topography: "Regular"},
	}
	missed := visit
	missed.ID, missed.State, missed.Date = "v0", "missed", civil.MustDate("2026-04-13")
	later := course.Visit{ID: "v2", Date: civil.MustDate("2026-05-03"), Kind: "first-morning", State: "kept", By: "Dr. Example",
		Right: course.EyeFindings{Residual: &course.Refraction{Sphere: -0.25, Cylinder: f(-0.25), Axis: f(0)}, Unaided: f(0.1), Grades: map[string]float64{"redness": 1.5}}}
	opened := time.Date(2026, 5, 5, 20, 3, 0, 0, time.UTC)
	alerts := []review.AlertFact{
		{ID: "al1", Wearer: "w7", Rule: "pain-gone", Title: "Pain that went after removal", Level: "routine", State: "closed", Opened: opened, AckAt: opened.Add(time.Hour), ClosedAt: opened.Add(2 * time.Hour), Outcome: "spoken-to"},
		{ID: "al2", Wearer: "w7", Rule: "tap-water", Title: "Tap water on lens or case", Level: "routine", State: "closed", Opened: opened.Add(-13 * time.Hour), ClosedAt: opened, Outcome: "in-error"},
		{ID: "al3", Wearer: "w7", Rule: "pain-persists", Title: "Pain with the lens out", Level: "emergency", State: "open", Opened: opened.Add(24 * time.Hour)},
	}
	facts := []review.PlanFacts{{Plan: plan, BaselineRight: -2.5, BaselineLeft: -2}, {Plan: second, BaselineRight: -2.5, BaselineLeft: -2}}
	sum := review.Summarise(review.Input{
		Wearer: care.Wearer{ID: "w7"}, From: civil.MustDate("2026-05-02"), To: civil.MustDate("2026-05-06"), Today: civil.MustDate("2026-05-07"),
		Nights: nights, Entries: log, Plans: facts, Visits: []course.Visit{visit, later},
	})
	held := review.NightRow{Night: civil.MustDate("2026-05-07"), Status: review.Missed, Counted: review.Missed, Held: review.HeldStop}
	var wearing []care.WearFact
	for _, e := range log {
		wearing = append(wearing, e.WearFact())
	}
	wear := care.WearOf(wearing, civil.MustDate("2026-05-07"), false, nil)
	return interop.Record{
		Base: "https://clinic.example", Now: time.Date(2026, 5, 7, 10, 0, 0, 0, time.UTC), By: care.Person{ID: "c1", Name: "Dr. Example", Role: care.Clinician}, Practice: "Harbour Lane",
		Wearer: care.Wearer{ID: "w7", Code: "W-0007", Name: "Sam Example", Birth: "2015-08-01"},
		People: map[care.PersonID]care.Person{
			"p1": {ID: "p1", Name: "Parent Example", Role: care.Parent}, "p2": {ID: "p2", Name: "Sam Example", Role: care.Teen, Wearer: "w7"},
		},
		Entries: log, Visits: []course.Visit{later, visit, missed}, Alerts: alerts, Nights: append(sum.Nights, held), Acuity: sum.Acuity, Wear: wear,
		Plans: []interop.PlanVersion{
			{PlanFacts: facts[0], By: "Dr. Example", At: stored, Right: &interop.Lens{BaseCurveMM: f(8.3), DiameterMM: f(10.6), Power: f(0.75), Design: "four curves"}, Left: &interop.Lens{BaseCurveMM: f(8.25), DiameterMM: f(10.6), Power: f(0.75)}},
			{PlanFacts: facts[1], By: "Dr. Example", At: stored.AddDate(0, 0, 14), Right: &interop.Lens{BaseCurveMM: f(8.35), DiameterMM: f(10.6), Power: f(0.75)}, Remark: "Longer nights agreed."},
		},
	}
}

func bundle(t *testing.T, r interop.Record) []byte {
	t.Helper()
	raw, err := interop.FHIR(r)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// TestFHIRGolden compares with the bundle that two independent validators read
// in pwa/test/fhir.test.js.
func TestFHIRGolden(t *testing.T) {
	t.Parallel()
	const path = "../../../testdata/interop/bundle.json"
	var lines bytes.Buffer // one value a line, so that a change can be read
	if err := json.Indent(&lines, bundle(t, record(t)), "", "  "); err != nil {
		t.Fatal(err)
	}
	got := lines.Bytes()
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("want -, got +\n%s", diff)
	}
}

func TestFHIRIsStable(t *testing.T) {
	t.Parallel()
	a, b := record(t), record(t)
	slices.Reverse(b.Entries)
	slices.Reverse(b.Visits)
	slices.Reverse(b.Plans)
	slices.Reverse(b.Alerts)
	slices.Reverse(b.Nights)
	slices.Reverse(b.Acuity)
	if !bytes.Equal(bundle(t, a), bundle(t, b)) {
		t.Error("the order in which a file is given changes the bundle")
	}
}

// object is a JSON object of the bundle.
type object = map[string]any

func decode(t *testing.T, raw []byte) []object {
	t.Helper()
	var b struct {
		Type  string
		Entry []struct {
			FullURL  string `json:"fullUrl"`
			Resource object
		}
	}
	if err := json.Unmarshal(raw, &b); err != nil || b.Type != "collection" {
		t.Fatalf("type %q, %v", b.Type, err)
	}
	var out []object
	for _, e := range b.Entry {
		if e.FullURL != "urn:uuid:"+e.Resource["id"].(string) {
			t.Errorf("fullUrl %s of a resource with id %v", e.FullURL, e.Resource["id"])
		}
		out = append(out, e.Resource)
	}
	return out
}

// walk calls f for every object below v with its path.
func walk(path string, v any, f func(path string, o object)) {
	switch v := v.(type) {
	case object:
		f(path, v)
		for k, x := range v {
			walk(path+"."+k, x, f)
		}
	case []any:
		for i, x := range v {
			walk(fmt.Sprintf("%s[%d]", path, i), x, f)
		}
	}
}

// verified are the LOINC and SNOMED CT codes that were read in a published
// table, with the eye they belong to: LOINC panel 62706-7 release 2.79, LOINC
// panel 98497-1, HL7 eye care implementation guide and value set.
var verified = map[string]string{
	"65890-6": "right", "65894-8": "left", "65892-2": "right", "65896-3": "left", "65891-4": "right", "65895-5": "left",
	"65893-0": "right", "65897-1": "left", "98499-7": "right", "98498-9": "left",
	"251794006": "", "251795007": "", "251797004": "", "251799001": "", "363983007": "", "420050001": "", "397536007": "", "419775003": "", "251739003": "",
}

// acuityCodes are those of the table that mean a measured acuity.
var acuityCodes = []string{"65893-0", "65897-1", "98499-7", "98498-9", "363983007", "420050001", "397536007", "419775003", "251739003"}

func codes(v any) []string {
	var out []string
	walk("", v, func(_ string, o object) {
		if s, _ := o["system"].(string); s == "http://loinc.org" || s == "http://snomed.info/sct" {
			out = append(out, o["code"].(string))
		}
	})
	return out
}

var dateTime = regexp.MustCompile(`^\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d))?$`)

// rulesMissed checks what neither validator looks at: at most one value[x],
// nothing empty (FHIR R4, JSON representation: "arrays, objects and strings
// are never empty"), times with a zone, references that resolve, terminology,
// the eye, and that no answer about sight carries the code of an acuity.
func rulesMissed(t *testing.T, raw []byte) {
	t.Helper()
	resources := decode(t, raw)
	urls := map[string]bool{}
	for _, r := range resources {
		if id := "urn:uuid:" + r["id"].(string); urls[id] {
			t.Errorf("two resources with the address %s", id)
		} else {
			urls[id] = true
		}
	}
	for _, r := range resources {
		name := fmt.Sprint(r["resourceType"], " ", r["id"])
		walk(name, r, func(path string, o object) { checkObject(t, path, o, urls) })
		if r["resourceType"] == "Observation" {
			checkObservation(t, name, r)
		} else if c := codes(r); c != nil {
			t.Errorf("%s: the codes %v belong to measurements", name, c)
		}
		if r["resourceType"] == "VisionPrescription" {
			walk(name, r["lensSpecification"], func(path string, o object) {
				if _, c := o["cylinder"]; c != (o["axis"] != nil) {
					t.Errorf("%s: a cylinder needs an axis, and an axis a cylinder", path)
				}
			})
		}
	}
}

func checkObject(t *testing.T, path string, o object, urls map[string]bool) {
	t.Helper()
	if len(o) == 0 {
		t.Errorf("%s: an empty object", path)
	}
	choices := map[string][]string{}
	for k, v := range o {
		for _, stem := range []string{"value", "effective", "scheduled", "product", "onset"} {
			if rest, ok := strings.CutPrefix(k, stem); ok && rest != "" && rest[0] >= 'A' && rest[0] <= 'Z' {
				choices[stem] = append(choices[stem], k)
			}
		}
		switch v := v.(type) {
		case string:
			if strings.TrimSpace(v) != v || v == "" || !utf8.ValidString(v) {
				t.Errorf("%s.%s: %q", path, k, v)
			}
			dated := slices.Contains([]string{"authored", "recorded", "created", "dateWritten", "authoredOn", "lastModified", "start", "end", "effectiveDateTime", "valueDateTime", "timestamp"}, k)
			if dated && !dateTime.MatchString(v) {
				t.Errorf("%s.%s: %q has no zone", path, k, v)
			}
		case []any:
			if len(v) == 0 {
				t.Errorf("%s.%s: an empty array", path, k)
			}
		case nil:
			t.Errorf("%s.%s: null", path, k)
		}
	}
	for stem, keys := range choices {
		if len(keys) > 1 {
			t.Errorf("%s: more than one %s[x]: %v", path, stem, keys)
		}
	}
	if ref, ok := o["reference"].(string); ok && !urls[ref] {
		t.Errorf("%s: %s is not in the bundle", path, ref)
	}
}

func checkObservation(t *testing.T, name string, o object) {
	t.Helper()
	values := 0
	for k := range o {
		if strings.HasPrefix(k, "value") {
			values++
		}
	}
	if _, parts := o["component"]; values == 0 && !parts || values > 0 && parts {
		t.Errorf("%s: want a value or components", name)
	}
	site, _ := o["bodySite"].(object)
	for _, c := range codes(o) {
		eye, known := verified[c]
		if !known {
			t.Errorf("%s: code %s is not in the checked table", name, c)
		}
		if eye != "" && !strings.EqualFold(fmt.Sprint(site["text"]), eye+" eye") {
			t.Errorf("%s: code %s is of the %s eye, the body site says %v", name, c, eye, site["text"])
		}
	}
	text := o["code"].(object)["text"].(string)
	measured := strings.Contains(text, "cuity") // acuity
	for _, c := range codes(o["code"]) {
		if slices.Contains(acuityCodes, c) && (!measured || o["valueQuantity"] == nil) {
			t.Errorf("%s: %q under the acuity code %s", name, text, c)
		}
	}
	if strings.Contains(text, "reported at home") && len(codes(o)) > 0 {
		t.Errorf("%s: a self-report with the codes %v", name, codes(o))
	}
}

func TestFHIRKeepsTheRulesValidatorsMiss(t *testing.T) {
	t.Parallel()
	rulesMissed(t, bundle(t, record(t)))
	bare := interop.Record{Base: "https://clinic.example", Now: time.Date(2026, 5, 7, 10, 0, 0, 0, time.UTC), Wearer: care.Wearer{ID: "w9"}}
	rulesMissed(t, bundle(t, bare))
}

// of returns the resources of a type.
func of(list []object, kind string) []object {
	var out []object
	for _, r := range list {
		if r["resourceType"] == kind {
			out = append(out, r)
		}
	}
	return out
}

// at follows keys and indices into a decoded value; nil when there is nothing.
func at(v any, path ...any) any {
	for _, p := range path {
		switch p := p.(type) {
		case string:
			o, _ := v.(object)
			v = o[p]
		case int:
			list, _ := v.([]any)
			if p >= len(list) {
				return nil
			}
			v = list[p]
		}
	}
	return v
}

// TestFHIRResponsesFitTheirForms holds every answer against its questionnaire:
// known link ids in place, the type asked for, one of the options.
func TestFHIRResponsesFitTheirForms(t *testing.T) {
	t.Parallel()
	list := decode(t, bundle(t, record(t)))
	forms := map[string]map[string]object{}
	for _, q := range of(list, "Questionnaire") {
		items := map[string]object{}
		walk("", q["item"], func(_ string, o object) {
			if id, ok := o["linkId"].(string); ok {
				if items[id] != nil {
					t.Errorf("%v: link id %s twice", q["url"], id)
				}
				items[id] = o
			}
		})
		forms[fmt.Sprint(q["url"], "|", q["version"])] = items
	}
	if len(forms) != 9 {
		t.Fatalf("%d forms, want nightly log, symptom check, evening sight, supplies, note, plan acknowledgement, reminders, what the practice decided and what the family answered", len(forms))
	}
	key := map[string]string{"boolean": "valueBoolean", "integer": "valueInteger", "decimal": "valueDecimal", "date": "valueDate", "dateTime": "valueDateTime", "time": "valueTime", "text": "valueString", "string": "valueString", "choice": "valueCoding"}
	answered := 0
	for _, r := range of(list, "QuestionnaireResponse") {
		items := forms[r["questionnaire"].(string)]
		if items == nil {
			t.Errorf("%v is not in the bundle", r["questionnaire"])
		}
		walk("", r["item"], func(_ string, o object) {
			id, isItem := o["linkId"].(string)
			if !isItem {
				return
			}
			ask := items[id]
			if ask == nil || ask["text"] != o["text"] {
				t.Errorf("%s: no such question with the text %v", id, o["text"])
				return
			}
			a := at(o, "answer", 0)
			if a == nil {
				return
			}
			answered++
			v := at(a, key[ask["type"].(string)])
			if v == nil {
				t.Errorf("%s: answer %v to a question of type %v", id, a, ask["type"])
			}
			options, _ := ask["answerOption"].([]any)
			if options != nil && !slices.ContainsFunc(options, func(o any) bool { return cmp.Equal(at(o, "valueCoding"), v) }) {
				t.Errorf("%s: %v is none of the options", id, v)
			}
		})
	}
	if answered < 30 {
		t.Errorf("only %d answers in the whole log", answered)
	}
}

// TestFHIRTellsEveryKind holds the bundle against the log's own list of kinds: a
// kind that a version adds must be told too, with every field of its entry.
func TestFHIRTellsEveryKind(t *testing.T) {
	t.Parallel()
	r := record(t)
	told := map[string]object{}
	for _, q := range of(decode(t, bundle(t, r)), "QuestionnaireResponse") {
		told[at(q, "identifier", "value").(string)] = q
	}
	kinds := care.Kinds(care.Schema)
	for _, e := range r.Entries {
		kinds = slices.DeleteFunc(kinds, func(k care.EntryKind) bool { return k == e.Kind })
		if e.Kind == care.AcuityRun || e.Kind == care.Retraction {
			continue // an observation, and a provenance: TestFHIRSaysWhatTheFileSays counts them
		}
		q := told[string(e.ID)]
		if q == nil {
			t.Errorf("entry %s, %s, is not told", e.ID, e.Kind)
			continue
		}
		answered := map[string]bool{}
		walk("", q["item"], func(_ string, o object) {
			if id, ok := o["linkId"].(string); ok && (o["answer"] != nil || o["item"] != nil) {
				answered[id[strings.LastIndex(id, "/")+1:]] = true
			}
		})
		var body map[string]any
		if err := json.Unmarshal(e.Body, &body); err != nil {
			t.Fatal(err)
		}
		for field := range body {
			if !answered[field] {
				t.Errorf("entry %s, %s: its %s is not told", e.ID, e.Kind, field)
			}
		}
	}
	if len(kinds) > 0 {
		t.Errorf("the record of this test lacks %v", kinds)
	}
}

// TestFHIRFormsAskWhatTheLogTakes writes each option of each question back as
// an entry: the log must take it, and a word the log takes must be an option.
func TestFHIRFormsAskWhatTheLogTakes(t *testing.T) {
	t.Parallel()
	list := decode(t, bundle(t, record(t)))
	signs, asked := 0, 0
	takes := func(kind care.EntryKind, field, word string) {
		asked++
		e := *entries()[0]
		e.Kind, e.V = kind, care.Schema
		body := map[string]any{"at": "07:00", "eyes": "both", "reason": "other", "item": "case", "action": "started", "on": "2026-05-04", "to": "2026-05-05", "rating": 3, "right": object{},
			"review_by": "2026-05-12", "answers": []string{"01900000-0000-7000-8000-000000000010"}, "from": "2026-05-05", "basis": "examined", "who": "Eye clinic", "said": "Come back"}
		if kind == care.Removal {
			delete(body, "on")
		}
		body[field] = word
		e.Body, _ = json.Marshal(body)
		raw, _ := json.Marshal(e)
		if _, err := care.DecodeEntry(raw); err != nil {
			t.Errorf("%s: %s = %s: the log refuses it: %v", kind, field, word, err)
		}
	}
	single := map[any]care.EntryKind{"EveningSight": care.EveningSight, "Supplies": care.Supply, "SymptomCheck": care.Symptoms}
	for _, q := range of(list, "Questionnaire") {
		walk("", q["item"], func(_ string, o object) {
			id, _ := o["linkId"].(string)
			options, _ := o["answerOption"].([]any)
			eye, sign, inEye := strings.Cut(id, "/")
			var words []string
			for _, opt := range options {
				words = append(words, at(opt, "valueCoding", "code").(string))
			}
			switch {
			case eye == "right" || eye == "left":
				if !inEye {
					return
				}
				signs++
				if diff := cmp.Diff(care.SignAnswers[sign], words); diff != "" {
					t.Errorf("%s (-log +form):\n%s", id, diff)
				}
			case inEye:
				if sign == "system" {
					if got, want := strings.Join(words, " "), strings.Trim(fmt.Sprint(schedule.CareSystems()), "[]"); got != want {
						t.Errorf("%s: %s, want those of the plan: %s", id, got, want)
					}
				}
				for _, w := range words {
					takes(care.EntryKind(eye), sign, w)
				}
			default:
				for _, w := range words {
					takes(single[q["name"]], id, w)
				}
			}
		})
	}
	// Insertion 3, removal 3, not worn 9+3, care 4+3, waking 3; halos 3; ill 2, now 6, water 2, other 3, span 5, form 2; supply 5+3+3+2; pause 2; cease 3+6, resume 3+4, check 3, elsewhere 3.
	if asked != 88 {
		t.Errorf("%d answers offered to the log, want 88", asked)
	}
	if signs != 2*len(care.SignAnswers) {
		t.Errorf("%d questions about signs, want %d for each eye", signs, len(care.SignAnswers))
	}
}

// TestFHIRSaysWhatTheFileSays checks by hand what a receiving system would
// read first.
func TestFHIRSaysWhatTheFileSays(t *testing.T) {
	t.Parallel()
	list := decode(t, bundle(t, record(t)))
	counts := map[string]float64{}
	for _, r := range list {
		counts[fmt.Sprint(r["resourceType"], " ", r["status"])]++
	}
	want := map[string]float64{
		"Patient <nil>": 1, "Questionnaire active": 9,
		// Entries 1, 6 to 11, 14 to 27 as written; 3 corrects 2; 4 was retracted.
		"QuestionnaireResponse completed": 23, "QuestionnaireResponse amended": 1, "QuestionnaireResponse entered-in-error": 2,
		"Provenance <nil>": 3, // correction, retraction, the bundle
		// 2 evenings, 1 night with hours, 1 under a stop, 2 runs, 5 of the right and 6 of the left eye at the first visit, 2 at the second
		"Observation final": 2 + 1 + 1 + 2 + 5 + 6 + 2 + 1, // the last is a half grade
		"CarePlan active":   1, "CarePlan revoked": 1,
		"VisionPrescription draft": 1, "VisionPrescription active": 1, "VisionPrescription cancelled": 1,
		"Flag active":   2, // the open alert, and the left eye that the practice has stopped
		"Flag inactive": 1, "Flag entered-in-error": 1,
		"Communication completed": 1, // advice of the first visit
		"Task requested":          1, "Task completed": 1, "Task entered-in-error": 1,
	}
	if diff := cmp.Diff(want, counts); diff != "" {
		t.Errorf("resources (-want +got):\n%s", diff)
	}
	byCode := func(code, eye string) object {
		for _, o := range of(list, "Observation") {
			if slices.Contains(codes(o), code) && at(o, "bodySite", "text") == eye {
				return o
			}
		}
		t.Fatalf("no observation with code %s of the %s", code, eye)
		return nil
	}
	for _, tc := range []struct {
		name, code, eye string
		path            []any
		want            any
	}{
		{"sphere right", "65890-6", "Right eye", []any{"component", 0, "valueQuantity", "value"}, -2.25},
		{"sphere unit", "65890-6", "Right eye", []any{"component", 0, "valueQuantity", "code"}, "[diop]"},
		{"cylinder right", "65892-2", "Right eye", []any{"component", 1, "valueQuantity", "value"}, -0.5},
		{"axis right", "65891-4", "Right eye", []any{"component", 2, "valueQuantity", "value"}, 175.0},
		{"sphere left", "65894-8", "Left eye", []any{"component", 0, "valueQuantity", "value"}, -2.0},
		{"no cylinder left", "65894-8", "Left eye", []any{"component", 1}, nil},
		{"unaided left", "98498-9", "Left eye", []any{"valueQuantity", "value"}, 0.7},
		{"best corrected right", "65893-0", "Right eye", []any{"valueQuantity", "value"}, -0.08},
	} {
		if got := at(byCode(tc.code, tc.eye), tc.path...); got != tc.want {
			t.Errorf("%s: got %v, want %v", tc.name, got, tc.want)
		}
	}
	hours := slices.IndexFunc(of(list, "Observation"), func(o object) bool { return o["effectivePeriod"] != nil })
	if o := of(list, "Observation")[hours]; at(o, "valueQuantity", "value") != 10.0 || at(o, "effectivePeriod", "start") != "2026-05-04T21:00:00+01:00" || at(o, "effectivePeriod", "end") != "2026-05-05T07:00:00+01:00" {
		t.Errorf("21:00 to 07:00 is 10 hours by the corrected removal, got %v %v", o["valueQuantity"], o["effectivePeriod"])
	}
}

// TestFHIRTellsCorrections follows the trail of a correction and a retraction.
func TestFHIRTellsCorrections(t *testing.T) {
	t.Parallel()
	list := decode(t, bundle(t, record(t)))
	byRef := map[string]object{}
	for _, r := range list {
		byRef["urn:uuid:"+r["id"].(string)] = r
	}
	entry := func(ref any) any { return at(byRef[fmt.Sprint(ref)], "identifier", "value") }
	var got []string
	for _, p := range of(list, "Provenance") {
		if code := at(p, "activity", "coding", 0, "code"); code != nil {
			got = append(got, fmt.Sprint(code, " ", entry(at(p, "target", 0, "reference")), " of ", entry(at(p, "entity", 0, "what", "reference")), " ", p["recorded"], " ", at(p, "reason", 0, "text")))
		}
	}
	want := []string{
		"UPDATE 01900000-0000-7000-8000-000000000003 of 01900000-0000-7000-8000-000000000002 2026-05-05T06:31:00Z <nil>",
		"NULLIFY 01900000-0000-7000-8000-000000000004 of <nil> 2026-05-05T06:21:00Z wrong child",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for _, r := range of(list, "QuestionnaireResponse") {
		if r["status"] == "entered-in-error" {
			continue
		}
		if at(r, "identifier", "value") == "01900000-0000-7000-8000-000000000008" && at(r, "author", "reference") != at(r, "subject", "reference") {
			t.Error("what the wearer wrote is not by the patient")
		}
		if at(r, "author", "display") == "Parent Example" {
			t.Error("a relative's name is in the bundle; the role is enough")
		}
	}
}

// TestFHIRCountsAsTheFoldDoes holds which responses count against the nights
// that everything else of the product reads.
func TestFHIRCountsAsTheFoldDoes(t *testing.T) {
	t.Parallel()
	r := record(t)
	var folded, counted []string
	for _, e := range r.Entries {
		if e.Kind.Clinical() || e.Kind == care.Read || e.Kind == care.Learnt {
			folded = append(folded, string(e.ID)) // told as it was written, and no fact about a night
		}
	}
	for _, n := range care.Fold(r.Entries) {
		for _, it := range n.Items {
			for _, f := range it.Facts {
				if id := string(f.Entry); !slices.Contains(folded, id) && !strings.HasPrefix(it.Key, "acuity-run/") {
					folded = append(folded, id)
				}
			}
		}
	}
	for _, q := range of(decode(t, bundle(t, r)), "QuestionnaireResponse") {
		if q["status"] != "entered-in-error" {
			counted = append(counted, at(q, "identifier", "value").(string))
		}
	}
	slices.Sort(folded)
	slices.Sort(counted)
	if diff := cmp.Diff(folded, counted); diff != "" {
		t.Errorf("(-nights +responses):\n%s", diff)
	}
}

// TestFHIRIdsAreNameBased holds the ids against another program's UUIDs, with
// the one name that is not of a wearer: a form's address.
func TestFHIRIdsAreNameBased(t *testing.T) {
	t.Parallel()
	for _, r := range decode(t, bundle(t, record(t))) {
		if id := r["id"].(string); id[14] != '5' || !strings.ContainsRune("89ab", rune(id[19])) {
			t.Errorf("%s is not a UUID of version 5", id)
		}
	}
	// uuid5(NAMESPACE_URL, name) of Python's standard library.
	const form = "03b9f36f-eb85-581e-a2d7-c6c8b82afe40"
	forms := of(decode(t, bundle(t, record(t))), "Questionnaire")
	if got := forms[0]["id"]; got != form {
		t.Errorf("id of %v is %v, want %s", forms[0]["url"], got, form)
	}
}

// FuzzFHIRText puts any text where people write freely: the bundle must keep
// the rules. The space of the string type is the plain one (FHIR R4, string:
// `[ \r\n\t\S]+`).
func FuzzFHIRText(f *testing.F) {
	for _, s := range []string{"", " ", "\u00a0", "a\u00a0b", "\ufeff", "\u2028x\u2029", "\x00\x1b", "\xff", "</script>", "\n\n", strings.Repeat("é", 300)} {
		f.Add(s)
	}
	odd := regexp.MustCompile(`[\p{Z}\x{FEFF}\x{85}\v\f]`)
	f.Fuzz(func(t *testing.T, s string) {
		r := record(&testing.T{})
		r.Wearer.Name, r.Wearer.Code, r.Practice, r.By.Name = s, s, s, s
		r.Visits[1].Instrument, r.Visits[1].By, r.Visits[1].Scale, r.Visits[1].Right.Topography = s, s, s, s
		r.Visits[1].Right.Grades = map[string]float64{s: 1, "redness": 0}
		r.Plans[0].Remark, r.Plans[0].By, r.Alerts[0].Title = s, s, s
		raw := bundle(t, r)
		rulesMissed(t, raw)
		for _, x := range decode(t, raw) {
			walk("", x, func(path string, o object) {
				for k, v := range o {
					if text, ok := v.(string); ok && odd.MatchString(strings.ReplaceAll(text, " ", "")) {
						t.Errorf("%s.%s: %q", path, k, text)
					}
				}
			})
		}
	})
}
