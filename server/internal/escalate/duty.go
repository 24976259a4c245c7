package escalate

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
)

// calledWithin is how long after taking a red flag a clinician may take to reach
// the family, until the deputy is told (our choice).
const calledWithin = 30 * time.Minute

// reached reports whether a clinician has spoken to the family since they last
// reported anything.
func (a *Alert) reached() bool {
	for _, e := range slices.Backward(a.History) {
		switch e.Kind {
		case Call:
			if e.Result == "reached" && e.Role == care.Clinician {
				return true
			}
		case Raised, Worsened, Reopen:
			return false
		}
	}
	return false
}

// Spoken returns when anybody of the practice last reached the family by phone,
// since they last reported anything; zero when nobody has.
func (a *Alert) Spoken() time.Time {
	for _, e := range slices.Backward(a.History) {
		switch e.Kind {
		case Call:
			if e.Result == "reached" {
				return e.At
			}
		case Raised, Worsened, Reopen:
			return time.Time{}
		}
	}
	return time.Time{}
}

// Tried returns when the practice last phoned the family in vain, or left word; zero
// once it has reached them since, or they have reported anything.
func (a *Alert) Tried() time.Time {
	for _, e := range slices.Backward(a.History) {
		switch e.Kind {
		case Call:
			if e.Result == "reached" {
				return time.Time{}
			}
			return e.At
		case Raised, Worsened, Reopen:
			return time.Time{}
		}
	}
	return time.Time{}
}

// family tells the family's devices where their report stands.
func (a *Alert) family(k Kind) Effect {
	return Effect{Family, Delivery{Step: a.Step, Channel: Push, Kind: k, Level: a.Level, Drill: a.Drill}}
}

// OffDuty reports whether whoever took a red flag was on duty then and is not
// now, while somebody else is.
func (r Rules) OffDuty(a *Alert, now time.Time) bool {
	if a.State != Acknowledged || !a.Level.RedFlag() {
		return false
	}
	on := func(t time.Time) bool {
		person, deputy := OnDuty(r.Rota, t)
		return a.Owner == person || a.Owner == deputy
	}
	person, _ := OnDuty(r.Rota, now)
	return on(a.ownedSince()) && !on(now) && person != ""
}

// ownedSince returns when whoever has an acknowledged alert got it.
func (a *Alert) ownedSince() time.Time {
	for _, e := range slices.Backward(a.History) {
		if e.Kind == PassedOn && e.At.After(a.AckAt) {
			return e.At
		}
	}
	return a.AckAt
}

// due is what time brings: a step of the ladder, the end of a duty, or that
// nobody has reached the family.
func (r Rules) due(a Alert, now time.Time) (Alert, []Effect) {
	if r.OffDuty(&a, now) {
		return r.passOn(a, now)
	}
	if !a.Due(now) {
		return a, nil
	}
	if a.State == Acknowledged && a.Level.RedFlag() && !a.reached() {
		return r.notCalled(a, now)
	}
	return r.step(a, now)
}

// passOn is the end of a duty. What a clinician has spoken to the family about
// goes to whoever is on duty now, without a message; the rest goes back to the
// ladder.
func (r Rules) passOn(a Alert, now time.Time) (Alert, []Effect) {
	to, _ := OnDuty(r.Rota, now)
	e := Event{Kind: PassedOn, At: now, To: to, Text: "the duty of " + a.OwnerName + " has ended"}
	if !a.reached() {
		a.Owner, a.OwnerName = "", ""
		return r.reopen(a.with(e), now)
	}
	a = a.with(e)
	a.Owner, a.OwnerName = to, r.name(to)
	return a, nil
}

// notCalled starts the ladder again at the deputy: it was taken, and no
// clinician has reached the family.
func (r Rules) notCalled(a Alert, now time.Time) (Alert, []Effect) {
	a = a.with(Event{Kind: NotCalled, At: now, Text: "taken by " + a.AckName + ", and the family was not reached in 30 minutes"})
	a.State, a.Since, a.Rung, a.ShownAt, a.LapsedAt = Open, now, 1, time.Time{}, time.Time{}
	a.AckBy, a.AckName, a.AckAt = "", "", time.Time{}
	a.Raised++
	return r.climb(a, now)
}

// gone takes an alert from a person who has left, so that nobody who is gone owns
// one that is open.
func (r Rules) gone(a Alert, e Event, now time.Time) (Alert, []Effect) {
	if !a.Live() || a.Owner != e.By && a.AckBy != e.By {
		return a, nil
	}
	a = a.with(e)
	a.Owner, a.OwnerName = "", ""
	if a.State != Acknowledged {
		return a, nil
	}
	return r.reopen(a, now)
}

// name returns a person's name where the rules know it.
func (r Rules) name(p care.PersonID) string {
	if r.Names == nil {
		return ""
	}
	return r.Names(p)
}
