// Package civil holds calendar dates and wall-clock times.
//
// A night in Nightkeep is a calendar date, never an instant: the date of the
// evening on which lenses go in, in the zone of the wearer at that moment. All
// arithmetic here is calendar arithmetic, so a day that has 23 or 25 hours is
// still one day. The package is a leaf: it imports nothing of ours, reads no
// clock, and has a JavaScript twin, civil.js, checked on the same vectors.
package civil

import (
	"cmp"
	"fmt"
	"strings"
	"time"
)

// NightStarts is the wall-clock hour at which one night ends and the next
// begins: a night runs from 12:00 on its date to 11:59 on the day after.
const NightStarts = Clock(12 * 60)

// Date is a calendar date in the proleptic Gregorian calendar, without a zone.
// The zero Date is not a date; IsZero reports it.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ParseDate reads "YYYY-MM-DD" and refuses anything else, also dates that do
// not exist such as 2026-02-30.
func ParseDate(s string) (Date, error) {
	n := [8]int{}
	at := 0
	for i := range s {
		digit := s[i] >= '0' && s[i] <= '9'
		if dash := i == 4 || i == 7; len(s) != len(time.DateOnly) || dash != (s[i] == '-') || !dash && !digit {
			break
		} else if digit {
			n[at] = int(s[i] - '0')
			at++
		}
	}
	d := Date{n[0]*1000 + n[1]*100 + n[2]*10 + n[3], time.Month(n[4]*10 + n[5]), n[6]*10 + n[7]}
	usual := d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && d.Day <= 28
	if at < len(n) || !usual && DateOf(d.noon()) != d { // a 30 February comes back as a day of March
		return Date{}, fmt.Errorf("date %q: want YYYY-MM-DD", strings.Clone(s)) // so that s need not outlive the call
	}
	return d, nil
}

// MustDate is ParseDate for constants and tests; it panics on a bad date.
func MustDate(s string) Date {
	d, err := ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// DateOf returns the calendar date of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// NightOf returns the night that instant t belongs to in loc: the date of t,
// or the date before when the wall clock has not reached 12:00.
func NightOf(t time.Time, loc *time.Location) Date {
	t = t.In(loc)
	if ClockOf(t) < NightStarts {
		return DateOf(t).AddDays(-1)
	}
	return DateOf(t)
}

// String returns "YYYY-MM-DD".
func (d Date) String() string {
	if m := int(d.Month); d.Year >= 0 && d.Year <= 9999 && m >= 0 && m <= 99 && d.Day >= 0 && d.Day <= 99 {
		digit := func(n int) byte { return byte('0' + n%10) }
		y := d.Year
		return string([]byte{digit(y / 1000), digit(y / 100), digit(y / 10), digit(y), '-', digit(m / 10), digit(m), '-', digit(d.Day / 10), digit(d.Day)})
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// IsZero reports whether d is the zero Date, which stands for "no date".
func (d Date) IsZero() bool { return d == Date{} }

// noon is used for arithmetic only; UTC has no gaps.
func (d Date) noon() time.Time {
	return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC)
}

// AddDays returns the date n calendar days later (earlier when n is negative).
func (d Date) AddDays(n int) Date { return DateOf(d.noon().AddDate(0, 0, n)) }

// AddMonths returns the date n calendar months later. A day that the target
// month lacks becomes its last day: 31 January plus one month is 28 or 29
// February.
func (d Date) AddMonths(n int) Date {
	first := time.Date(d.Year, d.Month+time.Month(n), 1, 12, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return Date{first.Year(), first.Month(), min(d.Day, last)}
}

// DaysSince returns the number of calendar days from e to d, negative when d
// is earlier.
func (d Date) DaysSince(e Date) int { return d.count() - e.count() }

// count numbers the days of the proleptic Gregorian calendar, one by one: the
// rules ask for it some hundred times a wearer. A year is counted from March,
// so that the leap day is its last; the months from March on have 31, 30, 31,
// 30, 31 days, again and again, which is 153 in five months.
func (d Date) count() int {
	y, m := d.Year, int(d.Month)
	if m < 3 {
		y, m = y-1, m+12
	}
	return 365*y + floor(y, 4) - floor(y, 100) + floor(y, 400) + (153*m-457)/5 + d.Day
}

// floor returns a/b rounded down.
func floor(a, b int) int {
	if a < 0 {
		a -= b - 1
	}
	return a / b
}

// Compare returns -1, 0 or +1 as d is before, equal to or after e.
func (d Date) Compare(e Date) int {
	return cmp.Or(cmp.Compare(d.Year, e.Year), cmp.Compare(d.Month, e.Month), cmp.Compare(d.Day, e.Day))
}

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool { return d.Compare(e) < 0 }

// After reports whether d is later than e.
func (d Date) After(e Date) bool { return d.Compare(e) > 0 }

// Weekday returns the day of the week of d.
func (d Date) Weekday() time.Weekday { return d.noon().Weekday() }

// MarshalText writes "YYYY-MM-DD", and nothing for the zero Date.
func (d Date) MarshalText() ([]byte, error) {
	if d.IsZero() {
		return nil, nil
	}
	return []byte(d.String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	p, err := ParseDate(string(b))
	if err != nil {
		return err
	}
	*d = p
	return nil
}

// Clock is a wall-clock time in minutes after midnight, 0 to 1439.
type Clock int

// ParseClock reads "HH:MM" on the 24-hour clock, "00:00" to "23:59".
func ParseClock(s string) (Clock, error) {
	if len(s) == len("15:04") && s[2] == ':' && min(s[0], s[1], s[3], s[4]) >= '0' && max(s[0], s[1], s[3], s[4]) <= '9' {
		hour, minute := 10*int(s[0]-'0')+int(s[1]-'0'), 10*int(s[3]-'0')+int(s[4]-'0')
		if hour < 24 && minute < 60 {
			return Clock(hour*60 + minute), nil
		}
	}
	return 0, fmt.Errorf("time %q: want HH:MM between 00:00 and 23:59", strings.Clone(s))
}

// MustClock is ParseClock for constants and tests; it panics on a bad time.
func MustClock(s string) Clock {
	c, err := ParseClock(s)
	if err != nil {
		panic(err)
	}
	return c
}

// ClockOf returns the wall-clock time of t in t's own location, seconds cut off.
func ClockOf(t time.Time) Clock { return Clock(t.Hour()*60 + t.Minute()) }

// String returns "HH:MM".
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

// MarshalText writes "HH:MM".
func (c Clock) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads "HH:MM".
func (c *Clock) UnmarshalText(b []byte) error {
	p, err := ParseClock(string(b))
	if err != nil {
		return err
	}
	*c = p
	return nil
}

// At returns the instant at which a wall clock in loc shows c on date d.
//
// When the clock jumps over that time, the result is the first valid minute
// after the gap; when the clock shows it twice, the result is the first of the
// two. Both rules keep a reminder to exactly one firing.
func At(d Date, c Clock, loc *time.Location) time.Time {
	want := time.Date(d.Year, d.Month, d.Day, int(c)/60, int(c)%60, 0, 0, time.UTC)
	// Every instant that could show this wall time lies within the offsets in
	// force a day before and a day after.
	var best time.Time
	for _, probe := range []time.Time{want.AddDate(0, 0, -1), want.AddDate(0, 0, 1)} {
		_, off := probe.In(loc).Zone()
		t := want.Add(-time.Duration(off) * time.Second).In(loc)
		if DateOf(t) == d && ClockOf(t) == c && (best.IsZero() || t.Before(best)) {
			best = t
		}
	}
	if !best.IsZero() {
		return best
	}
	return afterGap(want, loc)
}

// afterGap returns the first instant whose wall clock in loc is later than
// want, where want falls in a gap.
func afterGap(want time.Time, loc *time.Location) time.Time {
	lo := want.Add(-36 * time.Hour).Unix() // wall clock certainly before the gap
	hi := want.Add(36 * time.Hour).Unix()  // and certainly after it
	wall := func(sec int64) int64 {
		_, off := time.Unix(sec, 0).In(loc).Zone()
		return sec + int64(off)
	}
	for hi-lo > 1 {
		mid := lo + (hi-lo)/2
		if wall(mid) < want.Unix() {
			lo = mid
		} else {
			hi = mid
		}
	}
	return time.Unix(hi, 0).In(loc)
}

// AtNight returns the instant at which a wall clock in loc shows c within the
// night d: on date d from 12:00 on, on the following date before 12:00.
func AtNight(d Date, c Clock, loc *time.Location) time.Time {
	if c < NightStarts {
		d = d.AddDays(1)
	}
	return At(d, c, loc)
}
