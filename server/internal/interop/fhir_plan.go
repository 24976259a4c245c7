package interop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/episode"
)

// plans writes every version of the care plan; the newest is in force unless
// wear was stopped.
func (b *bundler) plans() {
	versions := slices.Clone(b.Plans)
	slices.SortFunc(versions, func(x, y PlanVersion) int { return x.Version - y.Version })
	for i, v := range versions {
		p := b.plan(v)
		if i > 0 {
			p.Replaces = []reference{to(b.planID(versions[i-1].Version))}
		}
		if i < len(versions)-1 {
			p.Status = "revoked"
		}
		if p.Status != "active" {
			for j := range p.Activity {
				p.Activity[j].Detail.Status = "stopped"
			}
		}
		b.add(p.ID, p)
		b.lenses(v, p.Status == "active")
	}
}

func (b *bundler) planID(version int) string { return b.uuid("plan", strconv.Itoa(version)) }

func (b *bundler) plan(v PlanVersion) carePlan {
	p := carePlan{
		ResourceType: "CarePlan", ID: b.planID(v.Version), Status: "active", Intent: "plan",
		Title: fmt.Sprintf("Overnight lens wear, version %d", v.Version), Subject: b.wearer(), Activity: activities(v.Plan), Note: note(v.Remark),
	}
	if !v.At.IsZero() {
		p.Created = instant(v.At)
	}
	if name := words(v.By); name != "" {
		author := b.staff(name)
		p.Author = &author
	}
	start := v.From
	if start.IsZero() {
		start = v.FirstNight
	}
	if !start.IsZero() {
		p.Period = &period{Start: start.String()}
	}
	if !v.Stopped.IsZero() && p.Period != nil && !v.Stopped.Before(start) {
		p.Period.End = v.Stopped.String()
		if instant(b.Now)[:10] >= p.Period.End {
			p.Status = "completed"
		}
	}
	return p
}

// activities says in words what the plan asks for.
func activities(p schedule.Plan) []activity {
	var out []activity
	do := func(when, format string, args ...any) {
		out = append(out, activity{activityDetail{"in-progress", when, fmt.Sprintf(format, args...)}})
	}
	do(fmt.Sprintf("every night, %s to %s", p.WearFrom, p.WearTo), "Wear lenses asleep, %s, at least %g hours", eyesInWords(p.Eyes), p.MinHours)
	do("after every removal", "Disinfect the lenses, care system %s, at least %d minutes", p.CareSystem, p.SoakMinutes)
	do(every(p.CaseMonths, "month"), "Replace the lens case")
	if p.DepositRemovalDays > 0 {
		do(every(p.DepositRemovalDays, "day"), "Remove deposits from the lenses")
	}
	if p.LensMonths > 0 {
		do(every(p.LensMonths, "month"), "Replace the lenses")
	}
	if p.HolderMonths > 0 {
		do(every(p.HolderMonths, "month"), "Replace the lens holder")
	}
	if p.AcuityEveryDays > 0 {
		do(every(p.AcuityEveryDays, "day"), "Measure sight at home")
	}
	for _, r := range p.Recalls {
		do(stepInWords(r), "Aftercare visit: %s", r.Kind)
	}
	return out
}

func eyesInWords(eyes string) string {
	if eyes == "both" {
		return "both eyes"
	}
	return eyes + " eye"
}

func every(n int, unit string) string {
	if n == 1 {
		return "every " + unit
	}
	return fmt.Sprintf("every %d %ss", n, unit)
}

func stepInWords(s schedule.RecallStep) string {
	if s.EveryMonths > 0 {
		return every(s.EveryMonths, "month")
	}
	var parts []string
	if s.Months > 0 {
		parts = append(parts, count(s.Months, "month"))
	}
	if s.Days > 0 {
		parts = append(parts, count(s.Days, "day"))
	}
	return strings.Join(parts, " and ") + " after the first night"
}

func count(n int, unit string) string {
	if n == 1 {
		return "1 " + unit
	}
	return fmt.Sprintf("%d %ss", n, unit)
}

// lenses writes the lenses a version prescribes.
func (b *bundler) lenses(v PlanVersion, active bool) {
	p := prescription{
		ResourceType: "VisionPrescription", ID: b.uuid("plan", strconv.Itoa(v.Version), "lenses"), Status: "cancelled",
		Patient: b.wearer(), Prescriber: b.staff(v.By), Created: instant(v.At), DateWritten: instant(v.At),
	}
	if active {
		p.Status = "active"
	}
	for _, e := range []struct {
		eye string
		l   *Lens
	}{{"right", v.Right}, {"left", v.Left}} {
		if e.l != nil && (e.l.BaseCurveMM != nil || e.l.DiameterMM != nil || e.l.Power != nil) {
			p.Lens = append(p.Lens, lensSpec{Product: product("contact"), Eye: e.eye, Power: e.l.Power, BackCurve: e.l.BaseCurveMM, Diameter: e.l.DiameterMM, Note: note(e.l.Design)})
		}
	}
	if p.Lens != nil {
		b.add(p.ID, p)
	}
}

// alerts writes each alert twice: as a flag on the wearer, and as the task of
// dealing with it.
func (b *bundler) alerts() {
	list := slices.Clone(b.Alerts)
	slices.SortFunc(list, func(x, y review.AlertFact) int {
		if c := x.Opened.Compare(y.Opened); c != 0 {
			return c
		}
		return strings.Compare(string(x.ID), string(y.ID))
	})
	for _, a := range list {
		f := b.flag(a)
		b.add(f.ID, f)
		t := b.task(a, f.ID)
		b.add(t.ID, t)
	}
}

func (b *bundler) flagID(id care.AlertID) string { return b.uuid("alert", string(id)) }

// byMistake is the outcome that says there was nothing to flag.
const byMistake = "in-error"

func (b *bundler) flag(a review.AlertFact) flag {
	f := flag{
		ResourceType: "Flag", ID: b.flagID(a.ID), Identifier: []identifier{{b.Base + "/id/alert", string(a.ID)}}, Status: "active",
		Category: []concept{{Coding: []coding{{System: hl7 + "flag-category", Code: "clinical"}}, Text: "Raised from the home log, level " + a.Level}},
		Code:     concept{Text: words(a.Title)}, Subject: b.wearer(), Period: period{Start: instant(a.Opened)},
	}
	if f.Code.Text == "" {
		f.Code.Text = a.Rule
	}
	if !a.ClosedAt.IsZero() {
		f.Status, f.Period.End = "inactive", instant(a.ClosedAt)
		if a.Outcome == byMistake {
			f.Status = inError
		}
	}
	return f
}

// priorities are the four of the specification.
var priorities = map[string]string{"emergency": "stat", "urgent": "urgent", "routine": "routine", "note": "routine"}

func (b *bundler) task(a review.AlertFact, flagID string) task {
	t := task{
		ResourceType: "Task", ID: b.uuid("alert", string(a.ID), "task"), Status: "requested", Intent: "order", Priority: priorities[a.Level],
		Description: "Deal with the alert: " + b.flag(a).Code.Text, Focus: to(flagID), For: b.wearer(),
		AuthoredOn: instant(a.Opened), LastModified: instant(a.Opened),
	}
	if t.Priority == "" {
		t.Priority = "stat" // a level we do not know is not for waiting
	}
	if !a.AckAt.IsZero() {
		t.Status, t.LastModified, t.Execution = "accepted", instant(a.AckAt), &period{Start: instant(a.AckAt)}
	}
	if !a.ClosedAt.IsZero() {
		t.Status, t.LastModified = "completed", instant(a.ClosedAt)
		if t.Execution == nil {
			t.Execution = &period{}
		}
		t.Execution.End = instant(a.ClosedAt)
		if o, ok := episode.OutcomeOf(a.Outcome); ok {
			t.BusinessStatus = &concept{Text: o.Title}
		}
		if a.Outcome == byMistake {
			t.Status = inError
		}
	}
	return t
}
