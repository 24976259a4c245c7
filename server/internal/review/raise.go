package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"nightkeep/alerts"
)

// topic gathers rules that are one thing to talk about.
type topic struct {
	title  string
	danger bool
	rules  []string // a name that ends in "-" stands for all that begin so
}

// topics are in the order in which they are raised: dangers first, then sight that became
// worse, which is of the eye and not of a habit.
func topics() []topic {
	return []topic{
		{"Record cannot be read", true, []string{"unreadable"}},
		{"Lens in where none may be", true, []string{wornHeldRule}},
		{"Decision that only a phone holds", true, []string{claimed}},
		{"Open report", true, []string{"alert-not-closed"}},
		{"No stop written", true, []string{stopUnwritten, eventUnstopped}},
		{"Closed before wear was decided on", true, []string{WearBefore}},
		{"Lenses worn after the end", true, []string{afterEnd}},
		{"Lenses worn before a plan asks", true, []string{noPlan}},
		{"Adverse event", true, []string{"adverse-event"}},
		{"Found at a visit", true, []string{"visit-finding"}},
		{"Wrote to the clinic", true, []string{"wrote"}},
		{"Water", true, []string{"water-contact"}},
		{"Symptoms", true, []string{"symptoms", "sore-eye-nights", "stuck-lens", "stuck-twice", "morning-sore", "peroxide-short"}},
		{"Lens still in", true, []string{"lens-in"}},
		{"Sight fell", true, []string{"sight-fell"}},
		{"Sight", false, []string{"sight-fading", "evening-below-own", "evening-drop-marked", "halos-persist", "halo-late", "adaptation-behind", "behind"}},
		{"Growth", false, []string{"fast-growth"}},
		{"Care", false, []string{"care-", "deposit-removal-overdue", "deposits-slipping", "soak-short", "worn-while-ill"}},
		{"Wear", false, []string{"nights-missed", "slipping", "missed-often", "weekday-pattern", "nights-short", "short-nights", "left-in", "not-started", restedOften}},
		{"Supplies", false, []string{"lens-lost", "supply-overdue", "lens-overdue"}},
		{"Visits", false, []string{"recall-missed", "recall-overdue", "wash-out"}},
		{"The log", false, []string{"not-logged", "silent", "silent-early", "silence", "written-late", "entries-differ"}},
	}
}

func (t topic) has(rule string) bool { return t.place(rule) >= 0 }

// place is where a rule stands in the topic.
func (t topic) place(rule string) int {
	return slices.IndexFunc(t.rules, func(r string) bool { return r == rule || strings.HasSuffix(r, "-") && strings.HasPrefix(rule, r) })
}

// raised merges the points of a summary into topics, with plain counts. A rule
// that no topic names is a topic of its own, so that nothing is lost.
func raised(sum *Summary) []Raise {
	out := []Raise{}
	left := slices.Clone(sum.Points)
	for _, t := range topics() {
		r := Raise{Title: t.title, Danger: t.danger}
		var said []string
		mine := slices.DeleteFunc(slices.Clone(left), func(p Point) bool { return !t.has(p.Rule) })
		slices.SortStableFunc(mine, func(a, b Point) int { return cmp.Compare(t.place(a.Rule), t.place(b.Rule)) })
		for _, p := range mine {
			r.Rules = append(r.Rules, p.Rule)
			if text := short(p, sum); text != "" && !slices.Contains(said, text) {
				said = append(said, text)
			}
		}
		left = slices.DeleteFunc(left, func(p Point) bool { return t.has(p.Rule) })
		if len(r.Rules) > 0 {
			r.Text = sentence(strings.Join(said, "; "))
			out = append(out, r)
		}
	}
	for _, p := range left {
		out = append(out, Raise{Title: sentence(strings.ReplaceAll(p.Rule, "-", " ")), Text: sentence(firstPieces(p.Evidence)), Rules: []string{p.Rule}})
	}
	return out
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + strings.TrimSuffix(s[1:], ".") + "."
}

// firstPieces is evidence cut to its first two pieces.
func firstPieces(evidence string) string {
	parts := strings.Split(evidence, "; ")
	if len(parts) <= 2 {
		return evidence
	}
	return fmt.Sprintf("%s; and %d more", strings.Join(parts[:2], "; "), len(parts)-2)
}

// short is one point in plain counts.
func short(p Point, sum *Summary) string {
	switch p.Rule {
	case "water-contact":
		return waterShort(p, sum)
	case "symptoms":
		return symptomsShort(sum)
	case "wrote", "visit-finding", wornHeldRule, claimed, stopUnwritten, eventUnstopped:
		return p.Evidence
	case "sore-eye-nights":
		return fmt.Sprintf("no lens for a sore eye on %s", plural(len(soreNights(sum)), "night", "nights"))
	case "stuck-lens":
		n := 0
		for _, r := range sum.Mornings {
			if r.Moved == "stuck" || r.Moved == "stuck-came-off" {
				n++
			}
		}
		return fmt.Sprintf("a lens stuck on %s", plural(n, "morning", "mornings"))
	case "nights-missed":
		return fmt.Sprintf("%d of %d nights missed, at most %d in a row", sum.Wear.NotDone, sum.Wear.Answered(), sum.Counts.LongestMissed)
	case "nights-short":
		return fmt.Sprintf("%d of %d shorter than planned", sum.Counts.Short, sum.Hours.N)
	case "recall-missed":
		return "missed: " + firstPieces(p.Evidence)
	case "deposit-removal-overdue":
		return "deposit removal: " + p.Evidence
	case "not-logged", "written-late", "entries-differ":
		return logWords(p.Rule, sum)
	}
	if strings.HasPrefix(p.Rule, "care-") {
		return careWords(p.Rule, sum)
	}
	return firstPieces(p.Evidence)
}

// symptomsShort says how many reports named a sign, of how many, the last of them, and
// before it the gravest where that is an earlier and a graver one.
func symptomsShort(sum *Summary) string {
	all, n, counted := 0, 0, false
	var last, worst SymptomRow
	for _, r := range sum.Symptoms {
		if !r.Follows {
			all++
		}
		counted = counted && r.Follows
		if r.Words == symptomWords(alerts.Report{}) {
			continue
		}
		if !counted {
			n, counted = n+1, true
		}
		if last = r; r.Level >= worst.Level {
			worst = r
		}
	}
	said := plural(n, "report", "reports")
	if all > n {
		said = fmt.Sprintf("%d of %s with a sign", n, plural(all, "report", "reports"))
	}
	if worst.Level > last.Level {
		said += fmt.Sprintf("; gravest %s: %s", worst.On, worst.Words)
	}
	return fmt.Sprintf("%s; last %s: %s", said, last.On, last.Words)
}

func waterShort(p Point, sum *Summary) string {
	var said []string
	for _, c := range sum.Care {
		if n := c.Share.NotDone; n > 0 && c.Item == "tap_water" {
			said = append(said, fmt.Sprintf("tap water on %d of %d nights", n, c.Share.Answered()))
		} else if n > 0 && c.Item == "water_contact" {
			said = append(said, fmt.Sprintf("shower or swim with lenses in on %d of %d", n, c.Share.Answered()))
		}
	}
	if len(said) == 0 { // before the range
		return firstPieces(p.Evidence)
	}
	return strings.Join(said, "; ")
}

func logWords(rule string, sum *Summary) string {
	t := sum.Trust
	switch rule {
	case "not-logged":
		return fmt.Sprintf("%d of %d nights without an entry", t.Unlogged.Done, t.Unlogged.Answered())
	case "written-late":
		return fmt.Sprintf("%d of %d first written more than a day late", t.LateWritten, t.Unlogged.NotDone)
	}
	return fmt.Sprintf("two entries disagree on %s", plural(t.Differ, "night", "nights"))
}

// mostItems is how many care items one topic names.
const mostItems = 3

// careWords names the items left out most, once for all points about care.
func careWords(rule string, sum *Summary) string {
	rows := slices.DeleteFunc(slices.Clone(sum.Care), func(c CareRow) bool {
		name := "care-" + strings.ReplaceAll(c.Item, "_", "-")
		return !slices.ContainsFunc(sum.Points, func(p Point) bool { return p.Rule == name })
	})
	slices.SortStableFunc(rows, func(a, b CareRow) int { return cmp.Compare(b.Share.NotDone, a.Share.NotDone) })
	var said []string
	for i, c := range rows {
		if i == mostItems {
			said = append(said, plural(len(rows)-mostItems, "more item", "more items"))
			break
		}
		for _, item := range careItems() {
			if item.field == c.Item {
				said = append(said, fmt.Sprintf("%s on %d of %d", item.lapse, c.Share.NotDone, c.Share.Answered()))
			}
		}
	}
	return strings.Join(said, "; ")
}
