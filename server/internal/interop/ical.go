package interop

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/schedule/civil"
)

// Calendar is a feed of appointments that a calendar program subscribes to
// (RFC 5545). It holds no clinical word and nobody's name: an event says
// "Appointment" and at most a short code of the practice.
type Calendar struct {
	Name   string         // shown as the name of the calendar
	Loc    *time.Location // zone of the practice; the events are in its local time
	Events []Event
}

// Event is one appointment. A cancelled one stays in the feed, marked so:
// dropped, it would linger in programs that merge.
type Event struct {
	// UID is the same for the life of the appointment, also when it moves. [UID]
	// makes one.
	UID string
	// Sequence goes up by one with every change, from 0; a program takes a
	// change over only then.
	Sequence int
	Changed  time.Time    // of the last change
	Date     civil.Date   // in the zone of the calendar
	At       *civil.Clock // nil: all day
	Minutes  int          // length; 0 means 30, for an appointment with a time
	Code     string       // of the wearer, in a practice's feed; empty in a family's
	Location string
	// Tentative marks a date the plan asks for and nobody has booked yet.
	Tentative bool
	Cancelled bool
}

// UID returns the lasting identity of a calendar event, made from what
// identifies the appointment: a visit's id, or wearer, kind and due date of a
// visit nobody has booked. It tells none of these.
func UID(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return fmt.Sprintf("%x@nightkeep", sum[:16])
}

// words is all that a calendar gets to read.
func (e Event) words() string {
	text := "Appointment"
	if e.Tentative {
		text = "Appointment to be made"
	}
	if e.Code != "" {
		text += " " + e.Code
	}
	return text
}

// ICal writes the calendar in the form of RFC 5545: CRLF line ends, lines of
// at most 75 octets, local times with a VTIMEZONE. The same calendar gives the
// same bytes, so that an unchanged feed costs a 304.
func (c Calendar) ICal() []byte {
	w := &icalWriter{}
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//Nightkeep//Appointments//EN")
	w.line("CALSCALE", "GREGORIAN")
	w.line("METHOD", "PUBLISH")
	w.line("NAME", escape(c.Name))         // RFC 7986
	w.line("X-WR-CALNAME", escape(c.Name)) // what older programs read
	w.line("REFRESH-INTERVAL;VALUE=DURATION", "PT6H")
	events := slices.Clone(c.Events)
	slices.SortFunc(events, func(a, b Event) int {
		return cmp.Or(a.Date.Compare(b.Date), strings.Compare(a.UID, b.UID))
	})
	if slices.ContainsFunc(events, func(e Event) bool { return e.At != nil }) {
		w.zone(c.Loc, events)
	}
	for _, e := range events {
		w.event(e, c.Loc)
	}
	w.line("END", "VCALENDAR")
	return w.out.Bytes()
}

type icalWriter struct{ out bytes.Buffer }

// line writes one content line, folded: after 75 octets comes CRLF and a
// space, never inside a character.
func (w *icalWriter) line(name, value string) {
	s, room := name+":"+value, 75
	for len(s) > room {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		w.out.WriteString(s[:cut] + "\r\n ")
		s, room = s[cut:], 74 // the space counts
	}
	w.out.WriteString(s + "\r\n")
}

// escape writes text as a property value. Control characters have no place in
// one and are dropped.
func escape(s string) string {
	s = strings.NewReplacer("\r\n", "\n").Replace(strings.ToValidUTF8(s, "\uFFFD"))
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(s)
}

func utc(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

const wallForm = "20060102T150405"

func (w *icalWriter) event(e Event, loc *time.Location) {
	w.line("BEGIN", "VEVENT")
	w.line("UID", escape(e.UID))
	w.line("DTSTAMP", utc(e.Changed))
	w.line("LAST-MODIFIED", utc(e.Changed))
	w.line("SEQUENCE", fmt.Sprint(e.Sequence))
	if e.At == nil {
		w.line("DTSTART;VALUE=DATE", strings.ReplaceAll(e.Date.String(), "-", ""))
		w.line("TRANSP", "TRANSPARENT")
	} else {
		from := civil.At(e.Date, *e.At, loc)
		w.line("DTSTART;TZID="+loc.String(), from.Format(wallForm))
		w.line("DURATION", fmt.Sprintf("PT%dM", cmp.Or(max(0, e.Minutes), 30)))
	}
	w.line("SUMMARY", escape(e.words()))
	if e.Location != "" {
		w.line("LOCATION", escape(e.Location))
	}
	w.line("CLASS", "PRIVATE")
	switch {
	case e.Cancelled:
		w.line("STATUS", "CANCELLED")
	case e.Tentative:
		w.line("STATUS", "TENTATIVE")
	default:
		w.line("STATUS", "CONFIRMED")
	}
	w.line("END", "VEVENT")
}

// zone writes every change of the clock from the year before the first event
// to the year after the last, one observance each: no rule to get wrong, and
// zones without a rule come out right too. The events are in order of date.
func (w *icalWriter) zone(loc *time.Location, events []Event) {
	t := time.Date(events[0].Date.Year-1, 1, 1, 0, 0, 0, 0, loc)
	end := time.Date(events[len(events)-1].Date.Year+2, 1, 1, 0, 0, 0, 0, loc)
	w.line("BEGIN", "VTIMEZONE")
	w.line("TZID", loc.String())
	w.observance(t, t) // in force as the years begin
	for {
		_, next := t.ZoneBounds()
		if next.IsZero() || !next.Before(end) {
			break
		}
		w.observance(t, next)
		t = next
	}
	w.line("END", "VTIMEZONE")
}

// observance writes what holds from an instant on, and what held before it.
func (w *icalWriter) observance(before, from time.Time) {
	kind := "STANDARD"
	if from.IsDST() {
		kind = "DAYLIGHT"
	}
	name, to := from.Zone()
	_, was := before.Zone()
	w.line("BEGIN", kind)
	w.line("DTSTART", from.In(time.FixedZone("", was)).Format(wallForm)) // by the clock that is about to change
	w.line("TZOFFSETFROM", utcOffset(was))
	w.line("TZOFFSETTO", utcOffset(to))
	w.line("TZNAME", escape(name))
	w.line("END", kind)
}

// utcOffset writes seconds east of UTC as +HHMM, with seconds when there are any.
func utcOffset(s int) string {
	sign := '+'
	if s < 0 {
		sign, s = '-', -s
	}
	out := fmt.Sprintf("%c%02d%02d", sign, s/3600, s/60%60)
	if s%60 != 0 {
		out += fmt.Sprintf("%02d", s%60)
	}
	return out
}
