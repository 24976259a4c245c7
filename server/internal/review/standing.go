package review

import (
	"slices"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
)

// Standing returns the rules about the record that hold for a wearer as of a
// night, most pressing first. Today, the review and every list go by it, with the
// facts and settings by which a phone judges its own log, so that no page says
// what another denies.
func Standing(in CallInput, tonight civil.Date) []alerts.Finding {
	return standing(&in, tonight, statusOf(in.newState(tonight)))
}

// rules are those that hold for the wearer, as a page shows them.
func (s *state) rules() []RuleRow {
	out := []RuleRow{}
	if s.in.Call == nil {
		return out
	}
	for _, f := range Standing(*s.in.Call, s.in.Call.night(s.in.Today)) {
		rule := alerts.Default().Rule(f.Rule)
		out = append(out, RuleRow{f.Rule, f.Level.String(), alerts.English().Say(rule.Clinic)})
	}
	return out
}

func standing(in *CallInput, tonight civil.Date, effect string) []alerts.Finding {
	table := alerts.Default()
	facts := care.AlertFacts(in.NightSigns, in.Plan.Plan, tonight)
	in.addTime(facts, tonight)
	if effect != "" && effect != "not-enough" {
		facts["behind_adaptation"] = alerts.Word(map[bool]string{true: "yes", false: "no"}[effect == "behind"])
	}
	all := table.Evaluate(alerts.Input{
		Today: tonight, Back: in.unheld(care.AlertNights(in.NightSigns, in.Plan.Plan, tonight, table.LongestWindow()), tonight),
		Facts: facts, Settings: in.Limits,
	})
	all = slices.DeleteFunc(all, func(f alerts.Finding) bool { return f.State != alerts.Fired })
	slices.SortStableFunc(all, func(a, b alerts.Finding) int { return int(b.Level) - int(a.Level) })
	return all
}

// unheld are the nights as the rules see them, tonight first, without "not worn"
// where no planned eye was allowed a lens: keeping to that is no missed night.
func (in *CallInput) unheld(back []alerts.Night, tonight civil.Date) []alerts.Night {
	if len(in.Wear) == 0 {
		return back
	}
	for ago, n := range back {
		if n == nil || n.Value("worn") != alerts.Word("no") {
			continue
		}
		wear := care.WearOf(in.Wear, tonight.AddDays(-ago), true, nil)
		if len(in.Plan.eyesBelow(care.Rest, &wear)) == 0 {
			back[ago] = notAsked{n}
		}
	}
	return back
}

// notAsked is a night on which no lens was asked for.
type notAsked struct{ alerts.Night }

// Value returns one sign; whether lenses were worn is not asked.
func (n notAsked) Value(name alerts.Sign) alerts.Value {
	if name == "worn" {
		return alerts.Value{}
	}
	return n.Night.Value(name)
}

// overdueFacts are the facts of what has a date, by the reminder that names each.
var overdueFacts = map[string]alerts.Sign{
	"case": "case_overdue_days", "bottle": "bottle_overdue_days", "drops": "bottle_overdue_days",
	"lens": "lens_overdue_days", "deposit-removal": "deposit_overdue_days",
}

// addTime adds what time brings: the twin of ofTime in pwa/app/model/record.js.
func (in *CallInput) addTime(facts alerts.Signs, tonight civil.Date) {
	p := &in.Plan.Plan
	if p.FirstNight.IsZero() {
		return
	}
	if !p.FirstNight.After(tonight) && (p.Stopped.IsZero() || p.Stopped.After(tonight)) {
		facts["silent_nights"] = alerts.Number(float64(SilentNights(p.FirstNight, in.LastNight, tonight)))
	}
	worst := map[alerts.Sign]int{}
	note := func(name alerts.Sign, days int) {
		if have, known := worst[name]; !known || days > have {
			worst[name] = days
		}
	}
	if p.CareSystem == schedule.Peroxide {
		facts["peroxide_old_case"] = alerts.Word("no")
	}
	for _, it := range in.Due {
		if it.Key == schedule.OldCase && !it.Due.After(tonight) {
			facts["peroxide_old_case"] = alerts.Word("yes")
		}
		if name, known := overdueFacts[it.Rule]; known && !in.lost(&it) {
			note(name, tonight.DaysSince(it.Due))
		}
	}
	for _, r := range OpenRecalls(in.Recalls, course.ScheduleVisits(in.Visits), tonight) {
		note("recall_overdue_days", tonight.DaysSince(r.Due))
	}
	for name, days := range worst {
		facts[name] = alerts.Number(float64(days))
	}
}

// lost reports whether an item is the replacement of a lens that was lost: that one is
// past no date.
func (in *CallInput) lost(it *schedule.Item) bool {
	return it.Rule == "lens" && slices.ContainsFunc(in.Lost, func(l care.LostLens) bool { return l.Eye == it.Subject })
}

// SilentNights is how many nights in a row, up to last night, nobody wrote
// about: counted from the last night that an entry tells of, or from the first
// night in lenses when that is later. Tonight may still be written. lastNight is
// zero when nothing ever was.
func SilentNights(firstNight, lastNight, tonight civil.Date) int {
	from := firstNight.AddDays(-1)
	if lastNight.After(from) {
		from = lastNight
	}
	return max(0, tonight.DaysSince(from)-1)
}

// OpenRecalls are the visits past their date for which the wearer has not been
// seen since: any later visit kept settles what was due before, and an appointment
// that was not kept only if it came after that too. The earliest due comes first.
func OpenRecalls(all []schedule.Recall, visits []schedule.Visit, today civil.Date) []schedule.Recall {
	open := slices.DeleteFunc(slices.Clone(all), func(r schedule.Recall) bool {
		seen := slices.ContainsFunc(visits, func(v schedule.Visit) bool {
			return v.State == "kept" && !v.Date.Before(r.Due) && !v.Date.Before(r.Date) && !v.Date.After(today)
		})
		return r.State != "overdue" && r.State != "missed" || r.Passed || seen
	})
	slices.SortStableFunc(open, func(a, b schedule.Recall) int { return a.Due.Compare(b.Due) })
	return open
}

// Overdue returns those of them whose date is past, as every page calls overdue: an
// appointment missed before its visit was due leaves it due.
func Overdue(all []schedule.Recall, visits []schedule.Visit, today civil.Date) []schedule.Recall {
	return slices.DeleteFunc(OpenRecalls(all, visits, today), func(r schedule.Recall) bool { return !r.Due.Before(today) })
}

// statusOf is the status of the poorer eye by the effect model, as the family is
// told it; empty when no refraction before treatment is known.
func statusOf(s *state) string {
	if o := s.outlook(); o != nil {
		return o.Status
	}
	return ""
}
