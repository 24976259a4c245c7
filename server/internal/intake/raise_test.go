package intake_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/alerts"
	"nightkeep/server/internal/intake"
)

// Intake leaves out the rules about the record for entries that cannot change
// them. It knows which by the signs those rules look at: the rule table itself
// is the outside source.
func TestUrgentSignsAreThoseOfTheTable(t *testing.T) {
	t.Parallel()
	var found []alerts.Sign
	var walk func(c alerts.Cond)
	walk = func(c alerts.Cond) {
		if c.Sign != "" && !slices.Contains(found, c.Sign) {
			found = append(found, c.Sign)
		}
		for _, x := range slices.Concat(c.All, c.Any) {
			walk(x)
		}
		if c.Not != nil {
			walk(*c.Not)
		}
		if c.Nights != nil {
			walk(c.Nights.Where)
		}
	}
	for _, r := range alerts.Default().Rules {
		if r.About == "record" && (r.Level >= alerts.Urgent || r.Mark >= alerts.MarkRest) {
			walk(r.When)
		}
	}
	slices.Sort(found)
	if d := cmp.Diff(found, intake.UrgentSigns()); d != "" {
		t.Errorf("signs of the table and of intake differ; change intake's mayRaise with them (-table +intake):\n%s", d)
	}
}
