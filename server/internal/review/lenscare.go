package review

import (
	"encoding/json"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/stats"
)

// careItem describes one care question.
type careItem struct {
	field, title string
	bad          bool   // "yes" is the answer to avoid
	lapse        string // the lapse in words fit to say to a parent
	basis        string
}

const basisPublicHealth = "public-health advice for lens wearers (CDC; Cope 2015, MMWR 64)"

// careItems are the yes-or-no questions of a care entry, and rinse, in the
// order in which lenses are handled.
func careItems() []careItem {
	return []careItem{
		{"hand_wash", "Hands washed and dried", false, "hands were not washed before handling", basisPublicHealth},
		{"rub", "Lenses rubbed", false, "lenses were not rubbed", basisPublicHealth},
		{"rinse", "Lenses rinsed with solution", false, "lenses were not rinsed with solution", basisPublicHealth},
		{"case_emptied", "Case emptied", false, "the case was not emptied", basisPublicHealth},
		{"case_wiped", "Case wiped", false, "the case was not wiped", "case wiped with a clean tissue: far less often contaminated than left to the air (2020 study of 194 wearers)"},
		{"case_dried", "Case dried upside down", false, "the case was not left to dry", basisPublicHealth},
		{"topping_off", "No topping up of old solution", true, "old solution was topped up", "topping up: odds of amoebic keratitis 4.8 in rigid-lens wearers (Cope 2016)"},
		{"tap_water", "No tap water on lens or case", true, "tap water touched a lens or the case", "storage in tap water: odds of amoebic keratitis 16 in rigid-lens wearers (Cope 2016)"},
		{"water_contact", "No shower or swim with lenses in", true, "lenses were in during a shower or swim", basisPublicHealth},
	}
}

func (p PlanFacts) careItems() []careItem {
	if len(p.CareItems) == 0 {
		return careItems()
	}
	all := careItems()
	var out []careItem
	for _, field := range p.CareItems {
		for _, c := range all {
			if c.field == field {
				out = append(out, c)
			}
		}
	}
	return out
}

// answer is what a night says of a care item.
type answer int

const (
	unknown answer = iota
	done
	notDone
)

// answerOf reads a care item of a night; when entries disagree the worse
// counts.
func (c careItem) answerOf(n *care.Night) answer {
	if n == nil {
		return unknown
	}
	if c.field == "tap_water" {
		return tapWaterOf(n)
	}
	it := n.Item("care/" + c.field)
	if it == nil {
		return unknown
	}
	for _, f := range it.Facts {
		if !c.good(f.Value) {
			return notDone
		}
	}
	return done
}

// tapWaterOf reads tap water as the rules do: a rinse with it counts too.
func tapWaterOf(n *care.Night) answer {
	switch touched, said := n.TapWater(); {
	case touched:
		return notDone
	case said:
		return done
	}
	return unknown
}

func (c careItem) good(value json.RawMessage) bool {
	if c.field == "rinse" {
		var with string
		return json.Unmarshal(value, &with) == nil && (with == "solution" || with == "saline")
	}
	var yes bool
	return json.Unmarshal(value, &yes) == nil && yes != c.bad
}

// night is one night of the range with what was logged.
type night struct {
	row  NightRow
	log  *care.Night // nil when nothing was
	plan PlanFacts
}

// careDue reports whether the night counts in the care figures: any night but
// one without lenses on which nothing about care was logged either.
func (n night) careDue(items []careItem) bool {
	if n.row.Counted != Missed && n.row.Held != HeldStop {
		return true
	}
	for _, c := range items {
		if c.answerOf(n.log) != unknown {
			return true
		}
	}
	return false
}

// tally counts the answers to one care item.
type tally struct{ done, not, unknown int }

func (t *tally) add(a answer) {
	switch a {
	case done:
		t.done++
	case notDone:
		t.not++
	default:
		t.unknown++
	}
}

// anyAnswered reports whether care was logged at all.
func anyAnswered(per []tally) bool {
	return slices.ContainsFunc(per, func(t tally) bool { return t.done+t.not > 0 })
}

// neverAnswered returns the titles of items without any answer, when others
// have some.
func neverAnswered(rows []CareRow) []string {
	var out []string
	for _, r := range rows {
		if r.Share.Answered() == 0 {
			out = append(out, r.Title)
		}
	}
	if len(out) == len(rows) {
		return nil
	}
	return out
}

// careMarks fills the letters of each row, one for each night of the range.
func (s *state) careMarks(rows []CareRow) {
	items := s.plan.careItems()
	for i, c := range items {
		marks := make([]byte, len(s.nights))
		for k, n := range s.nights {
			switch a := c.answerOf(n.log); {
			case !n.careDue(items):
				marks[k] = '-'
			case a == done:
				marks[k] = 'd'
			case a == notDone:
				marks[k] = 'n'
			default:
				marks[k] = 'u'
			}
		}
		rows[i].Marks = string(marks)
	}
}

// careFigures returns each item's share and the share of nights with every
// item done. A night with an item left out is settled, one with an item not
// answered is unknown. An item nobody answered on any night was not asked for
// and has no part in the second figure; see [neverAnswered].
func careFigures(nights []night, items []careItem) ([]CareRow, stats.Share) {
	per := make([]tally, len(items))
	rows := make([]CareRow, len(items))
	var all tally
	for i, c := range items {
		rows[i] = CareRow{Item: c.field, Title: c.title, Good: "yes", Nights: []civil.Date{}}
		if c.bad {
			rows[i].Good = "no"
		}
	}
	nights = slices.DeleteFunc(slices.Clone(nights), func(n night) bool { return !n.careDue(items) })
	for _, n := range nights {
		for i, c := range items {
			per[i].add(c.answerOf(n.log))
		}
	}
	some := anyAnswered(per)
	for _, n := range nights {
		whole := done
		for i, c := range items {
			a := c.answerOf(n.log)
			if some && per[i].done+per[i].not == 0 {
				continue
			}
			if a == notDone {
				rows[i].Nights = append(rows[i].Nights, n.row.Night)
			}
			if a == notDone || a == unknown && whole == done {
				whole = a
			}
		}
		all.add(whole)
	}
	for i, t := range per {
		rows[i].Share = stats.ShareOf(t.done, t.not, t.unknown)
	}
	return rows, stats.ShareOf(all.done, all.not, all.unknown)
}
