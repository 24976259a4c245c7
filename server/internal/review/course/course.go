// Package course describes a course of wear as the practice wrote it down: visits
// and what was found at them, lenses as things, why wear ended and what followed,
// adverse events. It holds the closed lists of words for each, and refuses to
// judge an eye: it says what was measured, when, and what the calendar allows.
package course

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// Course is one stretch of wear: from a first night to the first night without
// lenses by agreement. A wearer who stopped and starts over has several, and what
// was measured in one is never counted in another.
type Course struct {
	First         civil.Date `json:"first"`
	Stopped       civil.Date `json:"stopped"`        // zero while wear goes on
	BaselineRight float64    `json:"baseline_right"` // spherical equivalent before it, dioptres; 0 when not set
	BaselineLeft  float64    `json:"baseline_left"`
}

// Ending says why wear was ended, and what followed.
type Ending struct {
	ID      string     `json:"id"`
	Stopped civil.Date `json:"stopped"` // first night without lenses
	Reason  string     `json:"reason"`  // a word of [EndingReasons]
	Note    string     `json:"note,omitempty"`
	By      string     `json:"by"`
	On      civil.Date `json:"on"` // written
	// Spectacles is when spectacles, or other correction for the day, were given out;
	// zero when nobody said so.
	Spectacles     civil.Date `json:"spectacles"`
	SpectaclesNote string     `json:"spectacles_note,omitempty"`
	// TakenBack is when it was found to have been written by mistake; zero: it holds.
	TakenBack civil.Date `json:"taken_back"`
}

// EndOfWear is the end that holds or lies ahead, in words for whoever opens a record.
type EndOfWear struct {
	Night civil.Date `json:"night"` // first one without lenses
	Over  bool       `json:"over"`  // it has come
	Why   string     `json:"why"`   // title of one of [EndingReasons]; empty: no reason was written down
	By    string     `json:"by"`    // who wrote it; empty: not known
}

// EndOf returns the end of the newest course, nil while wear goes on. Courses are in
// order of time, as package review returns them.
func EndOf(courses []Course, endings []Ending, today civil.Date) *EndOfWear {
	if len(courses) == 0 || courses[len(courses)-1].Stopped.IsZero() {
		return nil
	}
	e := EndOfWear{Night: courses[len(courses)-1].Stopped}
	e.Over = !e.Night.After(today)
	for _, x := range endings {
		if x.Stopped != e.Night || !x.TakenBack.IsZero() {
			continue
		}
		e.By = x.By
		for _, r := range EndingReasons() {
			if r.Key == x.Reason {
				e.Why = r.Title
			}
		}
	}
	return &e
}

// EndingReason is a reason for which wear is ended.
type EndingReason struct {
	Key   string `json:"key"`
	Title string `json:"title"`
}

// EndingReasons are why wear is ended (common practice).
func EndingReasons() []EndingReason {
	return []EndingReason{
		{"finished", "Finished as planned"},
		{"adverse-event", "An adverse event"},
		{"sight", "Sight was not good enough"},
		{"growth", "The eye grew all the same"},
		{"comfort", "Discomfort"},
		{"handling", "Handling or care did not succeed"},
		{"child", "The child does not want to"},
		{"family", "The family decided"},
		{"cost", "Cost"},
		{"other-treatment", "Another treatment instead"},
		{"moved", "Moved away, or changed practice"},
		{"health", "Health, or another treatment forbids lenses"},
		{"other", "Another reason, see note"},
	}
}

// How a wash-out is judged. Published times to a stable refraction differ from one
// week (Hiraoka 2009, adults after a year) over 2.8 ± 0.4 weeks (Lau 2019, 28
// children) to eight weeks (Kobayashi 2008), so no date alone says that an eye is
// back: two readings do that agree.
const (
	washOutDays  = 14   // before it a reading settles nothing (Swarbrick 2015 waited two weeks)
	washOutApart = 7    // days between the two readings (trial NCT05438615)
	washOutAgree = 0.50 // dioptres that they may differ by (the same trial, of keratometry)
)

// checkDays are when a refraction is usually looked at after the end: one, two and
// four weeks (common practice, after the published times above).
func checkDays() []int { return []int{7, 14, 28} }

// WashOut follows the refraction after the end of wear.
type WashOut struct {
	Days int          `json:"days"` // without lenses, up to today or the next first night
	Eyes []WashOutEye `json:"eyes"`
	Due  []civil.Date `json:"due"` // checks usually made that no visit has taken yet
	Word string       `json:"word"`
	Done bool         `json:"done"` // both eyes are steady
}

// WashOutEye is one eye after the end of wear.
type WashOutEye struct {
	Eye       string         `json:"eye"`
	BaselineD float64        `json:"baseline_d"` // spherical equivalent before this course; 0 when not set
	Checks    []WashOutCheck `json:"checks"`     // in order of date
	Steady    bool           `json:"steady"`
	Word      string         `json:"word"`
}

// WashOutCheck is one refraction after the end of wear.
type WashOutCheck struct {
	Date civil.Date `json:"date"`
	Days int        `json:"days"`
	D    float64    `json:"d"` // spherical equivalent, dioptres
	// FromBaseline is D less the baseline: above 0, the effect is not gone; below 0,
	// the eye is more short-sighted than before, as one that has grown is.
	FromBaseline *float64 `json:"from_baseline"`
}

// WashOutOf follows the eyes of a course that was stopped, by the refractions of
// visits kept from then on, up to the next first night (zero: none) or today.
func WashOutOf(c Course, next civil.Date, eyes []string, visits []Visit, today civil.Date) WashOut {
	end := today
	if !next.IsZero() && next.Before(end) {
		end = next
	}
	w := WashOut{Days: max(0, end.DaysSince(c.Stopped)), Eyes: []WashOutEye{}, Due: []civil.Date{}, Done: true}
	var seen []civil.Date
	for _, eye := range eyes {
		e := washOutEye(c, end, eye, visits)
		for _, k := range e.Checks {
			seen = append(seen, k.Date)
		}
		w.Eyes, w.Done = append(w.Eyes, e), w.Done && e.Steady
	}
	if !w.Done && next.IsZero() {
		w.Due = checksDue(c.Stopped, seen)
	}
	w.Word = washOutWord(w.Days)
	return w
}

// checksDue leaves of the usual checks those after which no refraction was taken.
func checksDue(stopped civil.Date, seen []civil.Date) []civil.Date {
	out := []civil.Date{}
	for _, n := range checkDays() {
		on := stopped.AddDays(n)
		if !slices.ContainsFunc(seen, func(d civil.Date) bool { return !d.Before(on) }) {
			out = append(out, on)
		}
	}
	return out
}

// washOutWord is what the calendar alone allows to say; never that an eye is back.
func washOutWord(days int) string {
	switch {
	case days < 7:
		return "The refraction may not be back yet."
	case days < washOutDays:
		return "The refraction is probably partly or fully back; a reading now settles nothing yet."
	case days < 28:
		return "The refraction can be measured again; a second reading a week apart confirms it."
	}
	return "The refraction is expected to be back; two readings a week apart confirm it."
}

func washOutEye(c Course, end civil.Date, eye string, visits []Visit) WashOutEye {
	out := WashOutEye{Eye: eye, BaselineD: c.BaselineRight, Checks: []WashOutCheck{}}
	if eye == "left" {
		out.BaselineD = c.BaselineLeft
	}
	for _, v := range visits {
		r := v.Right.Refraction
		if eye == "left" {
			r = v.Left.Refraction
		}
		if v.State != "kept" || r == nil || v.Date.Before(c.Stopped) || v.Date.After(end) {
			continue
		}
		cylinder, _ := r.Astigmatism()
		k := WashOutCheck{Date: v.Date, Days: v.Date.DaysSince(c.Stopped), D: r.Sphere + cylinder/2}
		if out.BaselineD != 0 {
			less := k.D - out.BaselineD
			k.FromBaseline = &less
		}
		out.Checks = append(out.Checks, k)
	}
	slices.SortStableFunc(out.Checks, func(a, b WashOutCheck) int { return a.Date.Compare(b.Date) })
	out.Steady, out.Word = steady(out.Checks)
	return out
}

// steady reports whether the newest reading agrees with one at least a week before
// it that was not taken too early.
func steady(checks []WashOutCheck) (bool, string) {
	if len(checks) == 0 {
		return false, "not measured since the end"
	}
	last := checks[len(checks)-1]
	for _, k := range slices.Backward(checks[:len(checks)-1]) {
		if k.Days < washOutDays || last.Days-k.Days < washOutApart {
			continue
		}
		if math.Abs(last.D-k.D) > washOutAgree+1e-9 {
			return false, fmt.Sprintf("still changing: %s D on %s, %s D on %s", signed(k.D), k.Date, signed(last.D), last.Date)
		}
		return true, fmt.Sprintf("steady: %s D on %s, %s D on %s", signed(k.D), k.Date, signed(last.D), last.Date)
	}
	return false, fmt.Sprintf("one more reading is needed, at least %d days after one that is %d days or more after the end", washOutApart, washOutDays)
}

func signed(d float64) string { return Minus(fmt.Sprintf("%+.2f", d)) }

// Candidate is what was answered before fitting: the questions that speak against
// lenses and those about being ready, in words, each with its answer.
type Candidate struct {
	ID      string            `json:"id"`
	At      time.Time         `json:"at"`
	By      string            `json:"by"`
	Right   Refraction        `json:"right"`
	Left    Refraction        `json:"left"`
	Age     float64           `json:"age_years"`
	Answers map[string]string `json:"answers"` // question to yes or no; one left open is not there
	Asked   int               `json:"asked"`   // how many questions there were
	Note    string            `json:"note,omitempty"`
}

// Attachment is a picture or document of a visit, without its bytes.
type Attachment struct {
	ID    string    `json:"id"`
	Visit string    `json:"visit"`
	Eye   string    `json:"eye,omitempty"` // right, left, or empty for both or neither
	What  string    `json:"what"`          // in the practice's words
	Type  string    `json:"type" enum:"image/jpeg,image/png,application/pdf"`
	Size  int       `json:"size"` // bytes as stored
	At    time.Time `json:"at"`
	By    string    `json:"by"`
}

// NewestFirst orders attachments.
func NewestFirst(list []Attachment) {
	slices.SortStableFunc(list, func(a, b Attachment) int { return cmp.Or(b.At.Compare(a.At), strings.Compare(a.ID, b.ID)) })
}
