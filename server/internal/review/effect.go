package review

import (
	"fmt"
	"iter"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/vision"
)

// How the effect model is fed.
const (
	// effectNights is how far back the model starts when wear began earlier:
	// the full effect is reached within 1 to 2 weeks of it (Soni 2003;
	// Sánchez-García 2024), so what lies before no longer matters.
	effectNights = 90
	// effectUnknown is the share of nights not logged above which the model is
	// not asked (common practice).
	effectUnknown = 0.2
	// usualHours stands for the hours of a night worn whose clocks are not
	// known and of a wearer without any known night (common practice).
	usualHours = 8
	// eveningHours stands for hours since removal when a report does not say
	// (common practice: removal at 7, report at 19).
	eveningHours = 12
	// visitSD is the spread of a refraction over the treated eye, dioptres
	// (common practice), and visitHours the time of day at which visits fall.
	visitSD, visitHours = 0.35, 6
)

// effect fits the model to each eye with a baseline, from the nights worn and
// the evening reports. It reads the nights up to the end of the range.
func (s *state) effect() []EffectRow {
	out := []EffectRow{}
	nights := s.effectNights()
	for eye, baseline := range s.baselines() {
		out = append(out, s.effectOf(eye, baseline, nights))
	}
	return out
}

// effectNights returns the nights the model starts from; none before wear.
func (s *state) effectNights() []night {
	first := s.plan.FirstNight
	if first.IsZero() || first.After(s.to) {
		return nil
	}
	if start := s.to.AddDays(1 - effectNights); first.Before(start) {
		first = start
	}
	return s.between(first, s.to)
}

// baselines yields the eyes whose refraction before treatment is known, once
// wear has begun.
func (s *state) baselines() iter.Seq2[string, float64] {
	return func(yield func(string, float64) bool) {
		if s.plan.FirstNight.IsZero() || s.plan.FirstNight.After(s.to) {
			return
		}
		for _, eye := range s.plan.eyes() {
			baseline := s.plan.BaselineRight
			if eye == "left" {
				baseline = s.plan.BaselineLeft
			}
			if baseline < 0 && !yield(eye, baseline) {
				return
			}
		}
	}
}

// fit fits the model to one eye; without a fit it says why.
func (s *state) fit(eye string, baseline float64, nights []night) (fit *vision.EffectFit, unknown int, why string) {
	for _, n := range nights {
		if n.row.Counted == NotLogged && !s.left(eye, n.row.Night) {
			unknown++
		}
	}
	if len(nights) == 0 || float64(unknown) > effectUnknown*float64(len(nights)) {
		return nil, unknown, fmt.Sprintf("%d of %d nights are not logged, too many to follow the course", unknown, len(nights))
	}
	fit, err := vision.FitEffect(baseline, s.wornNights(eye, nights), s.readings(eye, nights))
	if err != nil {
		return nil, unknown, err.Error()
	}
	return fit, unknown, ""
}

func (s *state) effectOf(eye string, baseline float64, nights []night) EffectRow {
	row := EffectRow{Eye: eye, BaselineD: baseline, Status: string(vision.NotEnough), Residual: []EffectDay{}}
	fit, unknown, none := s.fit(eye, baseline, nights)
	if fit == nil {
		row.Why = none
		return row
	}
	status, why := fit.Status()
	row.Status, row.Why = string(status), why
	if unknown > 0 {
		row.Why += fmt.Sprintf("; %s taken as worn for the usual hours", plural(unknown, "night not logged", "nights not logged"))
	}
	clear := fit.ClearHours()
	row.ClearHours, row.ClearLow, row.ClearHigh = &clear.Value, &clear.Low, &clear.High
	for i, n := range nights {
		r := fit.Residual(i, eveningHours)
		row.Residual = append(row.Residual, EffectDay{n.row.Night.AddDays(1), r.Value, r.Low, r.High})
	}
	return row
}

// left reports whether an eye was left without a lens because it was held back:
// the wear state asked for that, and nobody says that a lens went in all the same.
func (s *state) left(eye string, d civil.Date) bool {
	if s.wear == nil {
		return false
	}
	n := s.all[d]
	if n != nil && (n.Item("insertion/"+eye) != nil || n.Item("removal/"+eye) != nil) {
		return false
	}
	wear := care.WearOf(s.wear, d, true, nil)
	return wear.Eye(eye).State >= care.Rest
}

// wornNights gives the model one eye's hours in and out of lenses. A night not
// logged is taken as worn, so an eye that lags is not excused by a gap in the log;
// but not one on which the eye was held back.
func (s *state) wornNights(eye string, nights []night) []vision.WornNight {
	usual := hoursSpread(rowsOf(nights)).Median
	if usual == 0 {
		usual = usualHours
	}
	out := make([]vision.WornNight, len(nights))
	for i, n := range nights {
		worn := usual
		switch {
		case n.row.Counted == Missed || s.left(eye, n.row.Night):
			worn = 0
		case n.row.Hours != nil:
			worn = min(*n.row.Hours, 24) // the model's day; lenses may have stayed in past it
		}
		out[i] = vision.WornNight{Worn: worn, Awake: 24 - worn}
	}
	return out
}

// readings are the evenings and the refractions over the treated eye, each
// tied to the night before it. An evening report belongs, by its date, to the
// night that is about to begin: it speaks of the night before that one.
func (s *state) readings(eye string, nights []night) []vision.Reading {
	var out []vision.Reading
	at := map[civil.Date]int{}
	for i, n := range nights {
		at[n.row.Night.AddDays(1)] = i
	}
	for d, i := range at {
		if n := s.all[d]; n != nil {
			if r, ok := sightRow(n); ok {
				hours := float64(eveningHours)
				if r.Hours != nil {
					hours = *r.Hours
				}
				out = append(out, vision.Reading{Night: i, Hours: hours, Rating: r.Rating})
			}
		}
	}
	for _, v := range s.in.Visits {
		f := v.Right
		if eye == "left" {
			f = v.Left
		}
		if i, ok := at[v.Date]; ok && v.State == "kept" && f.Residual != nil {
			cylinder, _ := f.Residual.Astigmatism()
			out = append(out, vision.Reading{Night: i, Hours: visitHours, Residual: f.Residual.Sphere + cylinder/2, SD: visitSD})
		}
	}
	sortReadings(out)
	return out
}
