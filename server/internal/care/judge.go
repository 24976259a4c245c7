package care

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// JudgeNights is how many nights before an entry's own [Judging.Nights] reaches.
const JudgeNights = RecordNights

// Judging is what an entry is held against when it is judged. What is asked for
// seldom is a function.
type Judging struct {
	Plan     schedule.Plan
	Settings map[string]int
	Tonight  civil.Date // the night of writing, or of receipt

	// Nights of the wearer in order of date, from JudgeNights before the earlier
	// of the entry's night and Tonight on, with the entry in its night.
	Nights  func() []NightSigns
	Facts   func() []WearFact // what has a part in the wear state, without the entry
	Said    func() []*Entry   // the entries that Facts are of, taken back or not
	Entries func() []*Entry   // the entries that count of Nights, without the entry
}

// Judge returns what an entry of the family says of wearing. It never lowers
// what others say: it is one entry's own mark. An entry that cannot say anything
// of it gets no stop at once, without a look at j.
//
// Stop: an urgent or emergency finding, of the report or of the record, that
// says no lens; an answer that is missing and could be urgent while an emergency
// that nobody examined holds a lens back; an insertion, of tonight or last night,
// timed after a stop began. Rest: a less pressing finding that says no lens, a sore eye, a check
// that was begun, an answer that is missing and could be urgent. Clear: see
// [Clear], and no finding about the record stands.
func Judge(e *Entry, j *Judging) Marks {
	m := Marks{None, None, true, alerts.Default().Version}
	body := e.bodyParts()
	switch e.Kind {
	case Symptoms:
		m = j.emergency(e, reportMarks(e))
	case NotWorn:
		if reason, _ := word(body.get("reason")); reason != "sore-eye" {
			return m
		}
		return m.withEyes(body.eyes(), Rest)
	case CheckOpen:
		return m.withEyes(body.eyes(), Rest)
	case Insertion:
		return j.inserted(e, m)
	case Care, Morning, EveningSight:
	default:
		return m
	}
	return j.record(e, m)
}

// MayMark reports whether an entry may get more than no stop from [Judge], told
// at a glance; nearly none of a good night does.
func MayMark(e *Entry) bool {
	switch e.Kind {
	case Symptoms, CheckOpen, Insertion:
		return true
	case NotWorn:
		return e.Answer("reason") == `"sore-eye"`
	case Care, Morning, EveningSight:
		return !Harmless(e)
	}
	return false
}

// Harmless reports whether an entry gives the best answer to each question of a
// night that a rule which says "no lens" looks at, or none.
func Harmless(e *Entry) bool {
	for _, q := range harmless {
		if said := e.Answer(q.name); said != "" && !slices.Contains(q.answers, said) {
			return false
		}
	}
	return true
}

// harmless are answers as they are written.
var harmless = []struct {
	name    string
	answers []string
}{
	{"tap_water", []string{"false"}},
	{"water_contact", []string{"false"}},
	{"rinse", []string{`"solution"`, `"saline"`, `"none"`}},
	{"halos", []string{`"none"`}},
	{"redness", []string{"0"}},
	{"comfort", []string{"4"}},
	{"moved", []string{`"freely"`}},
	{"system", []string{`"multipurpose"`, `"other"`}},
}

func (m Marks) withEyes(eyes eyeSet, mark Mark) Marks {
	for i, eye := range eyeNames {
		if eyes&(1<<i) != 0 {
			m = m.With(eye, mark)
		}
	}
	return m
}

// reportMarks returns what a symptom report says by itself. An eye that it is
// not about has no mark but what keeps a lens out, which is of both.
func reportMarks(e *Entry) Marks {
	table := alerts.Default()
	said := table.ReportMarks(e.Report())
	m := Marks{ofRule(said.Right), ofRule(said.Left), true, table.Version}
	if e.about(e.bodyParts()) == "" {
		return m.With("both", Rest) // no eye can be read from it
	}
	return m
}

// emergency makes the rest of open answers a stop while an emergency that nobody
// examined holds a lens back: the family is told to phone now, and no check of a later
// night may end that without the practice. Source: ours, on the safe side.
func (j *Judging) emergency(e *Entry, m Marks) Marks {
	if m.Worst() != Rest || !alerts.Default().Triage(e.Report()).Unsure {
		return m
	}
	said := j.Said()
	wear := WearOf(j.Facts(), e.Night, false, nil)
	for _, x := range said {
		for _, eye := range eyeNames {
			holds := slices.ContainsFunc(wear.Eye(eye).Causes, func(c Cause) bool { return c.ID == x.ID })
			if x.ID != e.ID && holds && x.Unexamined(eye, said) {
				return m.With("both", Stop)
			}
		}
	}
	return m
}

// Unexamined reports whether an entry is a report of an emergency of an eye, or of none
// that it names, and nobody of the practice has said since that the eye was examined; the
// twin of the phone's of that name. said: what the practice said of the wearer, among others.
func (e *Entry) Unexamined(eye string, said []*Entry) bool {
	grave := e.Kind == Symptoms && slices.ContainsFunc(alerts.Default().Triage(e.Report()).Findings, func(f alerts.Finding) bool {
		return f.State == alerts.Fired && f.Level == alerts.Emergency && (f.Eye == "" || f.Eye == eye)
	})
	return grave && !slices.ContainsFunc(said, func(x *Entry) bool { return x.examines(eye) && x.heard().After(e.heard()) })
}

// examines reports whether by an entry of the practice an eye was examined.
func (e *Entry) examines(eye string) bool {
	seen := e.Kind == Resume && strings.HasPrefix(e.Answer("basis"), `"examined`) || e.Kind == Cease && e.Answer("reason") == `"examination"`
	return seen && (e.Answer("eyes") == `"both"` || e.Answer("eyes") == strconv.Quote(eye))
}

// heard is when the practice had an entry; of one that is not stored, when it was written.
func (e *Entry) heard() time.Time {
	if at := e.Received(); !at.IsZero() {
		return at
	}
	at, _ := e.Instant()
	return at
}

// ofRule is a mark of the rule table.
func ofRule(m alerts.Mark) Mark {
	switch m {
	case alerts.MarkClear:
		return Clear
	case alerts.MarkRest:
		return Rest
	case alerts.MarkStop:
		return Stop
	}
	return None
}

// least sets the mark of an eye.
func (m Marks) least(eye string, mark Mark) Marks {
	if eye == "right" {
		m.Right = mark
	} else {
		m.Left = mark
	}
	return m
}

// findingMark is what a finding says of wearing when it fires.
func findingMark(f alerts.Finding) Mark { return ofRule(alerts.Default().Rule(f.Rule).Mark) }

// record adds what the findings about the record say of the entry: those it
// takes part in mark it, in both eyes; any other that stands keeps it from being
// clear, leaving aside those of which a resume has answered every part.
func (j *Judging) record(e *Entry, m Marks) Marks {
	if m.Right == Stop && m.Left == Stop {
		return m // nothing is worse
	}
	for _, tonight := range []civil.Date{e.Night, j.Tonight} {
		for _, f := range j.findings(j.Nights(), tonight) {
			mark := findingMark(f)
			if mark < Rest {
				continue
			}
			if j.Part(e, f, tonight) || j.broughtBy(e, f, tonight) {
				m = m.With("both", mark)
				continue
			}
			for _, eye := range eyeNames {
				if m.Eye(eye) == Clear && !j.answeredAll(f, eye, tonight) {
					m = m.least(eye, None)
				}
			}
		}
		if e.Night == j.Tonight {
			break
		}
	}
	return m
}

// findings are the rules about the record that hold as of a night.
func (j *Judging) findings(nights []NightSigns, tonight civil.Date) []alerts.Finding {
	table := alerts.Default()
	seen := AlertNights(nights, j.Plan, tonight, table.LongestWindow())
	all := table.Evaluate(alerts.Input{Today: tonight, Back: seen, Facts: AlertFacts(nights, j.Plan, tonight), Settings: j.Settings})
	return slices.DeleteFunc(all, func(f alerts.Finding) bool { return f.State != alerts.Fired })
}

// broughtBy reports whether a report that says "water" makes a finding hold: without
// it, the finding does not.
func (j *Judging) broughtBy(e *Entry, f alerts.Finding, tonight civil.Date) bool {
	if e.Kind != Symptoms || e.Report().Water != "yes" {
		return false
	}
	var rest []*Entry
	for _, other := range j.Entries() {
		if other.Night == e.Night && other.ID != e.ID {
			rest = append(rest, other)
		}
	}
	nights := slices.Clone(j.Nights())
	for i := range nights {
		if nights[i].Date == e.Night {
			nights[i] = NightSignsOf(e.Night, rest)
		}
	}
	return !slices.ContainsFunc(j.findings(nights, tonight), func(o alerts.Finding) bool { return o.Rule == f.Rule })
}

// Part reports whether an entry by itself takes part in a finding that holds as
// of a night. It looks at the plan and the settings alone.
func (j *Judging) Part(e *Entry, f alerts.Finding, tonight civil.Date) bool {
	alone := []NightSigns{NightSignsOf(e.Night, []*Entry{e})}
	var night alerts.Night = alerts.Signs{}
	if seen := AlertNights(alone, j.Plan, e.Night, 1); seen[0] != nil {
		night = seen[0]
	}
	facts := AlertFacts(alone, schedule.Plan{}, tonight)
	if alone[0].ofWater(tonight) {
		facts["sign_after_water_days"] = alerts.Number(0) // a sign needs its water, and water its sign: each is a part
	}
	if alone[0].ofFlag(tonight) {
		facts["sore_after_flag_days"] = alerts.Number(0) // as the two above
	}
	return alerts.Default().Contributes(f.Rule, night, tonight.DaysSince(e.Night), facts, j.Settings)
}

// answeredAll reports whether a resume that holds answered, for the eye, every
// entry that takes part in a finding.
func (j *Judging) answeredAll(f alerts.Finding, eye string, tonight civil.Date) bool {
	facts := j.Facts()
	for _, e := range j.Entries() {
		if !j.Part(e, f, tonight) {
			continue
		}
		if !slices.ContainsFunc(facts, func(r WearFact) bool {
			return r.Kind == Resume && r.State == "stored" && !r.From.After(tonight) && slices.Contains(r.Eyes, eye) && slices.Contains(r.Answers, e.ID)
		}) {
			return false
		}
	}
	return true
}

// inserted is a stop for each eye that got a lens after a stop of it began. A clock that
// is off silences nothing: of what the phone says and what it says by the server's clock,
// the more careful counts.
func (j *Judging) inserted(e *Entry, m Marks) Marks {
	night := e.ServerNight()
	if later(e.Night, night).Before(j.Tonight.AddDays(-1)) {
		return m
	}
	if e.Night.Before(night) {
		night = e.Night
	}
	s := stayOf(e.bodyParts(), "at", e.Zone)
	at := s.insertion(e.Night)
	if e.SkewMS < 0 && !at.IsZero() {
		at = at.Add(-e.skew())
	}
	wear := WearOf(j.Facts(), night, false, nil)
	for i, eye := range eyeNames {
		if w := wear.Eye(eye); s.eyes&(1<<i) != 0 && w.State == Stop && j.after(at, w.Causes) {
			m = m.With(eye, Stop)
		}
	}
	return m
}

// after reports whether an instant comes after the first of the causes that stop
// was written. One of which that is not known counts as earlier, and so does one of a
// night that has not begun: a clock is wrong.
func (j *Judging) after(at time.Time, causes []Cause) bool {
	said := j.Said()
	return slices.ContainsFunc(causes, func(c Cause) bool {
		before := slices.ContainsFunc(said, func(e *Entry) bool {
			began, err := e.Instant()
			if then, _ := e.ServerTime(); then.Before(began) {
				began = then
			}
			return e.ID == c.ID && err == nil && at.Before(began.Truncate(time.Minute))
		})
		return c.Left == Stop && (at.IsZero() || !before || c.Night.After(j.Tonight))
	})
}
