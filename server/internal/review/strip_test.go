package review_test

import (
	"strings"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// A line of the list says of the same nights what the review says, also of those
// written from memory and those under a stop. Only the entries that [review.InTime]
// leaves open are read for it.
func TestStripAgreesWithTheReview(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-03", "21:00", "07:00")
	d.worn("2026-11-04", "02:00", "05:00")
	d.missed("2026-11-05", "ill")
	d.worn("2026-11-07", "21:00", "07:00")
	d.write("2026-11-07", "care", `{"tap_water":true}`, "")
	d.worn("2026-11-08", "21:00", "07:00")
	d.missed("2026-11-08", "tired")
	d.write("2026-11-08", "care", `{"water_contact":true}`, "")                // a swim with the lenses in
	for _, night := range []string{"2026-11-09", "2026-11-10", "2026-11-11"} { // written on the 14th: three at once
		d.write(night, "insertion", `{"at":"21:00","eyes":"both"}`, "2026-11-14T20:00")
		d.write(night, "removal", `{"at":"07:00","eyes":"both"}`, "2026-11-14T20:00")
	}
	d.missed("2026-11-12", "told-to-stop")
	in := d.over("2026-11-03", "2026-11-15", plan("2026-11-03"))
	in.Wear = []care.WearFact{ceased("2026-11-12", "right", "left")}
	var read []*care.Entry
	for _, n := range in.Nights {
		for _, e := range d.entries {
			if e.Night == n.Date {
				read = append(read, e)
				if review.InTime(e) {
					break
				}
			}
		}
	}
	if len(read) == len(d.entries) {
		t.Error("every entry was read")
	}
	strip, wear := review.StripOf("w1", in.Wear, in.Nights, read, in.Plans, in.Today, 14)
	if strip != "--wsx.WDmmmttt" {
		t.Errorf("%q", strip)
	}
	sum := review.Summarise(in)
	if wear != sum.Wear {
		t.Errorf("the list counts %+v, the review %+v", wear, sum.Wear)
	}
	for _, n := range sum.Nights {
		c := strip[n.Night.DaysSince(in.Today.AddDays(-14))]
		if n.Memory != (c == 'm') || (n.Held != "") != (c == 't') {
			t.Errorf("%s is %q in the list; in the review from memory %v, held %q", n.Night, c, n.Memory, n.Held)
		}
	}
}

// One history, one count: a night on which the lenses were rinsed with tap water is
// a water night in Today, in the review and in the strip, also when the question
// about tap water was answered no. Counted by hand.
func TestTapWaterCountsAlikeEverywhere(t *testing.T) {
	t.Parallel()
	today := civil.MustDate("2026-11-25")
	in, d := steady(t, today.String())
	d.lapse("2026-11-19") // not worn, and the case rinsed at the tap
	for night, body := range map[string]string{
		"2026-11-03": `{"rinse":"tap-water","tap_water":false}`,
		"2026-11-07": `{"rinse":"tap-water"}`,
		"2026-11-11": `{"rinse":"solution","tap_water":true}`,
		"2026-11-15": `{"rinse":"solution","tap_water":false}`, // none
		"2026-11-19": `{"rinse":"tap-water","tap_water":false}`,
		"2026-11-21": `{"tap_water":false}`, // two entries: the worse counts
	} {
		d.write(night, "care", body, "")
	}
	d.write("2026-11-21", "care", `{"rinse":"tap-water"}`, "")
	const want = 5
	d.logged(&in)
	calls := review.NeedsCall(today, []review.CallInput{in}).Calls
	if len(calls) != 1 || !strings.Contains(calls[0].Reasons[0].Evidence, "tap water on 5 nights") {
		t.Errorf("Today says %+v", calls)
	}
	over := d.over("2026-10-28", today.String(), in.Plan)
	over.Wear = []care.WearFact{}
	for _, row := range review.Summarise(over).Care {
		if row.Item == "tap_water" && (row.Share.NotDone != want || len(row.Nights) != want || strings.Count(row.Marks, "n") != want) {
			t.Errorf("the review counts %+v", row)
		}
	}
	strip, _ := review.StripOf("w1", over.Wear, over.Nights, d.entries, over.Plans, today, 28)
	capitals := 0
	for _, c := range strip {
		if c >= 'A' && c <= 'Z' {
			capitals++
		}
	}
	if capitals != want {
		t.Errorf("the strip marks %d nights: %q", capitals, strip)
	}
}

// Tap water on a night about which nothing else was logged is marked too.
func TestStripMarksTapWaterOfANightNotLogged(t *testing.T) {
	t.Parallel()
	d := newDiary(t)
	d.worn("2026-11-03", "21:00", "07:00")
	d.write("2026-11-04", "care", `{"rinse":"tap-water"}`, "")
	in := d.over("2026-11-03", "2026-11-06", plan("2026-11-03"))
	strip, _ := review.StripOf("w1", []care.WearFact{}, in.Nights, d.entries, in.Plans, in.Today, 3)
	if strip != "wN." {
		t.Errorf("%q", strip)
	}
}
