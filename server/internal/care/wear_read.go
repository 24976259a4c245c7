package care

import (
	"cmp"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// WearFact returns what the wear state reads of an entry in the log. Members that
// are not well formed are left out, never an error.
func (e *Entry) WearFact() WearFact {
	body := e.bodyParts()
	f := WearFact{ID: e.ID, Kind: e.Kind, Night: e.Night, State: "stored", Judged: e.Judged}
	if raw := body.get("told"); raw != "" {
		f.Told = readMarks([]byte(raw))
	}
	f.Ends = entryIDs(body.get("ends"))
	if f.Takes = slices.Clone(e.Supersedes); e.Retracts != "" {
		f.Takes = append(f.Takes, e.Retracts)
	}
	switch e.Kind {
	case Symptoms:
		f.About = e.about(body)
		if other, _ := word(body.get("other")); other == "usual" {
			f.Usual = map[string]string{"right": "left", "left": "right"}[f.About]
		}
		f.Made = e.madeEarlier()
	case NotWorn:
		reason, _ := word(body.get("reason"))
		f.Sore = reason == "sore-eye"
	case Cease, Resume:
		for i, eye := range eyeNames {
			if body.eyes()&(1<<i) != 0 {
				f.Eyes = append(f.Eyes, eye)
			}
		}
		f.Answers = entryIDs(body.get("answers"))
		from, _ := word(body.get("from"))
		day, _ := civil.ParseDate(from)
		if e.Kind == Cease {
			f.Begins = day
		} else {
			f.From = day
		}
		f.Check = body.get("check") == "true"
		reason, _ := word(body.get("reason"))
		f.Over = e.Kind == Cease && reason == "ended"
	case WearStart:
		_ = json.Unmarshal([]byte(body.get("opens")), &f.Opens)
	}
	return f
}

// Told returns what the phone that wrote an entry said of wearing; nothing when that is
// not well formed.
func (e *Entry) Told() Marks { return readMarks([]byte(e.bodyParts().get("told"))) }

// KeptMarks returns what an entry says of wearing that is kept as it came, unread. A
// symptom report may have been a stop of both eyes; of any other the phone's own judgement
// counts, which may raise and never lower.
func (e *Entry) KeptMarks() Marks {
	switch {
	case e.Kind == Symptoms:
		return Marks{Stop, Stop, true, 0}
	case e.Kind.Clinical():
		return Marks{}
	}
	return e.Told()
}

// madeEarlier returns the night in which an entry was written by the server's clock,
// zero where that is not before its own: a clock that is ahead says no day too soon.
func (e *Entry) madeEarlier() civil.Date {
	at, err := e.Instant()
	if err != nil || e.Recv.IsZero() {
		return civil.Date{}
	}
	if at = at.Add(-time.Duration(max(0, e.SkewMS)) * time.Millisecond); at.After(e.Recv) {
		at = e.Recv
	}
	if night := civil.NightOf(at, e.Location()); night.Before(e.Night) {
		return night
	}
	return civil.Date{}
}

// about says which eyes a report is about.
func (e *Entry) about(body members) string {
	right, left := strings.HasPrefix(body.get("right"), "{"), strings.HasPrefix(body.get("left"), "{")
	switch {
	case right && left:
		return "both"
	case right:
		return "right"
	case left:
		return "left"
	}
	return ""
}

// Marked returns the more careful mark of both eyes that anybody judged.
func (f WearFact) Marked() Mark { return f.Told.Worse(f.Judged).Worst() }

// OfWear reports whether an entry has a part in the wear state: it is a cause,
// it answers one, or it may end one. The store keeps a list of these.
func (e *Entry) OfWear() bool {
	switch e.Kind {
	case Cease, Resume, WearStart, CheckOpen:
		return true
	}
	body := e.bodyParts()
	if body.get("ends") != "" && e.Kind == Symptoms {
		return true
	}
	return e.Judged.Worst() >= Rest || body.get("told") != "" && readMarks([]byte(body.get("told"))).Worst() >= Rest
}

// quickMarks reads marks as they are stored, nearly always {"table":n}.
func quickMarks(raw string) Marks {
	digits, plain := strings.CutPrefix(raw, `{"table":`)
	digits, end := strings.CutSuffix(digits, "}")
	if n, err := strconv.Atoi(digits); plain && end && err == nil && n > 0 {
		return Marks{None, None, true, n}
	}
	return readMarks([]byte(raw))
}

// ReviewBy returns the date by which a stop of the practice is looked at again; zero
// when the entry names none.
func (e *Entry) ReviewBy() civil.Date {
	text, _ := word(e.bodyParts().get("review_by"))
	d, _ := civil.ParseDate(text)
	return d
}

// ReviewOf returns the date by which an eye is looked at again, as the newest stop of
// the practice says that is among the eye's causes; zero where none holds it.
func ReviewOf(causes []Cause, written map[EntryID]*Entry) (d civil.Date) {
	var last *Entry
	for _, c := range causes {
		e := written[c.ID]
		if e != nil && e.Kind == Cease && (last == nil || cmp.Or(e.Recv.Compare(last.Recv), cmp.Compare(e.FSeq, last.FSeq)) > 0) {
			last, d = e, e.ReviewBy()
		}
	}
	return d
}
