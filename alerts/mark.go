package alerts

import (
	"fmt"
	"slices"
)

// Mark is what a report or a finding means for wearing a lens in one eye. Marks
// are ordered: a larger one holds more firmly. The zero Mark is [MarkNone].
type Mark int8

// The marks. Clear is no permission: it only says that every question about the
// eye was answered harmless with the lens out.
const (
	MarkClear Mark = -1
	MarkNone  Mark = 0 // says nothing for or against
	MarkRest  Mark = 1 // no lens tonight
	MarkStop  Mark = 2 // no lens until the practice says so
)

var markNames = [...]string{"clear", "none", "rest", "stop"}

// String returns clear, none, rest or stop.
func (m Mark) String() string { return markNames[m+1] }

// MarshalText writes the mark's word.
func (m Mark) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes and refuses any other word.
func (m *Mark) UnmarshalText(b []byte) error {
	i := slices.Index(markNames[:], string(b))
	if i < 0 {
		return fmt.Errorf("mark %q: want one of %v", b, markNames)
	}
	*m = Mark(i - 1)
	return nil
}

// Marks are the marks of both eyes.
type Marks struct {
	Right Mark `json:"right"`
	Left  Mark `json:"left"`
}

// markOf is what advice means for wearing a lens.
func markOf(actions []string) Mark {
	switch {
	case slices.Contains(actions, "no-lens"):
		return MarkStop
	case slices.Contains(actions, "no-lens-tonight"):
		return MarkRest
	}
	return MarkNone
}

// raise marks an eye, or both when eye is empty. What keeps a lens out keeps out
// both, as the advice says: the other eye shares the case that is kept for the
// clinic, and a family reads "no lens" as of both.
func (m *Marks) raise(eye string, mark Mark) {
	if eye != "left" || mark >= MarkRest {
		m.Right = max(m.Right, mark)
	}
	if eye != "right" || mark >= MarkRest {
		m.Left = max(m.Left, mark)
	}
}

// ReportMarks returns what a symptom report marks. A rule that could not be
// assessed and could be urgent rests both eyes, unless the report does not speak
// of the eye it could be about.
func (t *Table) ReportMarks(r Report) Marks {
	m := Marks{t.clear(&r, r.Right), t.clear(&r, r.Left)}
	for _, f := range t.symptomFindings(&r, 0) {
		switch {
		case f.State == Fired:
			m.raise(f.Eye, max(t.Rule(f.Rule).Mark, MarkNone))
		case f.State == Unknown && r.silentOn(f.Eye): // marks nothing
		case f.State == Unknown && f.Level >= Urgent:
			m.raise(f.Eye, MarkRest)
		case f.State == Unknown:
			m.raise(f.Eye, MarkNone)
		}
	}
	return m
}

// clear is [MarkClear] for an eye of which every sign was answered, with the
// lens out, in a report that says how things are now; else [MarkNone]. Whether
// the answers were harmless the rules say.
func (t *Table) clear(r *Report, eye map[string]string) Mark {
	for _, s := range t.Signs {
		if s.Scope == OfEye && !slices.Contains(s.Answers, eye[string(s.Name)]) ||
			s.Scope == OfReport && !slices.Contains(s.Answers, r.whole(s.Name)) {
			return MarkNone
		}
	}
	if eye["lens"] != "out" {
		return MarkNone
	}
	return MarkClear
}

// RecordMarks returns what findings about the record mark: both eyes, because a
// night does not say which. Findings that did not fire mark nothing.
func (t *Table) RecordMarks(findings []Finding) Marks {
	var m Marks
	for _, f := range findings {
		if f.State == Fired {
			m.raise(f.Eye, t.Rule(f.Rule).Mark)
		}
	}
	return m
}
