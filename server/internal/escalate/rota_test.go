package escalate_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

func utc(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// week has days from 08:00 to 20:00 and nights from 20:00 to 08:00.
func week() escalate.Rota {
	r := escalate.Rota{Zone: "Europe/Berlin", Off: []escalate.Absence{
		{Person: "ann", From: civil.MustDate("2026-03-02"), To: civil.MustDate("2026-03-03")},
		{Person: "ben", From: civil.MustDate("2026-03-03"), To: civil.MustDate("2026-03-03")},
		{Person: "cem", From: civil.MustDate("2026-03-04"), To: civil.MustDate("2026-03-04")},
	}}
	for day := range 7 {
		r.Slots = append(r.Slots,
			escalate.Slot{Weekday: day, From: civil.MustClock("08:00"), To: civil.MustClock("20:00"), Person: "ann", Deputy: "ben"},
			escalate.Slot{Weekday: day, From: civil.MustClock("20:00"), To: civil.MustClock("08:00"), Person: "cem"})
	}
	return r
}

// Berlin is one hour ahead of UTC in winter and two in summer; clocks went
// forward on 29 March 2026 at 01:00 UTC and back on 25 October at 01:00 UTC
// (IANA time zone database).
func TestOnDuty(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, utc      string
		person, deputy care.PersonID
	}{
		{"day", "2026-03-05 12:00", "ann", "ben"},
		{"just before the day", "2026-03-06 06:59", "cem", ""},
		{"start of the day", "2026-03-05 07:00", "ann", "ben"},
		{"just before the night", "2026-03-05 18:59", "ann", "ben"},
		{"start of the night", "2026-03-05 19:00", "cem", ""},
		{"after midnight", "2026-03-06 02:00", "cem", ""},
		{"person away, deputy stands in", "2026-03-02 12:00", "ben", ""},
		{"both away", "2026-03-03 12:00", "", ""},
		{"night off as a whole", "2026-03-05 02:00", "", ""},
		{"night before the absence", "2026-03-04 02:00", "cem", ""},
		{"short night, before the gap", "2026-03-29 00:59", "cem", ""},
		{"short night, after it", "2026-03-29 05:59", "cem", ""},
		{"short night is over an hour earlier", "2026-03-29 06:00", "ann", "ben"},
		{"long night, second pass of 02:30", "2026-10-25 01:30", "cem", ""},
		{"long night goes on an hour longer", "2026-10-25 06:59", "cem", ""},
		{"long night over", "2026-10-25 07:00", "ann", "ben"},
	} {
		person, deputy := escalate.OnDuty(week(), utc(t, c.utc))
		if person != c.person || deputy != c.deputy {
			t.Errorf("%s: %q and %q, want %q and %q", c.name, person, deputy, c.person, c.deputy)
		}
	}
}

// Single dates, every second week, holidays and swaps, beside the plain week. 2
// March 2026 is a Monday; 5 April 2026 is Easter Sunday, the 6th a holiday in
// Berlin (Feiertagsgesetz). In summer Berlin is two hours ahead of UTC.
func TestOnDutyBesideTheWeek(t *testing.T) {
	t.Parallel()
	r := week()
	r.Off = []escalate.Absence{{Person: "dee", From: civil.MustDate("2026-03-12"), To: civil.MustDate("2026-03-12")}}
	r.Slots = append([]escalate.Slot{{ // before the day of Wednesday that everybody knows
		Weekday: 3, From: civil.MustClock("08:00"), To: civil.MustClock("20:00"), Person: "eve", Since: civil.MustDate("2026-03-08"),
	}}, r.Slots...) // the 8th is the Sunday of the week that began on the 2nd
	r.Slots = append([]escalate.Slot{{Weekday: 0, From: civil.MustClock("08:00"), To: civil.MustClock("20:00"), Person: "sue"}}, r.Slots...)
	r.Dates = []escalate.Duty{
		{Date: civil.MustDate("2026-03-10"), From: civil.MustClock("10:00"), To: civil.MustClock("12:00"), Person: "dee", Deputy: "ann"},
		{Date: civil.MustDate("2026-03-10"), From: civil.MustClock("22:00"), To: civil.MustClock("06:00"), Person: "dee"},
		{Date: civil.MustDate("2026-03-12"), From: civil.MustClock("10:00"), To: civil.MustClock("12:00"), Person: "dee"},
	}
	r.Holidays = []civil.Date{civil.MustDate("2026-04-06")}
	r.Swaps = []escalate.Swap{
		{On: civil.MustDate("2026-03-13"), Out: "cem", In: "ann"}, {On: civil.MustDate("2026-03-16"), Out: "ann", In: "cem"},
		{On: civil.MustDate("2026-03-20"), Out: "ann", In: "ben"}, // who is the deputy already
	}
	for _, c := range []struct {
		name, utc      string
		person, deputy care.PersonID
	}{
		{"a single date", "2026-03-10 10:00", "dee", "ann"},
		{"before it the week holds", "2026-03-10 08:59", "ann", "ben"},
		{"after it the week holds", "2026-03-10 11:00", "ann", "ben"},
		{"a single night", "2026-03-10 21:00", "dee", ""},
		{"after its midnight", "2026-03-11 04:59", "dee", ""},
		{"a single date whose person is away is a gap", "2026-03-12 10:00", "", ""},
		{"the second Wednesday's person", "2026-03-04 12:00", "eve", ""},
		{"a week later the usual one", "2026-03-11 12:00", "ann", "ben"},
		{"two weeks later again", "2026-03-18 12:00", "eve", ""},
		{"and before it began", "2026-02-18 12:00", "eve", ""},
		{"across a change of the clock", "2026-04-01 10:00", "eve", ""},
		{"a holiday has Sunday's", "2026-04-06 10:00", "sue", ""},
		{"the day after has not", "2026-04-07 10:00", "ann", "ben"},
		{"swapped as a whole, past midnight", "2026-03-14 02:00", "ann", ""},
		{"the night before is not", "2026-03-13 02:00", "cem", ""},
		{"what was taken for it", "2026-03-16 12:00", "cem", "ben"},
		{"swapped with the deputy, who is nobody's deputy then", "2026-03-20 12:00", "ben", ""},
	} {
		person, deputy := escalate.OnDuty(r, utc(t, c.utc))
		if person != c.person || deputy != c.deputy {
			t.Errorf("%s: %q and %q, want %q and %q", c.name, person, deputy, c.person, c.deputy)
		}
	}
	var gaps []string
	for _, g := range escalate.Gaps(r, care.Contacts{Zone: r.Zone}, civil.MustDate("2026-03-09"), 7) {
		gaps = append(gaps, g.From.UTC().Format("2006-01-02 15:04")+" "+g.To.UTC().Format("15:04"))
	}
	if diff := cmp.Diff([]string{"2026-03-12 09:00 11:00"}, gaps); diff != "" {
		t.Error(diff)
	}
	n := 0
	for _, d := range escalate.Duties(r, civil.MustDate("2026-03-13"), 1) {
		if n++; d.Start == civil.MustDate("2026-03-13") && d.Person == "ann" && d.From.UTC().Format("15:04") == "19:00" {
			n += 10 // the swapped night, up to the end of the day asked for
		}
	}
	if n != 13 { // the end of the night before, the day, the swapped night
		t.Errorf("%d duties on the 13th", n)
	}
}

func TestPresentLeavesOutWhoIsAway(t *testing.T) {
	t.Parallel()
	got := week().Present(utc(t, "2026-03-03 12:00"))
	if diff := cmp.Diff([]care.PersonID{"cem"}, got); diff != "" {
		t.Error(diff)
	}
	got = week().Present(utc(t, "2026-03-06 12:00"))
	if diff := cmp.Diff([]care.PersonID{"ann", "ben", "cem"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestGaps(t *testing.T) {
	t.Parallel()
	contacts := care.Contacts{Zone: "Europe/Berlin"}
	for day := 1; day <= 5; day++ {
		contacts.Hours = append(contacts.Hours, care.Hours{Weekday: day, From: civil.MustClock("09:00"), To: civil.MustClock("17:00")})
	}
	contacts.Closed = []civil.Date{civil.MustDate("2026-03-04")}
	weekdays := escalate.Rota{Zone: "Europe/Berlin"}
	for day := range 7 {
		weekdays.Slots = append(weekdays.Slots, escalate.Slot{Weekday: day, From: civil.MustClock("03:00"), To: civil.MustClock("02:00"), Person: "ann"})
	}
	type gap struct {
		from, to string
		hours    bool
	}
	for _, c := range []struct {
		name string
		rota escalate.Rota
		from string
		days int
		want []gap
	}{
		{"absences", week(), "2026-03-02", 4, []gap{
			{"2026-03-03 07:00", "2026-03-03 08:00", false}, // 08:00 to 09:00: before the clinic opens
			{"2026-03-03 08:00", "2026-03-03 16:00", true},
			{"2026-03-03 16:00", "2026-03-03 19:00", false},
			{"2026-03-04 19:00", "2026-03-05 07:00", false},
		}},
		{"none", week(), "2026-03-06", 30, nil},
		{"nobody at all, on a holiday", escalate.Rota{Zone: "Europe/Berlin"}, "2026-03-04", 1, []gap{{"2026-03-03 23:00", "2026-03-04 23:00", false}}},
		{"an hour that the clock skips is no gap", weekdays, "2026-03-28", 2, []gap{{"2026-03-28 01:00", "2026-03-28 02:00", false}}},
		{"an hour that the clock shows twice is a longer one", weekdays, "2026-10-25", 1, []gap{{"2026-10-25 00:00", "2026-10-25 02:00", false}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var got []gap
			for _, g := range escalate.Gaps(c.rota, contacts, civil.MustDate(c.from), c.days) {
				got = append(got, gap{g.From.UTC().Format("2006-01-02 15:04"), g.To.UTC().Format("2006-01-02 15:04"), g.Hours})
			}
			if diff := cmp.Diff(c.want, got, cmp.AllowUnexported(gap{})); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestRotaCheck(t *testing.T) {
	t.Parallel()
	good := escalate.Slot{Weekday: 1, Person: "ann", Deputy: "ben"}
	day := civil.MustDate("2026-03-02")
	date := func(d escalate.Duty) escalate.Rota {
		return escalate.Rota{Zone: "UTC", Dates: []escalate.Duty{d}}
	}
	swap := func(s escalate.Swap) escalate.Rota { return escalate.Rota{Zone: "UTC", Swaps: []escalate.Swap{s}} }
	for _, c := range []struct {
		name string
		rota escalate.Rota
		ok   bool
	}{
		{"empty", escalate.Rota{Zone: "Europe/Berlin"}, true},
		{"a slot", escalate.Rota{Zone: "Europe/Berlin", Slots: []escalate.Slot{good}}, true},
		{"no zone", escalate.Rota{}, false},
		{"made-up zone", escalate.Rota{Zone: "Europe/Nowhere"}, false},
		{"weekday 7", escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{{Weekday: 7, Person: "ann"}}}, false},
		{"24:00", escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{{To: 1440, Person: "ann"}}}, false},
		{"no person", escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{{Deputy: "ben"}}}, false},
		{"own deputy", escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{{Person: "ann", Deputy: "ann"}}}, false},
		{"a date, all day, without a deputy", date(escalate.Duty{Date: day, To: 1439, Person: "ann"}), true},
		{"a date with a deputy", date(escalate.Duty{Date: day, From: 1439, Person: "ann", Deputy: "ben"}), true},
		{"no date", date(escalate.Duty{Person: "ann"}), false},
		{"a date from 24:00", date(escalate.Duty{Date: day, From: 1440, Person: "ann"}), false},
		{"a date to 24:00", date(escalate.Duty{Date: day, To: 1440, Person: "ann"}), false},
		{"a date before 00:00", date(escalate.Duty{Date: day, From: -1, Person: "ann"}), false},
		{"a date to before 00:00", date(escalate.Duty{Date: day, To: -1, Person: "ann"}), false},
		{"a date without a person", date(escalate.Duty{Date: day, Deputy: "ben"}), false},
		{"a date, own deputy", date(escalate.Duty{Date: day, Person: "ann", Deputy: "ann"}), false},
		{"a swap", swap(escalate.Swap{On: day, Out: "ann", In: "ben"}), true},
		{"a swap of no date", swap(escalate.Swap{Out: "ann", In: "ben"}), false},
		{"a swap from nobody", swap(escalate.Swap{On: day, In: "ben"}), false},
		{"a swap to nobody", swap(escalate.Swap{On: day, Out: "ann"}), false},
		{"a swap with oneself", swap(escalate.Swap{On: day, Out: "ann", In: "ann"}), false},
		{"absence backwards", escalate.Rota{Zone: "UTC", Off: []escalate.Absence{{Person: "ann", From: civil.MustDate("2026-03-03"), To: civil.MustDate("2026-03-02")}}}, false},
	} {
		if err := c.rota.Check(); (err == nil) != c.ok || err != nil && care.KindOf(err) != care.Invalid {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestHours(t *testing.T) {
	t.Parallel()
	c := care.Contacts{Zone: "Europe/Berlin", Closed: []civil.Date{civil.MustDate("2026-03-30")}, Hours: []care.Hours{
		{Weekday: 1, From: civil.MustClock("09:00"), To: civil.MustClock("12:00")},
		{Weekday: 1, From: civil.MustClock("14:00"), To: civil.MustClock("18:00")},
		{Weekday: 2, From: civil.MustClock("09:00"), To: civil.MustClock("18:00")},
		{Weekday: 6, From: civil.MustClock("20:00"), To: civil.MustClock("00:00")},
	}}
	for _, row := range []struct {
		name, utc string
		open      bool
		next      string
	}{
		{"Monday before", "2026-03-23 07:59", false, "2026-03-23 08:00"},
		{"Monday at nine", "2026-03-23 08:00", true, "2026-03-23 08:00"},
		{"midday break", "2026-03-23 11:00", false, "2026-03-23 13:00"},
		{"Monday evening", "2026-03-23 17:00", false, "2026-03-24 08:00"},
		{"Tuesday evening, to Saturday", "2026-03-24 17:00", false, "2026-03-28 19:00"},
		{"Saturday late", "2026-03-28 22:59", true, "2026-03-28 22:59"},
		{"Sunday; Monday is a holiday, Tuesday in summer time", "2026-03-28 23:00", false, "2026-03-31 07:00"},
	} {
		at := utc(t, row.utc)
		if got := escalate.OpenAt(c, at); got != row.open {
			t.Errorf("%s: open %v", row.name, got)
		}
		if got := escalate.NextOpening(c, at); !got.Equal(utc(t, row.next)) {
			t.Errorf("%s: next opening %v, want %s", row.name, got.UTC(), row.next)
		}
	}
	if got := escalate.NextOpening(care.Contacts{Zone: "UTC"}, t0); !got.IsZero() {
		t.Errorf("no hours: %v", got)
	}
}
