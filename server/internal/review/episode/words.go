package episode

import (
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

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
	what := loggedAs(e, nobody)
	if e.Kind == care.Symptoms {
		what = "the report"
		if head := Of([]care.Entry{*e}).Headline; head != "" {
			what += " “" + head + "”"
		}
	}
	text := "Took back or changed " + what + " of " + WrittenAt(e).Format("2 January 2006, 15:04") + ". That alone lets no lens in."
	if why != "" {
		text += " “" + why + "”"
	}
	return text
}
