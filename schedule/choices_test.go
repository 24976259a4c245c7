package schedule_test

import (
	"strings"
	"testing"

	"nightkeep/schedule"
)

// What the family chooses stands over the plan, but a plan alone never puts
// plain words on a locked phone: the family must choose them.
func TestChoicesOverThePlan(t *testing.T) {
	t.Parallel()
	never, half := 0, 30
	for _, c := range []struct {
		name  string
		plan  schedule.Plan
		over  schedule.Choices
		first string
		after int
		words string
	}{
		{"nothing chosen", schedule.Plan{RemindFirst: "teen", ParentAfterMinutes: 45}, schedule.Choices{}, "teen", 45, "neutral"},
		{"the plan says plain", schedule.Plan{RemindFirst: "parent", LockScreenWords: "plain"}, schedule.Choices{}, "parent", 0, "neutral"},
		{"the family says plain", schedule.Plan{RemindFirst: "parent"}, schedule.Choices{LockScreenWords: "plain"}, "parent", 0, "plain"},
		{"teen, then a parent", schedule.Plan{RemindFirst: "parent"}, schedule.Choices{RemindFirst: "teen", ParentAfterMinutes: &half}, "teen", 30, "neutral"},
		{"never the parent", schedule.Plan{RemindFirst: "teen", ParentAfterMinutes: 45}, schedule.Choices{ParentAfterMinutes: &never}, "teen", 0, "neutral"},
	} {
		got := c.over.Over(c.plan)
		if got.RemindFirst != c.first || got.ParentAfterMinutes != c.after || got.LockScreenWords != c.words {
			t.Errorf("%s: got %s, %d, %s", c.name, got.RemindFirst, got.ParentAfterMinutes, got.LockScreenWords)
		}
	}
}

// What the family turned off stays off beside what the plan has; what keeps a lens
// from being forgotten in an eye cannot be turned off.
func TestFamilyTurnsARemindersKindOff(t *testing.T) {
	t.Parallel()
	got := schedule.Choices{Off: []string{"case"}}.Over(schedule.Plan{Off: []string{"acuity"}}).Off
	if len(got) != 2 || got[0] != "acuity" || got[1] != "case" {
		t.Errorf("off are %v, want acuity and case", got)
	}
	for _, id := range []string{"removal", "insertion", "care", "spectacles", "recall", "sync", "nothing"} {
		if err := (schedule.Choices{Off: []string{id}}).Check(); err == nil || !strings.Contains(err.Error(), "off[0]") {
			t.Errorf("%s may be turned off: %v", id, err)
		}
	}
}

func TestChoicesNameEveryFault(t *testing.T) {
	t.Parallel()
	long := 241
	err := schedule.Choices{RemindFirst: "dog", ParentAfterMinutes: &long, LockScreenWords: "loud"}.Check()
	for _, field := range []string{"remind_first", "parent_after_minutes", "lock_screen_words"} {
		if err == nil || !strings.Contains(err.Error(), field) {
			t.Errorf("%s is not named in %v", field, err)
		}
	}
	if err := (schedule.Choices{}).Check(); err != nil {
		t.Errorf("nothing chosen is refused: %v", err)
	}
}
