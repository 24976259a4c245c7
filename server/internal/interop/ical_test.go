package interop_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/interop"
)

var update = flag.Bool("update", false, "write the calendar feed anew")

func calendar(t *testing.T) interop.Calendar {
	t.Helper()
	loc, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	nine, late := civil.MustClock("09:15"), civil.MustClock("01:30")
	changed := time.Date(2026, 2, 20, 8, 0, 0, 0, time.UTC)
	return interop.Calendar{Name: "Appointments, Harbour Lane", Loc: loc, Events: []interop.Event{
		{UID: interop.UID("visit", "v2"), Sequence: 2, Changed: changed, Date: civil.MustDate("2026-04-01"), At: &nine, Minutes: 20, Code: "W-0007", Location: "12 Harbour Lane; first floor, ring twice\nthen wait"},
		{UID: interop.UID("visit", "v1"), Changed: changed, Date: civil.MustDate("2026-03-02"), At: &nine, Location: "bitte pünktlich, 請準時到達、並帶備所有用品和這張卡、謝謝 🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂", Cancelled: true, Sequence: 1},
		{UID: interop.UID("w7", "recall", "2026-07-01"), Changed: changed, Date: civil.MustDate("2026-07-01"), Tentative: true},
		{UID: interop.UID("visit", "v3"), Changed: changed, Date: civil.MustDate("2026-03-29"), At: &late},
	}}
}

// TestICalGolden compares with the feed that npm ical.js 2.2.1 read back with
// every start, status and text as above.
func TestICalGolden(t *testing.T) {
	t.Parallel()
	const path = "../../../testdata/schedule/feed.ics"
	got := bytes.ReplaceAll(calendar(t).ICal(), []byte("\r\n"), []byte("\n")) // the file has plain line ends
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("want -, got +\n%s", diff)
	}
}

// A calendar program of another make reads every appointment back as it was
// meant: golang-ical, beside the ical.js that the feed above was read with.
func TestICalIsReadByAnotherLibrary(t *testing.T) {
	t.Parallel()
	c := calendar(t)
	read, err := ics.ParseCalendar(bytes.NewReader(c.ICal()))
	if err != nil {
		t.Fatal(err)
	}
	london, text := c.Loc, func(e *ics.VEvent, p ics.ComponentProperty) string {
		if got := e.GetProperty(p); got != nil {
			return ics.FromText(got.Value)
		}
		return ""
	}
	got := map[string]string{}
	for _, e := range read.Events() {
		start, err := e.GetStartAt()
		if err != nil {
			t.Error(err)
		}
		got[e.Id()] = fmt.Sprintf("%s %s, %s, %s", start.In(london).Format(time.DateTime), text(e, ics.ComponentPropertySummary), text(e, ics.ComponentPropertyStatus), text(e, ics.ComponentPropertyLocation))
	}
	want := map[string]string{
		interop.UID("visit", "v2"):                "2026-04-01 09:15:00 Appointment W-0007, CONFIRMED, 12 Harbour Lane; first floor, ring twice\nthen wait",
		interop.UID("visit", "v1"):                "2026-03-02 09:15:00 Appointment, CANCELLED, bitte pünktlich, 請準時到達、並帶備所有用品和這張卡、謝謝 🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂",
		interop.UID("w7", "recall", "2026-07-01"): "2026-07-01 01:00:00 Appointment to be made, TENTATIVE, ", // a day without a time: midnight of UTC to this library
		interop.UID("visit", "v3"):                "2026-03-29 02:00:00 Appointment, CONFIRMED, ",            // 01:30 does not exist that night
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("want -, got +\n%s", diff)
	}
}

// TestICalBytes checks what RFC 5545 asks of every byte: CRLF line ends
// (3.1), lines of at most 75 octets, whole characters on each line.
func TestICalBytes(t *testing.T) {
	t.Parallel()
	raw := calendar(t).ICal()
	if n, crlf := bytes.Count(raw, []byte("\n")), bytes.Count(raw, []byte("\r\n")); n != crlf || bytes.Count(raw, []byte("\r")) != n {
		t.Errorf("%d line feeds, %d CRLF: want only CRLF", n, crlf)
	}
	if !bytes.HasSuffix(raw, []byte("END:VCALENDAR\r\n")) {
		t.Error("the last line has no end")
	}
	folded := 0
	for line := range strings.SplitSeq(string(raw), "\r\n") {
		if len(line) > 75 {
			t.Errorf("line of %d octets: %s", len(line), line)
		}
		if !utf8.ValidString(line) {
			t.Errorf("a character is cut in two: %q", line)
		}
		if strings.HasPrefix(line, " ") {
			folded++
		}
	}
	if folded < 2 {
		t.Errorf("%d folded lines: the long location was not folded", folded)
	}
	flat := strings.ReplaceAll(string(raw), "\r\n ", "")
	for _, want := range []string{
		`LOCATION:12 Harbour Lane\; first floor\, ring twice\nthen wait` + "\r\n",
		"LOCATION:bitte pünktlich\\, 請準時到達、並帶備所有用品和這張卡、謝謝 🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂🙂\r\n",
		"UID:" + interop.UID("visit", "v1") + "\r\nDTSTAMP:20260220T080000Z\r\nLAST-MODIFIED:20260220T080000Z\r\nSEQUENCE:1\r\n",
		"SUMMARY:Appointment W-0007\r\n", "SUMMARY:Appointment to be made\r\n",
		"STATUS:CANCELLED\r\n", "STATUS:TENTATIVE\r\n",
		"DTSTART;VALUE=DATE:20260701\r\n",
		"DTSTART;TZID=Europe/London:20260302T091500\r\nDURATION:PT30M\r\n",
		"DTSTART;TZID=Europe/London:20260329T020000\r\n", // 01:30 does not exist; 02:00 is the first minute that does
		// Clocks in London go forward at 01:00 UTC on the last Sunday of March.
		"BEGIN:DAYLIGHT\r\nDTSTART:20260329T010000\r\nTZOFFSETFROM:+0000\r\nTZOFFSETTO:+0100\r\nTZNAME:BST\r\nEND:DAYLIGHT\r\n",
		"BEGIN:STANDARD\r\nDTSTART:20261025T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0000\r\nTZNAME:GMT\r\nEND:STANDARD\r\n",
	} {
		if !strings.Contains(flat, want) {
			t.Errorf("missing %q", want)
		}
	}
}

func TestICalWithoutTimesHasNoZone(t *testing.T) {
	t.Parallel()
	c := calendar(t)
	c.Events = c.Events[2:3]
	if raw := c.ICal(); bytes.Contains(raw, []byte("VTIMEZONE")) {
		t.Errorf("a feed of whole days needs no zone:\n%s", raw)
	}
	c.Events = nil
	if raw := c.ICal(); !bytes.Contains(raw, []byte("BEGIN:VCALENDAR")) {
		t.Errorf("an empty feed is a calendar too:\n%s", raw)
	}
}

func TestICalUIDTellsNothing(t *testing.T) {
	t.Parallel()
	a, b := interop.UID("w7", "recall", "2026-07-01"), interop.UID("w7", "recall", "2026-10-01")
	if a == b || a != interop.UID("w7", "recall", "2026-07-01") {
		t.Errorf("got %s and %s: want one for each appointment, always the same", a, b)
	}
	if strings.Contains(a, "w7") || strings.Contains(a, "recall") || strings.Contains(a, "2026") {
		t.Errorf("%s tells what it is about", a)
	}
}

func TestICalIsStable(t *testing.T) {
	t.Parallel()
	a, b := calendar(t), calendar(t)
	b.Events[0], b.Events[2] = b.Events[2], b.Events[0]
	if !bytes.Equal(a.ICal(), b.ICal()) {
		t.Error("the order in which events are given changes the feed")
	}
}

// FuzzICalText puts any text into a location: it must stay one property.
func FuzzICalText(f *testing.F) {
	for _, s := range []string{"", "a\r\nEND:VEVENT\r\n", strings.Repeat("é", 200), "\x00\xff;,\\", "🙂\n🙂"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c := calendar(t)
		c.Events = c.Events[:1]
		c.Events[0].Location = s
		raw := string(c.ICal())
		if strings.Count(raw, "\r\nEND:VEVENT\r\n") != 1 || strings.Count(raw, "\nSTATUS:") != 1 {
			t.Errorf("text %q broke out of its property:\n%s", s, raw)
		}
		for line := range strings.SplitSeq(raw, "\r\n") {
			if len(line) > 75 || !utf8.ValidString(line) {
				t.Errorf("text %q: bad line %q", s, line)
			}
		}
	})
}
