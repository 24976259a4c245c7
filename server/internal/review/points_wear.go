package review

import (
	"fmt"
	"slices"
	"strings"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/stats"
)

// Limits of the points about wear and the log. No body publishes them: they
// are common practice and only decide what is worth a sentence at a recall.
const (
	missedShare   = 0.10 // of the nights answered
	shortShare    = 0.20 // of the nights with known hours
	unloggedShare = 0.30 // of all nights
	partlyShare   = 0.10 // the same, from which the figures are read as claims (ours)
	lateShare     = 0.25 // of the nights logged
	careShare     = 0.10 // of the nights answered for one item
	careFew       = 3    // nights before an item is worth a sentence
)

const basisSchedule = "class labelling of the first approved overnight designs: the effect lasts only while lenses are worn on the prescribed schedule"

func wearRules() []pointRule {
	return []pointRule{
		{"nights-missed", basisSchedule, nightsMissed},
		{"weekday-pattern", "common practice", weekdayPattern},
		{"nights-short", "fewest hours named in the plan; long-term wearers mostly keep 6 to 8 hours (Santolaria-Sanz 2013)", func(sum *Summary, _ *state) (string, string) {
			if sum.Hours.N == 0 || float64(sum.Counts.Short) < shortShare*float64(sum.Hours.N) {
				return "", ""
			}
			return "Several nights were shorter than planned. Would an earlier bedtime work on some of them?",
				fmt.Sprintf("%d short of %d nights with known hours; middle %.1f h", sum.Counts.Short, sum.Hours.N, sum.Hours.Median)
		}},
		{"left-in", "common practice: lenses come out on waking; class labelling of the first approved overnight designs: worn overnight, on the prescribed schedule", leftInDays},
		{"recall-missed", "follow-up attendance falls from month 3 to month 9 (2018 study of 405 wearers)", recallMissed},
		{"supply-overdue", "case at least every 3 months (CDC; Cope 2015); bottles by their printed date; lenses as planned", supplyOverdue},
		{"deposit-removal-overdue", "deposits not removed as told: one of the three commonest lapses (2018 study of 405 wearers)", depositOverdue},
	}
}

// nightsMissed counts the nights without lenses, with their reasons.
func nightsMissed(sum *Summary, _ *state) (string, string) {
	n := sum.Wear.Answered()
	if n == 0 || float64(sum.Wear.NotDone) < missedShare*float64(n) && sum.Counts.LongestMissed < 2 {
		return "", ""
	}
	return "Some nights went without lenses. What got in the way, and can we make it easier?",
		fmt.Sprintf("%d of %d nights answered were missed, at most %d in a row; reasons: %s; %d not logged", sum.Wear.NotDone, n,
			sum.Counts.LongestMissed, reasons(sum.Counts.Reasons), sum.Wear.Unknown)
}

// leftInDays are the days on which lenses stayed in past noon, by the log.
func leftInDays(sum *Summary, _ *state) (string, string) {
	var nights []string
	for _, r := range sum.Nights {
		if r.LeftIn {
			nights = append(nights, r.Night.String()+hoursWords(r.Hours))
		}
	}
	return ifAny(nights, "On some days the lenses stayed in past noon, or were only logged then. How are mornings going?")
}

// recallMissed are the visits missed since the last one kept.
func recallMissed(_ *Summary, s *state) (string, string) {
	var missed []string
	last := lastKept(s.in.Visits, s.in.Today)
	for _, v := range s.in.Visits {
		if v.State == "missed" && (last == nil || v.Date.After(last.Date)) {
			missed = append(missed, strings.ReplaceAll(v.Kind, "-", " ")+" on "+v.Date.String())
		}
	}
	return ifAny(missed, "We did not get to see you at a planned visit. What would make the next one easier to keep?")
}

// supplyOverdue is what is in use past its date.
func supplyOverdue(_ *Summary, s *state) (string, string) {
	var due []string
	for _, r := range s.supplies() {
		if !r.Due.IsZero() && r.Due.Before(s.in.Today) {
			due = append(due, strings.TrimSpace(eyeWord(r.Eye)+" "+r.Item)+" was due "+r.Due.String())
		}
	}
	return ifAny(due, "Something is in use longer than planned. Do you have a new one at home?")
}

func hoursWords(hours *float64) string {
	if hours == nil {
		return ""
	}
	return fmt.Sprintf(" (%.1f h)", *hours)
}

func reasons(m map[string]int) string {
	var words []string
	for r, n := range m {
		if r == "" {
			r = "no reason given"
		}
		words = append(words, fmt.Sprintf("%s %d", strings.ReplaceAll(r, "-", " "), n))
	}
	slices.Sort(words)
	return strings.Join(words, ", ")
}

// weekdayPattern raises weekdays missed on half or more of at least 3
// answered nights while the others are missed on fewer than one in five.
func weekdayPattern(sum *Summary, _ *state) (string, string) {
	var days, evidence []string
	var rest stats.Share
	for _, w := range sum.Weekdays {
		if n := w.Wear.Answered(); n >= 3 && 2*w.Wear.NotDone >= n {
			days = append(days, strings.ToUpper(w.Day[:1])+w.Day[1:])
			evidence = append(evidence, fmt.Sprintf("%s missed %d of %d", w.Day, w.Wear.NotDone, n))
		} else {
			rest.Done, rest.NotDone = rest.Done+w.Wear.Done, rest.NotDone+w.Wear.NotDone
		}
	}
	if len(days) == 0 || len(days) > 3 || 5*rest.NotDone >= rest.Answered() {
		return "", ""
	}
	return "Most missed nights fall on the same evenings: " + strings.Join(days, ", ") + ". Is there something about them we can plan for?",
		strings.Join(evidence, "; ") + fmt.Sprintf("; other days missed %d of %d", rest.NotDone, rest.Answered())
}

// depositOverdue raises a deposit removal older than the plan's interval plus
// half of it.
func depositOverdue(_ *Summary, s *state) (string, string) {
	if s.plan.DepositRemovalDays == 0 {
		return "", ""
	}
	var last civil.Date
	for d, n := range s.all {
		c := careItem{field: "deposit_removal"}
		if !d.After(s.in.Today) && d.After(last) && c.answerOf(n) == done {
			last = d
		}
	}
	from := last
	if from.IsZero() {
		from = s.plan.FirstNight
	}
	if from.IsZero() || s.in.Today.DaysSince(from)*2 <= s.plan.DepositRemovalDays*3 {
		return "", ""
	}
	evidence := "none logged"
	if !last.IsZero() {
		evidence = "last logged " + last.String()
	}
	return "The deeper clean that removes deposits seems to be due. Shall we go through it together?",
		fmt.Sprintf("%s; the plan asks for one every %d days", evidence, s.plan.DepositRemovalDays)
}

// supplies returns what is in use today, from the whole log.
func (s *state) supplies() []SupplyRow {
	var rows []SupplyRow
	for _, d := range s.loggedNights(civil.Date{}, s.in.Today) {
		plan, _ := planOn(s.in.Plans, d)
		rows = append(rows, supplyRows(s.all[d], plan)...)
	}
	now, _ := planOn(s.in.Plans, s.in.Today)
	used := inUse(rows)
	if now.CareSystem == schedule.Peroxide {
		outlived(used, rows)
	}
	return used
}

// outlived brings a case's date forward to the first bottle of peroxide that is
// newer than it: never the old case with a new bottle.
func outlived(used, all []SupplyRow) {
	for i := range used {
		if used[i].Item != "case" {
			continue
		}
		for _, b := range all {
			if b.Item == "solution" && b.Action == "started" && b.On.After(used[i].On) && (used[i].Due.IsZero() || b.On.Before(used[i].Due)) {
				used[i].Due = b.On
			}
		}
	}
}

func logRules() []pointRule {
	return []pointRule{
		{"not-logged", "a night not logged is unknown; most families rate their care higher than it is (96.6 % against 19.7 %, Bian 2021)", func(sum *Summary, _ *state) (string, string) {
			u := sum.Trust.Unlogged
			if u.Answered() == 0 || u.Share < unloggedShare {
				return "", ""
			}
			return "Many nights have no entry, so we cannot see how they went. Can we make logging quicker for you?", u.Words() + " nights without an entry"
		}},
		{"written-late", "common practice: what is written days later is memory", func(sum *Summary, _ *state) (string, string) {
			t := sum.Trust
			if n := t.Unlogged.NotDone; n == 0 || float64(t.LateWritten) < lateShare*float64(n) && len(t.Batches) == 0 {
				return "", ""
			}
			return "Some nights were written down several at a time. A tap each morning would tell us more than a good memory.",
				fmt.Sprintf("%d of %d nights logged were first written more than a day late; %d times three or more in one day", t.LateWritten, t.Unlogged.NotDone, len(t.Batches))
		}},
		{"entries-differ", "two entries that disagree are kept side by side until a person settles them", func(sum *Summary, _ *state) (string, string) {
			var nights []string
			for _, r := range sum.Nights {
				if r.Differs {
					nights = append(nights, r.Night.String())
				}
			}
			return ifAny(nights, "Two entries say different things about the same night. Which one is right?")
		}},
	}
}

// carePoints raises each care item left out often enough, as a point of its
// own; water is raised by a rule of its own among the first.
func carePoints(sum *Summary) []Point {
	var out []Point
	for i, c := range careItemsOf(sum.Care) {
		row := sum.Care[i]
		n := row.Share.Answered()
		if c.field == "tap_water" || c.field == "water_contact" || row.Share.NotDone < careFew || float64(row.Share.NotDone) < careShare*float64(n) {
			continue
		}
		out = append(out, Point{
			Rule: "care-" + strings.ReplaceAll(c.field, "_", "-"), Basis: c.basis,
			Text:     "On some nights " + c.lapse + ". Shall we go through the steps together and see where it gets lost?",
			Evidence: fmt.Sprintf("%d of %d nights answered; %d not answered", row.Share.NotDone, n, row.Share.Unknown),
		})
	}
	return out
}

// careItemsOf returns the items of the rows, in their order.
func careItemsOf(rows []CareRow) []careItem {
	out := make([]careItem, len(rows))
	for i, r := range rows {
		for _, c := range careItems() {
			if c.field == r.Item {
				out[i] = c
			}
		}
	}
	return out
}
