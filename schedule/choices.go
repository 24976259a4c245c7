package schedule

import (
	"errors"
	"fmt"
	"slices"
)

// Choices is what a family decides about its reminders, over what the plan
// says. The zero value chooses nothing: the plan says who is reminded first,
// and a locked phone shows neutral words.
type Choices struct {
	RemindFirst string `json:"remind_first"` // teen, parent, or empty for the plan's
	// ParentAfterMinutes is when a teen's unanswered reminder of a night goes to
	// the parents too, 0: never; nil: as the plan says.
	ParentAfterMinutes *int `json:"parent_after_minutes"`
	// LockScreenWords is neutral, plain, or empty for neutral. The plan cannot
	// choose plain: only the family knows who looks at its phones.
	LockScreenWords string `json:"lock_screen_words"`
	// Off are ids of reminders the family does not want, of those in [MayBeOff].
	Off []string `json:"off"`
	// Own are the family's own times; nil: the plan's.
	Own *Own `json:"own,omitempty"`
}

// MayBeOff returns the ids of the reminders that a family may turn off: none of
// them is about a lens in an eye, cleaning it, a visit, or a log that waits
// (our own choice).
func MayBeOff() []string {
	return []string{"evening-sight", "acuity", "deposit-removal", "case", "bottle", "drops", "lens", "holder"}
}

// MayBeMuted returns the ids of the reminders that one person may leave to the
// others of the family: all that the server says. What nobody else would hear is
// said to that person all the same.
func MayBeMuted() []string {
	return slices.DeleteFunc(slices.Clone(ruleIDs), func(id string) bool { return id == "sync" })
}

// Check returns every fault of the choices, each naming its field.
func (c Choices) Check() error {
	var faults []error
	if c.RemindFirst != "" && !slices.Contains(firstWords, c.RemindFirst) {
		faults = append(faults, errors.New("remind_first: want teen or parent"))
	}
	if m := c.ParentAfterMinutes; m != nil && (*m < 0 || *m > 240) {
		faults = append(faults, fmt.Errorf("parent_after_minutes: want 0 to 240 minutes"))
	}
	if c.LockScreenWords != "" && !slices.Contains(lockWords, c.LockScreenWords) {
		faults = append(faults, errors.New("lock_screen_words: want neutral or plain"))
	}
	for i, id := range c.Off {
		if !slices.Contains(MayBeOff(), id) {
			faults = append(faults, fmt.Errorf("off[%d]: no reminder %q may be turned off; want one of %v", i, id, MayBeOff()))
		}
	}
	return errors.Join(faults...)
}

// Over returns the plan as the family's reminders go by it. Own times that a
// newer plan leaves no room for are left out: the plan's are said then.
func (c Choices) Over(p Plan) Plan {
	if c.RemindFirst != "" {
		p.RemindFirst = c.RemindFirst
	}
	if c.ParentAfterMinutes != nil {
		p.ParentAfterMinutes = *c.ParentAfterMinutes
	}
	p.LockScreenWords = "neutral"
	if c.LockScreenWords != "" {
		p.LockScreenWords = c.LockScreenWords
	}
	p.Off = slices.Concat(p.Off, c.Off)
	if c.Own != nil && c.Own.Check(p) == nil {
		p = c.Own.over(p)
	}
	return p
}
