package escalate_test

import (
	"errors"
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// A rota is refused for each thing alone that makes it none: a day outside a week,
// a time outside a day, nobody, one person twice, an absence without person,
// beginning or order.
func TestEachFaultOfARotaAloneIsRefused(t *testing.T) {
	t.Parallel()
	slot := func(change func(*escalate.Slot)) escalate.Rota {
		s := escalate.Slot{Weekday: 1, From: 0, To: 1439, Person: "ann", Deputy: "ben"}
		change(&s)
		return escalate.Rota{Zone: "Europe/Berlin", Slots: []escalate.Slot{s}}
	}
	off := func(person care.PersonID, from, to string) escalate.Rota {
		a := escalate.Absence{Person: person}
		if from != "" {
			a.From = civil.MustDate(from)
		}
		a.To = civil.MustDate(to)
		return escalate.Rota{Zone: "Europe/Berlin", Off: []escalate.Absence{a}}
	}
	for name, c := range map[string]struct {
		rota escalate.Rota
		code string
	}{
		"good, at every bound": {slot(func(*escalate.Slot) {}), ""}, "Sunday": {slot(func(s *escalate.Slot) { s.Weekday = 0 }), ""}, "Saturday": {slot(func(s *escalate.Slot) { s.Weekday = 6 }), ""},
		"no zone": {escalate.Rota{}, "bad-zone"}, "an unknown zone": {escalate.Rota{Zone: "Europe/Nowhere"}, "bad-zone"},
		"day -1": {slot(func(s *escalate.Slot) { s.Weekday = -1 }), "bad-weekday"}, "day 7": {slot(func(s *escalate.Slot) { s.Weekday = 7 }), "bad-weekday"},
		"from before midnight": {slot(func(s *escalate.Slot) { s.From = -1 }), "bad-time"}, "from 24:00": {slot(func(s *escalate.Slot) { s.From = 1440 }), "bad-time"},
		"to before midnight": {slot(func(s *escalate.Slot) { s.To = -1 }), "bad-time"}, "to 24:00": {slot(func(s *escalate.Slot) { s.To = 1440 }), "bad-time"},
		"nobody": {slot(func(s *escalate.Slot) { s.Person = "" }), "no-person"}, "their own deputy": {slot(func(s *escalate.Slot) { s.Deputy = "ann" }), "same-person"},
		"a day off": {off("ann", "2026-03-02", "2026-03-02"), ""}, "nobody off": {off("", "2026-03-02", "2026-03-02"), "bad-absence"},
		"off from no day": {off("ann", "", "2026-03-02"), "bad-absence"}, "off backwards": {off("ann", "2026-03-03", "2026-03-02"), "bad-absence"},
	} {
		err := c.rota.Check()
		var refusal *care.Error
		if got := errors.As(err, &refusal); got != (c.code != "") || got && refusal.Code != c.code {
			t.Errorf("%s: %v, want %q", name, err, c.code)
		}
	}
}

// The notice of gaps in the rota goes to the practice's owner and to every
// administrator who is there, and to nobody else.
func TestRotaNoticeIsForAdministrators(t *testing.T) {
	t.Parallel()
	rows := escalate.Notice(escalate.KindRota, []care.Person{
		{ID: "adm", Role: care.Administrator}, {ID: "left", Role: care.Administrator, Gone: true}, {ID: "cli", Role: care.Clinician},
	}, civil.MustDate("2026-03-02"), utc(t, "2026-03-02 18:00"))
	if len(rows) != 2 || rows[0].Target != escalate.PracticeOwner || rows[1].Target != "adm" {
		t.Errorf("%+v, want the owner and the administrator", rows)
	}
}

// A note of a call, a closing or an opening holds 2,000 characters, as the console
// says, and not one more.
func TestANoteHasItsLength(t *testing.T) {
	t.Parallel()
	r := rules()
	for n, refused := range map[int]bool{2000: false, 2001: true} {
		e := ev(escalate.Call)
		e.Text = strings.Repeat("ü", n)
		if _, _, err := r.Apply(inState(t, escalate.Open), e, at(2)); (care.KindOf(err) == care.Invalid && err != nil) != refused {
			t.Errorf("a call with a note of %d characters: %v, want refused %t", n, err, refused)
		}
	}
}

// Hours that end when they begin go on to midnight.
func TestHoursThatEndWhenTheyBegin(t *testing.T) {
	t.Parallel()
	c := care.Contacts{Zone: "UTC", Hours: []care.Hours{{Weekday: 1, From: civil.MustClock("09:00"), To: civil.MustClock("09:00")}}}
	for at, open := range map[string]bool{"2026-03-23 08:59": false, "2026-03-23 09:00": true, "2026-03-23 23:59": true, "2026-03-24 00:00": false} {
		if got := escalate.OpenAt(c, utc(t, at)); got != open {
			t.Errorf("%s: open %t, want %t", at, got, open)
		}
	}
}

// When something first happened to an alert is the first of it, not of another.
func TestFirst(t *testing.T) {
	t.Parallel()
	a, _ := run(t, rules(), inState(t, escalate.Open), at(3), ev(escalate.Call))
	a, _ = run(t, rules(), a, at(5), ev(escalate.Call))
	if got := a.First(escalate.Call); !got.Equal(at(3)) {
		t.Errorf("first called %v, want %v", got, at(3))
	}
	if got := a.First(escalate.Close); !got.IsZero() {
		t.Errorf("never closed, and first closed %v", got)
	}
}

// A text of the practice has at most 2,000 characters (our own bound; characters, not
// bytes), and all but what is said of a call has at least one that is seen.
func TestTextsOfThePracticeHaveAnEnd(t *testing.T) {
	t.Parallel()
	r := rules()
	acked := inState(t, escalate.Acknowledged)
	closed, _ := run(t, r, acked, at(5), ev(escalate.Close))
	for _, c := range []struct {
		kind  escalate.EventKind
		of    escalate.Alert
		empty bool // may be
	}{{escalate.Reopen, closed, false}, {escalate.Comment, acked, false}, {escalate.Close, acked, false}, {escalate.Call, acked, true}} {
		for text, ok := range map[string]bool{"": c.empty, " \n": c.empty, "x": true, strings.Repeat("é", 2000): true, strings.Repeat("é", 2001): false} {
			e := ev(c.kind)
			e.Text = text
			if _, _, err := r.Apply(c.of, e, at(6)); (err == nil) != ok || err != nil && care.KindOf(err) != care.Invalid {
				t.Errorf("%s with %d bytes: %v, want it taken: %t", c.kind, len(text), err, ok)
			}
		}
	}
}
