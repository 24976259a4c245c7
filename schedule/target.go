package schedule

import (
	"nightkeep/schedule/civil"
)

// dated returns the item of a target, said on date, as seen on today.
func (d day) dated(t target, date, today civil.Date) Item {
	it := d.item(t.rule, date)
	it.Due, it.Subject, it.Label = t.due, t.subject, t.label
	it.Overdue = max(0, today.DaysSince(t.due))
	if t.key != "" {
		it.Key = t.key
	}
	return it
}

// target is something with a due date.
type target struct {
	rule                *Rule
	due                 civil.Date
	subject, label, key string
}

// open reports whether a target is asked for on a date: visits always, care
// of the lenses when they are worn, supplies while the plan is in force and
// nothing is kept for the practice.
func (d day) open(t target, date civil.Date) bool {
	switch {
	case t.rule.ID == "recall":
		return true
	case d.Log.Ended:
		return false
	case t.rule.Each == "night":
		return d.asked(date) && d.allows(t.rule.ID, date)
	}
	return d.Plan.active(date) && !d.stopped(date)
}

// supplyTargets returns every supply and interval with a due date. A case,
// holder or lens that nobody logged counts from the first night, on which it was
// handed out; a bottle nobody logged is not guessed at.
func (d day) supplyTargets() []target {
	p, log := &d.Plan, &d.Log
	var out []target
	add := func(wanted bool, rule string, due civil.Date, subject, label string) {
		if wanted {
			out = append(out, target{rule: d.rule(rule), due: due, subject: subject, label: label})
		}
	}
	add(p.DepositRemovalDays > 0, "deposit-removal", later(log.LastDeposit, p.FirstNight).AddDays(p.DepositRemovalDays), "", "")
	add(p.AcuityEveryDays > 0, "acuity", later(log.LastAcuity, p.FirstNight).AddDays(p.AcuityEveryDays), "", "")
	if p.CaseMonths > 0 {
		out = append(out, d.caseTarget())
	}
	add(p.HolderMonths > 0, "holder", log.newest("holder", "", p.FirstNight).AddMonths(p.HolderMonths), "", "")
	for _, eye := range []string{"right", "left"} {
		worn := p.Eyes == eye || p.Eyes == "both"
		add(worn && p.LensMonths > 0, "lens", log.newest("lens", eye, p.FirstNight).AddMonths(p.LensMonths), eye, "")
	}
	for _, s := range log.Supplies {
		discard := s.Started.AddDays(s.DiscardAfterDays)
		add(s.Item == "solution" && s.DiscardAfterDays > 0, "bottle", discard, s.ID, s.Label)
		add(s.Item == "drops" && s.DiscardAfterDays > 0, "drops", discard, s.ID, s.Label)
	}
	return out
}

// OldCase is the key of the words for a case that a new bottle of peroxide has
// outlived.
const OldCase = "remind.case.bottle"

// caseTarget is when the lens case has to go: after the plan's months, and with
// peroxide as soon as a bottle is newer than it. Its disc or ring wears out with
// the bottle: never the old case with a new bottle (FDA, Hydrogen Peroxide
// Solution, page as of February 2022).
func (d day) caseTarget() target {
	started := d.Log.newest("case", "", d.Plan.FirstNight)
	t := target{rule: d.rule("case"), due: started.AddMonths(d.Plan.CaseMonths)}
	if d.Plan.CareSystem != Peroxide {
		return t
	}
	for _, s := range d.Log.Supplies {
		if s.Item == "solution" && s.Started.After(started) && s.Started.Before(t.due) {
			t.due, t.key = s.Started, OldCase
		}
	}
	return t
}

func later(a, b civil.Date) civil.Date {
	if a.After(b) {
		return a
	}
	return b
}

// newest returns when the newest item of a sort was started, or first.
func (l *Log) newest(item, eye string, first civil.Date) civil.Date {
	for _, s := range l.Supplies {
		if s.Item == item && (eye == "" || s.Eye == eye || s.Eye == "both" || s.Eye == "") {
			first = later(s.Started, first)
		}
	}
	return first
}

// visitTargets returns the visits still to be kept that are worth a reminder.
// Of several that went by, the last speaks for all.
func (d day) visitTargets() []target {
	var late, out []target
	for _, r := range Recalls(d.Plan, d.Log.Visits, d.Log.LensStarts, d.today) {
		t := target{rule: d.rule("recall"), due: r.Due, subject: r.Kind + "-" + r.Due.String(), label: r.Kind}
		switch {
		case r.Passed || r.State == "kept" || r.State == "waived":
		case r.State == "booked":
			t.due, t.key = r.Date, "remind.recall.booked"
			out = append(out, t)
		case d.Log.Ended:
		case r.State == "due":
			t.key = "remind.recall.book"
			out = append(out, t)
		default:
			t.key = "remind.recall.missed"
			late = []target{t}
		}
	}
	return append(out, late...)
}
