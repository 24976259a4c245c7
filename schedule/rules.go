package schedule

// ruleIDs are the reminders this program knows, in the order of the day.
var ruleIDs = []string{
	"removal", "care", "spectacles", "deposit-removal",
	"evening-sight", "acuity", "case", "bottle", "drops", "lens", "holder", "recall", "sync",
	"insertion",
}
