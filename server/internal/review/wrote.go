package review

import (
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// wroteDays is for how many days the words of a family ask for a call, from
// when the practice received them; common practice.
const wroteDays = 14

// FamilyWords are a note of the family, or its answer to a word of the practice.
type FamilyWords struct {
	Entry care.EntryID
	Text  string
	At    time.Time  // receipt, server clock
	On    civil.Date // the practice's calendar date of At
}

// wrote holds while the family wrote something in its own words that nobody
// called about since. The evidence has all of it, newest first.
func wrote(c *callState) *Reason {
	waiting := slices.DeleteFunc(slices.Clone(c.Wrote), func(w FamilyWords) bool {
		return c.today.DaysSince(w.On) > wroteDays || c.answered(w)
	})
	if len(waiting) == 0 {
		return nil
	}
	slices.SortStableFunc(waiting, func(a, b FamilyWords) int { return b.At.Compare(a.At) })
	var said []string
	for _, w := range waiting {
		said = append(said, w.On.String()+": “"+w.Text+"”")
	}
	return &Reason{Text: "You wrote to us. How is it now?", Evidence: strings.Join(said, "; "), Since: waiting[len(waiting)-1].On}
}

// answered reports whether somebody dealt with the words after they came: for
// good when the family was spoken to or needs no call, else until the day named.
func (c *callState) answered(w FamilyWords) bool {
	return slices.ContainsFunc(c.Done, func(f FollowUp) bool {
		done := slices.Contains([]string{"spoken-to", "visit-booked", "not-needed"}, f.Outcome) || c.today.Before(f.Until)
		return f.Rule == "wrote" && !w.At.After(f.At) && done
	})
}
