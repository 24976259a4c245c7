package escalate

import (
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Policy is the practice's own minutes. The defaults are our design's, not
// published figures. The bounds of Check keep a practice from setting a ladder
// that nobody would hear.
type Policy struct {
	Unshown   int `json:"unshown_minutes"`    // no device of the first person has shown it: go on to the deputy
	Deputy    int `json:"deputy_minutes"`     // not acknowledged: mail, and the deputy
	Everyone  int `json:"everyone_minutes"`   // not acknowledged: the whole rota
	Repeat    int `json:"repeat_minutes"`     // from then on, again and again
	Lapse     int `json:"lapse_minutes"`      // not acknowledged: red banner, owner, family told to phone
	StillOpen int `json:"still_open_minutes"` // acknowledged and not closed: remind who has it
}

// DefaultPolicy returns 1, 3, 10, 15 and 60 minutes, and a reminder a day.
func DefaultPolicy() Policy {
	return Policy{Unshown: 1, Deputy: 3, Everyone: 10, Repeat: 15, Lapse: 60, StillOpen: 24 * 60}
}

// Check returns a [care.Invalid] error naming the first setting out of bounds.
func (p Policy) Check() error {
	for _, b := range []struct {
		field            string
		value, low, high int
	}{
		{"unshown_minutes", p.Unshown, 1, p.Deputy},
		{"deputy_minutes", p.Deputy, 1, 10},
		{"everyone_minutes", p.Everyone, p.Deputy + 1, 30},
		{"repeat_minutes", p.Repeat, 5, 60},
		{"lapse_minutes", p.Lapse, p.Everyone + 1, 120},
		{"still_open_minutes", p.StillOpen, 60, 7 * 24 * 60},
	} {
		if b.value < b.low || b.value > b.high {
			return care.Refuse("out-of-bounds", b.field, "%d minutes: want %d to %d", b.value, b.low, b.high)
		}
	}
	return nil
}

// policy returns the practice's policy, or the defaults when it is not valid:
// a bad setting must not silence an alert.
func (r Rules) policy() Policy {
	if r.Policy.Check() != nil {
		return DefaultPolicy()
	}
	return r.Policy
}

func minutes(n int) time.Duration { return time.Duration(n) * time.Minute }

// step takes the next step of an alert: tells people, and sets when the one
// after is due.
func (r Rules) step(a Alert, now time.Time) (Alert, []Effect) {
	switch {
	case a.State == Acknowledged:
		a.Step++
		a.NextStepAt = now.Add(minutes(r.policy().StillOpen))
		a = a.with(Event{Kind: StepDue, At: now, Text: "still open: reminded " + a.OwnerName})
		return a, []Effect{a.deliver(Push, a.Owner, KindReminder)}
	case a.State != Open || a.Level == Note:
		a.NextStepAt = time.Time{}
		return a, nil
	case a.Level == Routine:
		return r.routineStep(a, now)
	}
	return r.climb(a, now)
}

// routineStep tells the person on duty once each time the clinic opens.
func (r Rules) routineStep(a Alert, now time.Time) (Alert, []Effect) {
	a.NextStepAt = r.nextRoutine(a, now)
	if len(r.Contacts.Hours) > 0 && !OpenAt(r.Contacts, now) {
		return a, nil
	}
	a.Step++
	a.Rung = 1
	return r.tell(a, now)
}

// nextRoutine returns when a routine alert is told next: the clinic's next
// opening on another date, or this date's when it has not been told yet.
// Without hours it is a day later.
func (r Rules) nextRoutine(a Alert, now time.Time) time.Time {
	from := now
	if OpenAt(r.Contacts, now) {
		loc := zone(r.Contacts.Zone)
		from = civil.At(civil.DateOf(now.In(loc)).AddDays(1), 0, loc)
	}
	if at := NextOpening(r.Contacts, from); !at.IsZero() {
		return at
	}
	return now.Add(24 * time.Hour)
}

// climb takes a red flag at least one rung up, and as far as the time since it
// became open says: after a stop of the server one step goes the whole way.
func (r Rules) climb(a Alert, now time.Time) (Alert, []Effect) {
	p, waited := r.policy(), now.Sub(a.Since)
	a.Step++
	a.Rung = min(a.Rung+1, 3)
	if person, _ := OnDuty(r.Rota, now); person == "" && a.Owner == "" {
		a.Rung = 3 // a gap in the rota: nobody to be first
	}
	if waited >= minutes(p.Deputy) {
		a.Rung = max(a.Rung, 2)
	}
	if waited >= minutes(p.Everyone) {
		a.Rung = 3
	}
	if waited >= minutes(p.Lapse) && a.LapsedAt.IsZero() {
		a.LapsedAt = now
	}
	a.NextStepAt = nextRung(&a, p, now)
	silence := a.LapsedAt.Equal(now)
	a, effects := r.tell(a, now)
	if silence {
		effects = append(effects, a.family(KindSilence))
		if a.Drill {
			a = a.end(Event{At: now}, DrillUnanswered)
		}
	}
	return a, effects
}

func nextRung(a *Alert, p Policy, now time.Time) time.Time {
	switch {
	case a.Rung == 1 && a.ShownAt.IsZero():
		return now.Add(minutes(p.Unshown))
	case a.Rung == 1:
		return later(a.Since.Add(minutes(p.Deputy)), now.Add(minutes(p.Unshown)))
	case a.Rung == 2:
		return later(a.Since.Add(minutes(p.Everyone)), now.Add(minutes(p.Unshown)))
	}
	next := now.Add(minutes(p.Repeat))
	if lapse := a.Since.Add(minutes(p.Lapse)); a.LapsedAt.IsZero() && lapse.Before(next) {
		return lapse
	}
	return next
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// tell notes the step in the history and returns its messages.
func (r Rules) tell(a Alert, now time.Time) (Alert, []Effect) {
	plan := Plan(a, r.policy(), r.Rota, now)
	text := [...]string{"", "told who is on duty", "told who is on duty and the deputy", "told everybody on the rota"}[a.Rung]
	person, deputy := OnDuty(r.Rota, now)
	if a.Rung == 2 && deputy == "" {
		text = "told who is on duty"
	}
	if a.Rung == 3 && person == "" && a.Owner == "" { // perhaps there is no rota at all
		text = "nobody is on duty: told everybody who gets alerts, and the owner"
	}
	if a.LapsedAt.Equal(now) {
		text += fmt.Sprintf("; nobody answered for %d minutes", int(now.Sub(a.Since)/time.Minute))
	}
	a = a.with(Event{Kind: StepDue, At: now, Text: text})
	effects := make([]Effect, 0, len(plan))
	for _, d := range plan {
		effects = append(effects, Effect{Deliver, d})
	}
	return a, effects
}

func (a *Alert) deliver(c Channel, to care.PersonID, k Kind) Effect {
	return Effect{Deliver, Delivery{Step: a.Step, Channel: c, Target: to, Kind: k, Level: a.Level, Drill: a.Drill}}
}

// Plan returns the messages of the step an alert stands on at now, each person
// and channel once. Nobody on the rota, or a lapsed alert, goes to the
// practice's owner by mail as well.
func Plan(a Alert, p Policy, rota Rota, now time.Time) []Delivery {
	if a.State != Open || a.Level == Note || a.Rung == 0 {
		return nil
	}
	person, deputy := OnDuty(rota, now)
	var pushTo, mailTo []care.PersonID
	pushTo = append(pushTo, a.Owner, person)
	if a.Rung >= 2 {
		pushTo = append(pushTo, deputy)
		mailTo = append(mailTo, pushTo...)
	}
	if a.Rung >= 3 {
		pushTo = append(pushTo, rota.Present(now)...)
		mailTo = append(mailTo, rota.Present(now)...)
	}
	if !a.LapsedAt.IsZero() || person == "" && a.Owner == "" {
		mailTo = append(mailTo, PracticeOwner)
	}
	mailKind := KindAlert
	if !a.LapsedAt.IsZero() {
		mailKind = KindLapsed
	}
	var out []Delivery
	for _, c := range []struct {
		channel Channel
		kind    Kind
		to      []care.PersonID
	}{{Push, KindAlert, pushTo}, {Mail, mailKind, mailTo}} {
		for i, to := range c.to {
			if to != "" && !slices.Contains(c.to[:i], to) {
				out = append(out, a.deliver(c.channel, to, c.kind).Delivery)
			}
		}
	}
	return out
}
