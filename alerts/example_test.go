package alerts_test

import (
	"fmt"

	"nightkeep/alerts"
)

// A red eye alone is urgent; an unanswered question is said to be unknown.
func ExampleTable_Triage() {
	o := alerts.Default().Triage(alerts.Report{
		Right: map[string]string{"redness": "mild", "lens": "in"},
	})
	fmt.Println(o.Level, o.CouldBe, o.Unknown, o.Actions[0])
	// Output: urgent emergency true lenses-out
}
