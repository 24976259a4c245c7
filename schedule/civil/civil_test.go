package civil_test

import (
	"encoding/json"
	"os"
	"testing"
	"time"
	_ "time/tzdata"

	"nightkeep/schedule/civil"
)

type vectors struct {
	Instants []struct {
		Zone, Date, Clock, Kind string
		UTC                     time.Time
	}
	Months []struct {
		Date   civil.Date
		Months int
		Want   civil.Date
	}
	Days []struct {
		Date    civil.Date
		Days    int
		Want    civil.Date
		Weekday time.Weekday
	}
	Nights []struct {
		Zone  string
		UTC   time.Time
		Night civil.Date
	}
}

// load reads expectations made by other libraries; the file names them.
func load(t *testing.T) vectors {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/civil/civil.json")
	if err != nil {
		t.Fatal(err)
	}
	var v vectors
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Instants) < 600 || len(v.Months) < 10 || len(v.Days) < 10 || len(v.Nights) < 200 {
		t.Fatal("vectors are missing")
	}
	return v
}

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func TestAt(t *testing.T) {
	t.Parallel()
	kinds := map[string]int{}
	for _, v := range load(t).Instants {
		got := civil.At(civil.MustDate(v.Date), civil.MustClock(v.Clock), zone(t, v.Zone))
		if !got.Equal(v.UTC) {
			t.Errorf("%s %s in %s (%s): got %s, want %s", v.Date, v.Clock, v.Zone, v.Kind, got.UTC(), v.UTC)
		}
		kinds[v.Kind]++
	}
	if kinds["gap"] < 100 || kinds["twice"] < 100 {
		t.Errorf("want at least 100 of each change of the clock, got %v", kinds)
	}
}

func TestArithmetic(t *testing.T) {
	t.Parallel()
	v := load(t)
	for _, m := range v.Months {
		if got := m.Date.AddMonths(m.Months); got != m.Want {
			t.Errorf("%s plus %d months: got %s, want %s", m.Date, m.Months, got, m.Want)
		}
	}
	for _, d := range v.Days {
		if got := d.Date.AddDays(d.Days); got != d.Want {
			t.Errorf("%s plus %d days: got %s, want %s", d.Date, d.Days, got, d.Want)
		}
		if got := d.Want.DaysSince(d.Date); got != d.Days {
			t.Errorf("days from %s to %s: got %d, want %d", d.Date, d.Want, got, d.Days)
		}
		if got := d.Date.Weekday(); got != d.Weekday {
			t.Errorf("weekday of %s: got %s, want %s", d.Date, got, d.Weekday)
		}
	}
}

func TestNightOf(t *testing.T) {
	t.Parallel()
	for _, v := range load(t).Nights {
		if got := civil.NightOf(v.UTC, zone(t, v.Zone)); got != v.Night {
			t.Errorf("night of %s in %s: got %s, want %s", v.UTC, v.Zone, got, v.Night)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"", "2026-02-30", "2026-2-3", "20260203", "2026-02-03 ", "2026-13-01", "0000-00-00"} {
		if d, err := civil.ParseDate(s); err == nil {
			t.Errorf("date %q: got %s, want an error", s, d)
		}
	}
	for _, s := range []string{"", "24:00", "7:30", "07:60", "07.30", "07:30:00", "-1:00"} {
		if c, err := civil.ParseClock(s); err == nil {
			t.Errorf("clock %q: got %s, want an error", s, c)
		}
	}
}

func TestJSONRoundTrip(t *testing.T) {
	t.Parallel()
	type both struct {
		D civil.Date
		C civil.Clock
	}
	for _, in := range []string{`{"D":"2026-03-29","C":"02:30"}`, `{"D":"","C":"00:00"}`} {
		var b both
		if err := json.Unmarshal([]byte(in), &b); err != nil {
			t.Fatal(err)
		}
		if out, err := json.Marshal(b); err != nil || string(out) != in {
			t.Errorf("got %s, %v; want %s", out, err, in)
		}
	}
}

// Days are counted as Go's own calendar counts them, over a whole cycle of 400
// years and across the year 0, and for the zero Date too.
func TestDaysSinceAgreesWithTheLibrary(t *testing.T) {
	t.Parallel()
	first := time.Date(1899, 12, 31, 12, 0, 0, 0, time.UTC)
	for n := range 401 * 366 {
		d := first.AddDate(0, 0, n)
		if got := civil.DateOf(d).DaysSince(civil.DateOf(first)); got != n {
			t.Fatalf("%s is %d days after %s, got %d", civil.DateOf(d), n, civil.DateOf(first), got)
		}
	}
	for _, d := range []civil.Date{{}, {Year: -3, Month: 2, Day: 28}, {Year: -4, Month: 2, Day: 29}, {Year: 0, Month: 3, Day: 1}, {Year: -401, Month: 12, Day: 31}} {
		noon := time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC)
		if got, want := civil.DateOf(first).DaysSince(d), int((first.Unix()-noon.Unix())/86400); got != want {
			t.Errorf("%+v: got %d, want %d", d, got, want)
		}
	}
}
