package care

import (
	"strings"
	"time"

	"nightkeep/schedule/civil"
)

// Claim is a decision about wear that a phone of the family holds and that carries no
// proof of this data file: the file was put back from a backup of before its key, or the
// phone made it up. It is what a phone says, and nothing more.
type Claim struct {
	ID       EntryID    `json:"id"`
	Kind     EntryKind  `json:"kind" enum:"cease,resume"`
	By       string     `json:"by"` // the name that it gives
	On       civil.Date `json:"on"` // the date on which it says that it was written
	Night    civil.Date `json:"night"`
	Eyes     []string   `json:"eyes"`
	Begins   civil.Date `json:"begins,omitzero"`    // of a cease: the first night it holds for
	ReviewBy civil.Date `json:"review_by,omitzero"` // of a cease
	From     civil.Date `json:"from,omitzero"`      // of a resume
	Check    bool       `json:"check,omitempty"`
	Text     string     `json:"text,omitempty"`
	At       time.Time  `json:"at"` // when it was handed in first
	// Dismissed is when a clinician put it away, and DismissedBy who.
	Dismissed   time.Time `json:"dismissed,omitzero"`
	DismissedBy PersonID  `json:"dismissed_by,omitempty"`
}

// What is kept of a claim, in characters (ours: the longest text of a cease, and a name).
const (
	maxClaimText = 500
	maxClaimName = 80
)

// ClaimOf returns what a phone hands in as a decision of the practice.
func ClaimOf(e *Entry, at time.Time) Claim {
	f := e.WearFact()
	c := Claim{ID: e.ID, Kind: e.Kind, By: clip(e.ByName, maxClaimName), Night: e.Night, Eyes: f.Eyes, Begins: f.Begins, From: f.From, Check: f.Check, At: at}
	c.On = e.Night
	if len(e.Wall) >= len("2006-01-02") {
		if d, err := civil.ParseDate(e.Wall[:len("2006-01-02")]); err == nil {
			c.On = d
		}
	}
	if e.Kind == Cease {
		c.ReviewBy = e.ReviewBy()
	}
	if text, ok := word(e.Answer("text")); ok {
		c.Text = clip(text, maxClaimText)
	}
	return c
}

func clip(s string, most int) string {
	r := []rune(strings.TrimSpace(s))
	return string(r[:min(len(r), most)])
}

// WearFact is what a claim has to say of wear: that of a stop holds a lens back as it does
// on the phone, until a release lists it; a release proves nothing.
func (c *Claim) WearFact() WearFact {
	return WearFact{ID: c.ID, Kind: Cease, Night: c.Night, State: "refused", Eyes: c.Eyes, Begins: c.Begins}
}
