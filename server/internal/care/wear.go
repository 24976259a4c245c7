package care

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
)

// Mark is what one entry says of wearing a lens in one eye, and what all of them
// together come to. Marks are ordered: the greater is the more careful. The
// zero Mark is [NoMark]; it says nothing, and no mark says that an eye is fine.
type Mark int8

// The marks.
const (
	NoMark Mark = iota // nothing was said; the least
	Clear              // of a report: every question of the eye answered harmless
	None               // no stop: the plan and the pauses still decide what is offered
	Rest               // no lens tonight; a later complete and harmless check ends it, or the practice
	Stop               // no lens until a clinician says so
)

var markNames = [...]string{"", "clear", "none", "rest", "stop"}

// String returns the word of the mark, empty for [NoMark].
func (m Mark) String() string { return markNames[m] }

// MarshalText writes the word of the mark.
func (m Mark) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads a word; one that is not known here says nothing.
func (m *Mark) UnmarshalText(b []byte) error {
	*m = Mark(max(0, slices.Index(markNames[:], string(b))))
	return nil
}

// Marks are the marks of both eyes. The zero value is no judgement at all.
type Marks struct {
	Right Mark
	Left  Mark
	Given bool // somebody judged; an eye without a mark then has none
	Table int  // version of the rule table that judged; 0 when not said
}

// Eye returns the mark of "right" or "left".
func (m Marks) Eye(eye string) Mark {
	if eye == "right" {
		return m.Right
	}
	return m.Left
}

// Worst returns the more careful of the marks of both eyes.
func (m Marks) Worst() Mark { return max(m.Right, m.Left) }

// With returns the marks with an eye, or "both", at least as careful as a mark.
func (m Marks) With(eye string, mark Mark) Marks {
	if eye != "left" {
		m.Right = max(m.Right, mark)
	}
	if eye != "right" {
		m.Left = max(m.Left, mark)
	}
	m.Given = true
	return m
}

// Worse joins two judgements: of each eye the more careful mark counts.
func (m Marks) Worse(o Marks) Marks {
	m.settle()
	o.settle()
	return Marks{max(m.Right, o.Right), max(m.Left, o.Left), m.Given || o.Given, max(m.Table, o.Table)}
}

// settle makes an eye that a judgement does not name one with no stop.
func (m *Marks) settle() {
	if m.Given {
		m.Right, m.Left = m.Right.or(None), m.Left.or(None)
	}
}

func (m Mark) or(other Mark) Mark {
	if m == NoMark {
		return other
	}
	return m
}

// MarshalJSON writes {"table": n, "right": word, "left": word}; an eye with no
// stop is left out.
func (m Marks) MarshalJSON() ([]byte, error) { return m.appendJSON(nil), nil }

func (m Marks) appendJSON(out []byte) []byte {
	out = append(out, '{')
	if m.Table > 0 {
		out = fmt.Appendf(out, `"table":%d`, m.Table)
	}
	for _, eye := range []string{"right", "left"} {
		if mark := m.Eye(eye); mark != NoMark && mark != None {
			if len(out) > 1 && out[len(out)-1] != '{' {
				out = append(out, ',')
			}
			out = fmt.Appendf(out, `"%s":"%s"`, eye, mark)
		}
	}
	return append(out, '}')
}

// UnmarshalJSON reads what MarshalJSON writes. What is no object, or has a word
// that is not known here, says nothing: it is never an error.
func (m *Marks) UnmarshalJSON(raw []byte) error {
	*m = readMarks(raw)
	return nil
}

func readMarks(raw []byte) (m Marks) {
	var parts map[string]json.RawMessage
	if json.Unmarshal(raw, &parts) != nil || parts == nil {
		return m
	}
	var unread bool
	read := func(name string) (mark Mark) {
		if said, ok := word(string(bytes.TrimSpace(parts[name]))); ok {
			mark = Mark(max(0, slices.Index(markNames[:], said)))
		}
		unread = unread || parts[name] != nil && mark == NoMark
		return mark
	}
	m.Right, m.Left = read("right"), read("left")
	_ = json.Unmarshal(parts["table"], &m.Table)
	m.Given = m.Right != NoMark || m.Left != NoMark || m.Table > 0 && !unread
	m.settle()
	return m
}

// WearFact is what the wear state reads of one entry, see [Entry.WearFact].
type WearFact struct {
	ID     EntryID
	Kind   EntryKind
	Night  civil.Date
	State  string // of the record on the phone: stored, sent, unsent, missing, held, refused or discarded
	Told   Marks  // judged where it was written
	Judged Marks  // judged on receipt
	About  string // of a report: which eyes it is about: right, left, both, or empty
	Usual  string // of a report: the eye that it is not about and says is as usual; empty for none
	Sore   bool   // of not-worn: because of a sore eye
	Ends   []EntryID
	Takes  []EntryID  // the entries that it retracts or corrects: what a report of them ended or proved no longer counts
	Made   civil.Date // of a report: the night it was written in by the server's clock; zero unless that is earlier

	Eyes    []string   // of a cease or a resume
	Over    bool       // of a cease: the treatment has ended
	Begins  civil.Date // of a cease: the first night it holds for; zero: at once
	Answers []EntryID
	From    civil.Date
	Check   bool

	Opens map[EntryID]Marks // of wear-start
}

// stateRank orders what a phone knows of an entry, so that copies join whatever
// their order.
var stateRank = []string{"discarded", "refused", "held", "missing", "unsent", "sent", "stored"}

// join returns one fact for two copies of an entry.
func (f WearFact) join(o WearFact) WearFact {
	f.Told, f.Judged = f.Told.Worse(o.Told), f.Judged.Worse(o.Judged)
	if slices.Index(stateRank, o.State) > slices.Index(stateRank, f.State) {
		f.State = o.State
	}
	f.Takes = append(slices.Clone(f.Takes), o.Takes...)
	f.Ends = slices.DeleteFunc(slices.Clone(f.Ends), func(id EntryID) bool { return !slices.Contains(o.Ends, id) })
	if o.Begins.Before(f.Begins) {
		f.Begins = o.Begins
	}
	if f.Made.IsZero() || !o.Made.IsZero() && o.Made.Before(f.Made) {
		f.Made = o.Made
	}
	return f
}

// made is the night that a report may prove something of, and from which it holds.
func (f *WearFact) made() civil.Date {
	if f.Made.IsZero() || f.Made.After(f.Night) {
		return f.Night
	}
	return f.Made
}

// Cause is one entry that holds a lens back in one eye.
type Cause struct {
	ID    EntryID    `json:"id"`
	Kind  EntryKind  `json:"kind"`
	Night civil.Date `json:"night"`
	Mark  Mark       `json:"mark"`           // what it asked for
	Left  Mark       `json:"left"`           // what is left of it: rest or stop
	From  civil.Date `json:"from,omitzero"`  // the first night from which a resume lifts it; zero when none does
	Check EntryID    `json:"check,omitzero"` // the resume that waits for a check of this eye
	asks  bool       // the resume that lifts it from then on asks for a check
}

// EyeWear is where one eye stands.
type EyeWear struct {
	State  Mark       `json:"state"`          // none, rest or stop
	Until  civil.Date `json:"until,omitzero"` // the first night without a cause, by the resumes known; zero when none is
	Causes []Cause    `json:"causes"`         // what holds, the most careful first, then the newest
}

// AfterCheck reports whether a check at home comes before the lens, now or from the night
// on from which a resume lifts what holds it back.
func (e *EyeWear) AfterCheck() bool {
	return slices.ContainsFunc(e.Causes, func(c Cause) bool { return c.Check != "" || c.asks && !e.Until.IsZero() })
}

// Wear is where both eyes stand on a night.
type Wear struct {
	Right EyeWear `json:"right"`
	Left  EyeWear `json:"left"`
}

// Eye returns where "right" or "left" stands.
func (w *Wear) Eye(eye string) *EyeWear {
	if eye == "right" {
		return &w.Right
	}
	return &w.Left
}

// Worst returns the more careful state of both eyes.
func (w *Wear) Worst() Mark { return max(w.Right.State, w.Left.State) }

// WearOf works out whether each eye may be offered a lens on a night, from the
// entries of one wearer. It is a function of the set: order and repetition do
// not matter, and no clock and no sequence number takes part. As history it
// looks only at causes of nights up to that one, of a clock that was ahead the night by
// the server's; asked for now, at all.
// byTable judges a fact that nobody judged; nil judges none.
func WearOf(facts []WearFact, night civil.Date, history bool, byTable func(WearFact) Marks) Wear {
	s := newWearing(facts, night, history, byTable)
	return Wear{Right: s.eye("right"), Left: s.eye("left")}
}

// wearing is the set of facts, sorted into what the state asks of it.
type wearing struct {
	night   civil.Date
	taken   map[EntryID]bool // taken back or corrected
	causes  []wearCause
	resumes []WearFact
	reports []wearCause
}

type wearCause struct {
	WearFact
	mark Marks
}

func newWearing(facts []WearFact, night civil.Date, history bool, byTable func(WearFact) Marks) *wearing {
	byID := map[EntryID]WearFact{}
	for _, f := range facts {
		if have, twice := byID[f.ID]; twice {
			f = have.join(f)
		}
		byID[f.ID] = f
	}
	opened := map[EntryID]wearCause{}
	started := false
	for _, f := range byID {
		if f.Kind != WearStart || f.State != "stored" {
			continue
		}
		started = true
		for id, m := range f.Opens {
			c := opened[id]
			if c.Night.IsZero() || f.Night.Before(c.Night) {
				c.WearFact = WearFact{ID: id, Kind: WearStart, Night: f.Night}
			}
			c.mark = c.mark.Worse(m)
			opened[id] = c
		}
	}
	s := &wearing{night: night, taken: takenBack(byID)}
	for _, f := range byID {
		s.sort(f, opened, started, byTable)
	}
	for _, c := range opened {
		s.causes = append(s.causes, c)
	}
	s.causes = slices.DeleteFunc(s.causes, func(c wearCause) bool {
		return c.mark.Worst() < Rest || history && c.made().After(night)
	})
	return s
}

// sort puts a fact where it belongs. What wear-start opens joins the entry
// itself when that is here.
func (s *wearing) sort(f WearFact, opened map[EntryID]wearCause, started bool, byTable func(WearFact) Marks) {
	c := wearCause{WearFact: f}
	switch f.Kind {
	case Resume:
		if f.State == "stored" {
			s.resumes = append(s.resumes, f)
		}
		return
	case WearStart, Word, Visit, Taught:
		return
	case Cease:
		if f.Begins.After(s.night) {
			return // a stop that is still to come
		}
		c.Night = later(c.Night, f.Begins)
		for _, eye := range f.Eyes {
			c.mark = c.mark.With(eye, Stop)
		}
	default:
		c.mark = f.Told.Worse(f.Judged)
		if !c.mark.Given && byTable != nil && (f.State != "stored" || !started) {
			c.mark = byTable(f)
		}
	}
	if o, ok := opened[f.ID]; ok {
		c.mark = c.mark.Worse(o.mark)
		delete(opened, f.ID)
	}
	s.causes = append(s.causes, c)
	if f.Kind == Symptoms && slices.Contains(standing, f.State) && !s.taken[f.ID] {
		s.reports = append(s.reports, c)
	}
}

// takenBack are the entries that another takes back or corrects. As causes they count
// on: what was reported was reported. A check that ended a rest, or that a release
// asked for, proves nothing once it is taken back: it may have been of another child.
func takenBack(byID map[EntryID]WearFact) map[EntryID]bool {
	out := map[EntryID]bool{}
	for _, f := range byID {
		if slices.Contains(standing, f.State) {
			for _, id := range f.Takes {
				out[id] = true
			}
		}
	}
	return out
}

// standing are the states of a report that may end a rest. One that the server
// refused or could not read ends nothing: the practice never had it, and the
// phone would then offer a lens which the practice's screens hold back.
var standing = []string{"stored", "sent", "unsent", "missing"}

func (s *wearing) eye(eye string) EyeWear {
	out := EyeWear{State: None, Causes: []Cause{}}
	ends := true
	for i := range s.causes {
		k := &s.causes[i]
		left := s.residual(k, eye)
		if left.Left < Rest {
			continue
		}
		out.Causes = append(out.Causes, left)
		out.State = max(out.State, left.Left)
		ends = ends && !left.From.IsZero()
		out.Until = later(out.Until, left.From)
	}
	if !ends {
		out.Until = civil.Date{}
	}
	slices.SortFunc(out.Causes, func(a, b Cause) int {
		switch {
		case a.Left != b.Left:
			return int(b.Left) - int(a.Left)
		case a.Night != b.Night:
			return b.Night.Compare(a.Night)
		case a.ID < b.ID:
			return 1
		}
		return -1
	})
	return out
}

func later(a, b civil.Date) civil.Date {
	if b.After(a) {
		return b
	}
	return a
}

// residual returns what is left of a cause for one eye: the least of its mark,
// of none when a report ended it, and of what each resume that lists it leaves.
func (s *wearing) residual(k *wearCause, eye string) Cause {
	c := Cause{ID: k.ID, Kind: k.Kind, Night: k.made(), Mark: k.mark.Eye(eye), Left: k.mark.Eye(eye)}
	if c.Mark == Rest && s.ended(k, eye) {
		c.Left = None
	}
	for i := range s.resumes {
		r := &s.resumes[i]
		if !slices.Contains(r.Eyes, eye) || !slices.Contains(r.Answers, k.ID) {
			continue
		}
		switch {
		case r.From.After(s.night):
			if c.From.IsZero() || r.From.Before(c.From) {
				c.From, c.asks = r.From, r.Check
			}
			c.asks = c.asks && (r.From != c.From || r.Check)
		case r.Check && !s.checked(r, eye):
			c.Left = min(c.Left, Rest)
			if c.Check == "" || r.ID < c.Check {
				c.Check = r.ID
			}
		default:
			c.Left = None
		}
	}
	return c
}

// ended reports whether a family's report ended a rest. One about a sore eye, or
// of a check that was begun, is ended by any report about that eye from its own
// night on; any other by a harmless one of a later night. An eye that the report
// of the cause said is as usual rests for the other one, and as long. What a clock
// that was ahead dated too late is of the night it was made in.
func (s *wearing) ended(k *wearCause, eye string) bool {
	if k.Kind == Symptoms && k.Usual == eye {
		eye = k.About
	}
	asked := k.Kind == CheckOpen || k.Kind == NotWorn && k.Sore
	return slices.ContainsFunc(s.reports, func(q wearCause) bool {
		if q.Night.After(s.night) || !slices.Contains(q.Ends, k.ID) {
			return false
		}
		about := q.About == eye || q.About == "both"
		return asked && about && !q.Night.Before(k.Night) || about && q.mark.Eye(eye) == Clear && q.made().After(k.made())
	})
}

// checked reports whether the check that a resume asks for was done: a report,
// harmless for the eye, from the resume's first night to this one, that names
// the resume.
func (s *wearing) checked(r *WearFact, eye string) bool {
	return slices.ContainsFunc(s.reports, func(q wearCause) bool {
		return q.mark.Eye(eye) == Clear && !q.made().Before(r.From) && !q.Night.After(s.night) && slices.Contains(q.Ends, r.ID)
	})
}
