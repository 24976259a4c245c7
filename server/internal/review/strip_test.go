package review_test

import (
	"testing"

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
	if strip != "--wsx.Wdmmmttt" {
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
