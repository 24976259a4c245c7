package review

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/review/stats"
)

// entriesByID finds the entry behind a fact.
func entriesByID(list []*care.Entry) map[care.EntryID]*care.Entry {
	m := make(map[care.EntryID]*care.Entry, len(list))
	for _, e := range list {
		m[e.ID] = e
	}
	return m
}

// live calls f for every live entry of a kind that makes an item of its own,
// such as a symptom report.
func live(n *care.Night, kind care.EntryKind, f func(id care.EntryID, value json.RawMessage)) {
	if n == nil {
		return
	}
	for _, it := range n.Items {
		if strings.HasPrefix(it.Key, string(kind)+"/") {
			f(it.Facts[0].Entry, it.Facts[0].Value)
		}
	}
}

// sightRow reads an evening; when entries disagree the worse is taken.
func sightRow(n *care.Night) (SightRow, bool) {
	it := n.Item(string(care.EveningSight))
	if it == nil {
		return SightRow{}, false
	}
	r := SightRow{Rating: 6}
	for _, f := range it.Facts {
		var v struct {
			Rating     int      `json:"rating"`
			Hours      *float64 `json:"hours_since_removal"`
			Halos      string   `json:"halos"`
			Spectacles *bool    `json:"spectacles"`
		}
		if json.Unmarshal(f.Value, &v) == nil && v.Rating < r.Rating {
			r = SightRow{Rating: v.Rating, Hours: v.Hours, Halos: v.Halos, Spectacles: v.Spectacles}
		}
	}
	r.Night, r.Differs = n.Date, it.Differ
	return r, r.Rating <= 5
}

func morningRow(n *care.Night) (MorningRow, bool) {
	r := MorningRow{Night: n.Date}
	found := false
	read := func(field string, into any) {
		if it := n.Item("morning/" + field); it != nil {
			found = json.Unmarshal(it.Facts[0].Value, into) == nil || found
		}
	}
	read("moved", &r.Moved)
	read("drops", &r.Drops)
	read("comfort", &r.Comfort)
	read("redness", &r.Redness)
	return r, found
}

func symptomRows(n *care.Night, byID map[care.EntryID]*care.Entry) []SymptomRow {
	var out []SymptomRow
	live(n, care.Symptoms, func(id care.EntryID, value json.RawMessage) {
		r := SymptomRow{Entry: id, Night: n.Date, On: n.Date}
		var v struct {
			Note string
		}
		if json.Unmarshal(care.Known(care.Symptoms, value), &v) != nil {
			return
		}
		said := (&care.Entry{Kind: care.Symptoms, Body: value}).Report()
		r.Right, r.Left, r.Began, r.Ill, r.Note = said.Right, said.Left, said.Began, said.Ill, v.Note
		if e := byID[id]; e != nil {
			r.At, _ = e.Instant()
			if at := episode.WrittenAt(e); !at.IsZero() && civil.NightOf(at, at.Location()) == n.Date {
				r.On = civil.DateOf(at)
			}
		}
		r.Words, r.Level = symptomWords(said), alerts.Default().Triage(said).Level
		out = append(out, r)
	})
	return out
}

// followsWithin is how long after a report that was not finished the rest of it is the
// same telling (ours).
const followsWithin = 30 * time.Minute

// joinReports marks each report that says the rest of the one before it.
func joinReports(rows []SymptomRow, byID map[care.EntryID]*care.Entry) {
	for i := range rows {
		e := byID[rows[i].Entry]
		if i == 0 || e == nil {
			continue
		}
		was := byID[rows[i-1].Entry]
		if was == nil || was.Author != e.Author {
			continue
		}
		report, after := was.Report(), rows[i].At.Sub(rows[i-1].At)
		rows[i].Follows = after >= 0 && after <= followsWithin && (report.Eye() == "" || was.Answer("unfinished") == "true")
	}
}

// signWords says each answer in a few words; one that is not here is said in the
// words of the rule table.
var signWords = map[string]string{
	"pain/gone": "pain that went after removal", "pain/persists": "pain that persists", "pain/severe": "severe pain",
	"redness/mild": "mild redness", "redness/marked": "marked redness", "light/yes": "sensitive to light",
	"sight/clears": "blur that clears", "sight/blurred": "blur that stays", "discharge/watering": "watering",
	"discharge/waking": "discharge on waking", "discharge/pus": "pus", "spot/yes": "a visible spot",
	"gritty/insertion": "gritty on insertion", "gritty/stays": "grittiness that stays", "lens/in": "lens still in",
	"lens/broken": "lens broken", "lens/stuck-came-off": "lens was stuck, came off", "lens/stuck": "lens stuck",
	"lens/cannot-find": "lens cannot be found", "injury/knock": "a knock", "injury/chemical": "a chemical in the eye",
	"injury/grit": "grit in the eye", "injury/scratch": "a scratch", "injury/cut": "a cut", "injury/fragment": "something stuck or flown in",
	"pain/beyond": "pain beyond what the eye shows", "redness/blood": "blood in the eye", "sight/double": "double sight",
	"sight/curtain": "flashes or a curtain", "sight/lost": "sight suddenly lost", "lid/swollen": "swollen lid", "lid/shut": "eye cannot be opened",
	"pupil/yes": "odd pupil",
	"now/pain":  "very bad pain", "now/shut": "eye cannot be opened", "now/sight": "sight suddenly lost or double",
	"now/cut": "a cut or a hard knock or something stuck in the eye", "now/chemical": "a chemical in the eye",
}

// ReportWords says of each report of a night what is not known to be harmless.
func ReportWords(n *care.Night) []string {
	var out []string
	for _, r := range symptomRows(n, nil) {
		out = append(out, r.Words)
	}
	return out
}

// symptomWords says what of a report is not known to be harmless. An answer that
// no table knows, of a newer app, is said as it is written.
func symptomWords(r alerts.Report) string {
	var parts []string
	say := func(of string, signs map[string]string, table map[string][]string) {
		var words []string
		for sign, answer := range signs {
			if known := table[sign]; len(known) == 0 || answer != known[0] {
				words = append(words, answerWords(sign, answer))
			}
		}
		slices.Sort(words)
		if len(words) > 0 {
			parts = append(parts, of+strings.Join(words, ", "))
		}
	}
	if r.Now != "" {
		say("", map[string]string{"now": r.Now}, alerts.Default().Answers(alerts.OfReport))
	}
	say("right: ", r.Right, care.SignAnswers)
	say("left: ", r.Left, care.SignAnswers)
	if r.Water == "yes" {
		parts = append(parts, "water within the watch period")
	}
	if r.Other == "not-usual" {
		parts = append(parts, "the other eye, not checked: not as usual")
	}
	if len(parts) == 0 {
		return "no sign reported as present"
	}
	return strings.Join(parts, "; ")
}

func answerWords(sign, answer string) string {
	if w, ok := signWords[sign+"/"+answer]; ok {
		return w
	}
	label := sign
	for _, d := range alerts.Default().Signs {
		if string(d.Name) == sign && d.Scope == alerts.OfEye {
			label = d.Label
		}
	}
	if answer == "yes" {
		return label
	}
	return label + ": " + strings.ReplaceAll(answer, "-", " ")
}

// supplyRows reads what was started or discarded, and by when it is due.
func supplyRows(n *care.Night, plan PlanFacts) []SupplyRow {
	var out []SupplyRow
	live(n, care.Supply, func(id care.EntryID, value json.RawMessage) {
		r := SupplyRow{Entry: id}
		if json.Unmarshal(care.Known(care.Supply, value), &r) != nil {
			return
		}
		r.Entry, r.Due = id, civil.Date{}
		if r.Action == "started" {
			r.Due = supplyDue(r, plan)
		}
		out = append(out, r)
	})
	return out
}

// caseMonths is the longest life of a lens case: 3 months (CDC; Cope 2015).
const caseMonths = 3

func supplyDue(r SupplyRow, plan PlanFacts) civil.Date {
	switch {
	case r.Item == "case":
		months := caseMonths
		if plan.CaseMonths > 0 {
			months = min(plan.CaseMonths, caseMonths)
		}
		return r.On.AddMonths(months)
	case r.Item == "lens" && plan.LensMonths > 0:
		return r.On.AddMonths(plan.LensMonths)
	case r.DiscardAfter > 0:
		return r.On.AddDays(r.DiscardAfter)
	}
	return civil.Date{}
}

// inUse keeps, of each item and eye, the newest one started and not discarded
// since.
func inUse(rows []SupplyRow) []SupplyRow {
	sorted := slices.Clone(rows)
	slices.SortStableFunc(sorted, func(a, b SupplyRow) int { return a.On.Compare(b.On) })
	last := map[string]SupplyRow{}
	for _, r := range sorted {
		key := r.Item + "/" + r.Eye
		switch have, ok := last[key]; {
		case r.Action == "started":
			last[key] = r
		case ok && !have.On.After(r.On):
			delete(last, key)
		}
	}
	var out []SupplyRow
	for _, r := range last {
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b SupplyRow) int { return strings.Compare(a.Item+"/"+a.Eye, b.Item+"/"+b.Eye) })
	return out
}

func noteRows(n *care.Night, byID map[care.EntryID]*care.Entry, people map[care.PersonID]string) []NoteRow {
	var out []NoteRow
	live(n, care.Note, func(id care.EntryID, value json.RawMessage) {
		var v struct{ Text string }
		if json.Unmarshal(care.Known(care.Note, value), &v) != nil {
			return
		}
		r := NoteRow{Entry: id, Night: n.Date, Text: v.Text}
		if e := byID[id]; e != nil {
			r.By = people[e.Author]
		}
		out = append(out, r)
	})
	return out
}

// alertRates counts the alerts opened in the range by the highest level each
// reached. A range without a night has no rate.
func (s *state) alertRates(nights int) []AlertRate {
	out := []AlertRate{}
	if nights == 0 {
		return out
	}
	for level := alerts.Emergency; level >= alerts.Routine; level-- {
		r := AlertRate{Level: level.String(), Nights: nights}
		for _, a := range s.in.Alerts {
			on := civil.DateOf(a.Opened)
			if a.Level == r.Level && !on.Before(s.from) && !on.After(s.to.AddDays(1)) { // the last night ends the day after
				r.Opened++
			}
		}
		const tenth = 10 // PoissonRate is of 10,000
		per, low, high, err := stats.PoissonRate(r.Opened, float64(nights))
		if err != nil {
			return []AlertRate{}
		}
		r.Per1000, r.Low, r.High = per/tenth, low/tenth, high/tenth
		out = append(out, r)
	}
	return out
}
