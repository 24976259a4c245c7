package review_test

import (
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
)

// Three weeks of full nights: published courses reach the full effect in one
// to two weeks (Soni 2003; Sánchez-García 2024), so clear evenings are on
// course and evenings blurred throughout are behind. The effect only fades
// without lenses, so each missed night leaves no less short-sightedness.
func TestOutlook(t *testing.T) {
	t.Parallel()
	const first = "2026-11-01"
	for _, c := range []struct {
		name, rating string // of every evening; empty for none
		baselines    [2]float64
		nights       int
		want         string // empty for no outlook
	}{
		{"clear evenings", "5", [2]float64{-3, -2.5}, 20, "on-course"},
		{"blurred evenings", "1", [2]float64{-3, -2.5}, 20, "behind"},
		{"refraction before treatment not known", "5", [2]float64{0, 0}, 20, ""},
		{"two nights", "5", [2]float64{-3, -3}, 2, "not-enough"},
		{"no evening rated", "", [2]float64{-3, -3}, 20, "not-enough"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDiary(t)
			for i := range c.nights {
				n := nightAfter(first, i)
				d.worn(n, "22:00", "07:00")
				if c.rating != "" {
					d.write(n, "evening-sight", `{"rating":`+c.rating+`,"hours_since_removal":12}`, n+"T19:00")
				}
			}
			p := plan(first)
			p.BaselineRight, p.BaselineLeft = c.baselines[0], c.baselines[1]
			got := review.OutlookOf(d.over(first, civil.MustDate(first).AddDays(c.nights).String(), p))
			switch {
			case c.want == "" || got == nil:
				if got != nil || c.want != "" {
					t.Fatalf("got %+v, want %q", got, c.want)
				}
			case got.Status != c.want:
				t.Fatalf("got %+v, want %s", got, c.want)
			case c.want == "not-enough" && (got.ClearHigh != 0 || got.AfterOne != 0):
				t.Errorf("figures without enough data: %+v", got)
			case c.want != "not-enough" && !(got.ClearLow <= got.ClearHigh && got.ClearHigh <= 24 && got.AfterTwo <= got.AfterOne && got.AfterOne < 0):
				t.Errorf("figures that cannot be: %+v", got)
			}
		})
	}
}
