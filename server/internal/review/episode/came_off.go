package episode

import (
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
)

var eyeNames = []string{"right", "left"}

// asOfThen is what reports came to at an instant, with what had been said by then of a
// lens that an earlier one calls stuck, or not found: a removal, or a later report. The
// phone does the same (asOfNow in pwa/app/model/report.js).
func asOfThen(reports []*care.Entry, entries []care.Entry, then time.Time) []alerts.Outcome {
	all := make([]alerts.Outcome, len(reports))
	for i, e := range reports {
		var out []string
		for _, eye := range eyeNames {
			if slices.ContainsFunc(entries, func(x care.Entry) bool {
				return !WrittenAt(&x).After(then) && follows(&x, e) && saysOut(&x, eye)
			}) {
				out = append(out, eye)
			}
		}
		all[i] = alerts.Default().CameOff(alerts.Default().Triage(e.Report()), out...)
	}
	return all
}

// follows reports whether something was written after another; within a second by the
// order on the device.
func follows(x, e *care.Entry) bool {
	at, before := WrittenAt(x), WrittenAt(e)
	return at.After(before) || at.Equal(before) && x.HLC > e.HLC
}

// saysOut reports whether an entry says that the lens of an eye is out.
func saysOut(x *care.Entry, eye string) bool {
	switch x.Kind {
	case care.Removal:
		eyes := strings.Trim(x.Answer("eyes"), `"`)
		return eyes == "both" || eyes == eye
	case care.Cease:
		eyes := strings.Trim(x.Answer("eyes"), `"`)
		return x.Answer("lens") == `"out"` && (eyes == "both" || eyes == eye)
	case care.Symptoms:
		r := x.Report()
		lens := map[string]map[string]string{"right": r.Right, "left": r.Left}[eye]["lens"]
		return lens == "out" || lens == "stuck-came-off"
	}
	return false
}

// OutSince reports whether each lens of the planned eyes (both where no plan names one) was
// said to be out by a removal or a report from an instant on, and logged as in by nothing
// written after that.
func OutSince(entries []care.Entry, planned string, since time.Time) bool {
	for _, eye := range eyeNames {
		if planned != "" && planned != "both" && planned != eye {
			continue
		}
		var last *care.Entry
		for i := range entries {
			e := &entries[i]
			eyes := strings.Trim(e.Answer("eyes"), `"`)
			into := e.Kind == care.Insertion && (eyes == "both" || eyes == eye)
			if (into || saysOut(e, eye)) && !WrittenAt(e).Before(since) && (last == nil || follows(e, last)) {
				last = e
			}
		}
		if last == nil || last.Kind == care.Insertion {
			return false
		}
	}
	return true
}

// LensOn returns the eyes in which a lens may still be that some reports call stuck, or
// not found, in order: those of which nothing written since says that it is out. A
// decision of the practice says so only where it names the lens (our rule: what was
// stuck stays an order until somebody has seen it out).
func LensOn(reports []*care.Entry, since []care.Entry) (eyes []string) {
	for _, eye := range eyeNames {
		if slices.ContainsFunc(reports, func(e *care.Entry) bool {
			lens := map[string]map[string]string{"right": e.Report().Right, "left": e.Report().Left}[eye]["lens"]
			return e.Kind == care.Symptoms && (lens == "stuck" || lens == "cannot-find") &&
				!slices.ContainsFunc(since, func(x care.Entry) bool { return follows(&x, e) && saysOut(&x, eye) })
		}) {
			eyes = append(eyes, eye)
		}
	}
	return eyes
}

// LensMissing reports whether some entry is a report of a lens that will not move or
// cannot be found: a removal after it is then part of the episode.
func LensMissing(entries []care.Entry) bool {
	return slices.ContainsFunc(entries, func(e care.Entry) bool {
		r := e.Report()
		return e.Kind == care.Symptoms && (onTheEye(r, "right") || onTheEye(r, "left") || r.Right["lens"] == "cannot-find" || r.Left["lens"] == "cannot-find")
	})
}

// onTheEye reports whether a report calls the lens of an eye, or of each of both, stuck.
func onTheEye(r alerts.Report, eye string) bool {
	if eye == "both" {
		return onTheEye(r, "right") && onTheEye(r, "left")
	}
	return map[string]map[string]string{"right": r.Right, "left": r.Left}[eye]["lens"] == "stuck"
}
