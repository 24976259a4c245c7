package review

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/vision"
)

// Outlook is what the effect model expects of a wearer's days, told to the
// family. The poorer eye and the poorer end of each range speak, so that it
// never promises more than the log bears out. It is a model of the nights
// logged, not a measurement of an eye.
type Outlook struct {
	// Status is on-course, behind (a reason to tell the practitioner) or
	// not-enough, and then the rest is zero.
	Status string     `json:"status"`
	Night  civil.Date `json:"night"` // the last night looked at
	// ClearLow and ClearHigh are the hours of clear sight after the lenses come
	// out, 0 to 24, within which 90 % of the model's courses lie.
	ClearLow  float64 `json:"clear_low"`
	ClearHigh float64 `json:"clear_high"`
	// AfterOne and AfterTwo are the short-sightedness to be ready for on the
	// evening after one and two missed nights: dioptres, 0 or negative, exceeded
	// by one course in twenty.
	AfterOne float64 `json:"after_one"`
	AfterTwo float64 `json:"after_two"`
}

// statusWord returns the model's answer in a word of the wire.
func statusWord(s vision.Status) string {
	switch s {
	case vision.OnCourse:
		return "on-course"
	case vision.Behind:
		return "behind"
	}
	return "not-enough"
}

// OutlookOf fits the model to each eye whose refraction before treatment is
// known; nil when that is none, or wear has not begun.
func OutlookOf(in Input) *Outlook { return newState(in).outlook() }

func (s *state) outlook() *Outlook {
	nights := s.effectNights()
	var out *Outlook
	for eye, baseline := range s.baselines() {
		one := Outlook{Status: "not-enough", Night: s.to}
		if fit, _, _ := s.fit(eye, baseline, nights); fit != nil {
			one = outlook(fit, s.to)
		}
		if out == nil {
			out = &one
			continue
		}
		merged := out.poorer(one)
		out = &merged
	}
	return out
}

func outlook(fit *vision.EffectFit, night civil.Date) Outlook {
	status, _ := fit.Status()
	o := Outlook{Status: statusWord(status), Night: night}
	if o.Status == "not-enough" {
		return o
	}
	clear := fit.ClearHours()
	o.ClearLow, o.ClearHigh = clear.Low, clear.High
	o.AfterOne, o.AfterTwo = fit.Missing(1, eveningHours).Low, fit.Missing(2, eveningHours).Low
	return o
}

// poorer joins two eyes: one behind is behind, and one of which too little is
// known leaves both open.
func (o Outlook) poorer(p Outlook) Outlook {
	if o.Status == "not-enough" || p.Status == "not-enough" {
		switch {
		case o.Status == "behind":
			return o
		case p.Status == "behind":
			return p
		}
		return Outlook{Status: "not-enough", Night: o.Night}
	}
	if p.Status == "behind" {
		o.Status = "behind"
	}
	o.ClearLow, o.ClearHigh = min(o.ClearLow, p.ClearLow), min(o.ClearHigh, p.ClearHigh)
	o.AfterOne, o.AfterTwo = min(o.AfterOne, p.AfterOne), min(o.AfterTwo, p.AfterTwo)
	return o
}
