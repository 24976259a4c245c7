package care

import (
	"slices"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// Holds returns which eyes the schedule must not ask a lens for, from what the
// wear state of a wearer comes to on a night, for that night and later ones.
func (w *Wear) Holds() []schedule.Hold {
	var out []schedule.Hold
	for _, eye := range eyeNames {
		e := w.Eye(eye)
		if e.State < Rest {
			continue
		}
		h := schedule.Hold{Eye: eye, Until: e.Until, Stop: e.State == Stop}
		for _, c := range e.Causes {
			if h.From.IsZero() || c.Night.Before(h.From) {
				h.From = c.Night
			}
		}
		out = append(out, h)
	}
	return out
}

// Kept returns the eyes that are free on a night while the other is stopped, and were
// stopped the night before: their lens of that night is kept for the practice too.
func (w *Wear) Kept(before *Wear, night civil.Date) []schedule.Hold {
	var out []schedule.Hold
	for _, h := range before.Holds() {
		if h.Stop && w.Eye(h.Eye).State < Rest && max(w.Right.State, w.Left.State) == Stop {
			h.Until = night
			out = append(out, h)
		}
	}
	return out
}

// OverSince returns the night on which the practice ended the treatment, if what
// it wrote then still holds; zero if it does not.
func OverSince(facts []WearFact, w *Wear) (since civil.Date) {
	for _, f := range facts {
		f.Night = later(f.Night, f.Begins)
		holds := func(c Cause) bool { return c.ID == f.ID }
		if f.Over && slices.ContainsFunc(slices.Concat(w.Right.Causes, w.Left.Causes), holds) && (since.IsZero() || f.Night.Before(since)) {
			since = f.Night
		}
	}
	return since
}

// Ahead returns the stops of the practice that begin only after a night, and that no
// resume lists.
func Ahead(facts []WearFact, night civil.Date) (out []EntryID) {
	for _, f := range facts {
		listed := func(r WearFact) bool { return r.Kind == Resume && slices.Contains(r.Answers, f.ID) }
		if f.Kind == Cease && f.Begins.After(night) && !slices.ContainsFunc(facts, listed) {
			out = append(out, f.ID)
		}
	}
	return out
}
