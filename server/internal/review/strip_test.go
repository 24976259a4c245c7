package review_test

import (
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// A line of the list says of the same nights what the review says.
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
	in := d.over("2026-11-03", "2026-11-09", plan("2026-11-03"))
	strip, wear := review.StripOf("w1", nil, care.Fold(d.entries), in.Plans, civil.MustDate("2026-11-09"), 8)
	if strip != "--wsx.Wd" {
		t.Errorf("%q", strip)
	}
	if sum := review.Summarise(in); wear != sum.Wear {
		t.Errorf("the list counts %+v, the review %+v", wear, sum.Wear)
	}
}
