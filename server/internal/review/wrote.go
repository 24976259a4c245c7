package review

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// wroteDays is for how many days the words of a family ask for a call after they
// were read, from when the practice received them; common practice.
const wroteDays = 14

// FamilyWords are something that a family wrote in its own words, or that it took
// back a report or a log that rests or stops: a person of the practice has to read
// it.
type FamilyWords struct {
	Entry     care.EntryID `json:"entry"`
	Text      string       `json:"text"`
	By        string       `json:"by"`             // who wrote it
	At        time.Time    `json:"at"`             // receipt, server clock
	On        civil.Date   `json:"on"`             // the practice's calendar date of At
	TakenBack bool         `json:"taken_back"`     // by the family, since
	Private   bool         `json:"private"`        // for clinicians alone: the text is asked for by itself
	Read      *time.Time   `json:"read,omitempty"` // when somebody of the practice marked it as read; absent: nobody has
	ReadBy    string       `json:"read_by,omitempty"`
}

// TookBack says that the family took back an entry which rests or stops, and why.
func TookBack(e *care.Entry, why string) string {
	what := loggedAs(e, false)
	if e.Kind == care.Symptoms {
		what = "the report"
		if head := EpisodeOf([]care.Entry{*e}).Headline; head != "" {
			what += " “" + head + "”"
		}
	}
	text := "Took back or changed " + what + " of " + writtenAt(e).Format("2 January 2006, 15:04") + ". It still holds the lenses back."
	if why != "" {
		text += " “" + why + "”"
	}
	return text
}

// wrote holds while the family wrote something in its own words that nobody of the
// practice has read, or that nobody called about since. The evidence has all of it,
// newest first.
func wrote(c *callState) *Reason {
	waiting := slices.DeleteFunc(slices.Clone(c.Wrote), func(w FamilyWords) bool {
		return w.Read != nil && (c.today.DaysSince(w.On) > wroteDays || c.answered(w))
	})
	if len(waiting) == 0 {
		return nil
	}
	slices.SortStableFunc(waiting, func(a, b FamilyWords) int { return b.At.Compare(a.At) })
	var said []string
	for _, w := range waiting {
		text := "“" + w.Text + "”"
		if w.Read == nil {
			text += " (nobody has read it)"
		}
		said = append(said, w.On.String()+": "+text)
	}
	return &Reason{Text: "You wrote to us. How is it now?", Evidence: strings.Join(said, "; "), Since: waiting[len(waiting)-1].On, Words: waiting}
}

// answered reports whether somebody dealt with the words after they came: for
// good when the family was spoken to or needs no call, else until the day named.
func (c *callState) answered(w FamilyWords) bool {
	return slices.ContainsFunc(c.Done, func(f FollowUp) bool {
		done := slices.Contains([]string{"spoken-to", "visit-booked", "not-needed"}, f.Outcome) || c.today.Before(f.Until)
		return f.Rule == "wrote" && !w.At.After(f.At) && done
	})
}

// words are those of the family, newest first.
func (s *state) words() []FamilyWords {
	out := []FamilyWords{}
	if s.in.Call == nil {
		return out
	}
	for _, w := range slices.Backward(s.in.Call.Wrote) {
		out = append(out, w)
	}
	return out
}

// WearBefore is the reason to look at a red flag that was closed before decisions
// about wear were kept: then closing freed the lenses, whatever it was closed with.
// A clinician confirms once, by a follow-up of this reason.
const WearBefore = "wear-before"

func closedBefore(c *callState) *Reason {
	if c.Before == nil {
		return nil
	}
	on := civil.DateOf(c.Before.ClosedAt)
	return &Reason{
		Text: "Before you last had trouble with an eye we stopped the lenses. Who told you that they may be worn again?",
		Evidence: fmt.Sprintf("%s, %s, closed %s with “%s”; for a clinician to confirm here that lenses may be worn, or to stop them on the wearer's page",
			c.Before.Title, c.Before.Level, on, outcomeTitle(c.Before.Outcome)),
		Since: on,
	}
}

func outcomeTitle(key string) string {
	if o, ok := OutcomeOf(key); ok {
		return o.Title
	}
	return key
}
