package schedule

import "nightkeep/schedule/civil"

// Hold keeps the lens of one eye out, whatever the plan asks for: the wear
// state, as far as reminders need it.
type Hold struct {
	Eye   string     `json:"eye"`   // right or left
	From  civil.Date `json:"from"`  // the first night it was known
	Until civil.Date `json:"until"` // the first night on which a lens may be asked for again; zero: none is known
	Stop  bool       `json:"stop"`  // only the practice ends it; lens, case and bottles are kept for it as they are
}

// holds reports whether the hold is in force on a night. From takes no part: a
// hold that is known by now holds for a night of before it was.
func (h Hold) holds(night civil.Date) bool { return h.Until.IsZero() || night.Before(h.Until) }

// planned reports whether the plan is about an eye.
func (p *Plan) planned(eye string) bool {
	return p.Eyes != "right" && p.Eyes != "left" || p.Eyes == eye
}

// free returns the planned eyes whose lens may be asked for on a night.
func (d day) free(night civil.Date) []string {
	var out []string
	for _, eye := range []string{"right", "left"} {
		held := false
		for _, h := range d.Log.Holds {
			held = held || h.Eye == eye && h.holds(night)
		}
		if !held && d.Plan.planned(eye) {
			out = append(out, eye)
		}
	}
	return out
}

// stopped reports whether a planned eye is stopped on a night. What touched its
// lens is then kept for the practice: nothing is cleaned out, emptied or thrown
// away.
func (d day) stopped(night civil.Date) bool {
	for _, h := range d.Log.Holds {
		if h.Stop && h.holds(night) && d.Plan.planned(h.Eye) {
			return true
		}
	}
	return false
}

// heldSince reports whether no planned eye may have a lens on a night, and each
// was held before it: nobody need ask whether one went in unlogged.
func (d day) heldSince(night civil.Date) bool {
	if len(d.free(night)) > 0 {
		return false
	}
	for _, h := range d.Log.Holds {
		if d.Plan.planned(h.Eye) && h.holds(night) && !h.From.Before(night) {
			return false
		}
	}
	return true
}

// allows reports whether what holds a lens back lets a nightly item be asked
// for: no lens is asked to go in, none that is kept for the practice is cleaned,
// and one that is in comes out at any time.
func (d day) allows(rule string, night civil.Date) bool {
	none := len(d.free(night)) == 0
	switch rule {
	case "insertion":
		return !none
	case "removal":
		return d.night(night).Inserted || !d.heldSince(night)
	case "care", "deposit-removal", "acuity":
		return !none || !d.stopped(night)
	case "evening-sight":
		before := night.AddDays(-1)
		return d.night(before).Inserted || len(d.free(before)) > 0
	}
	return true
}
