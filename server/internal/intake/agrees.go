package intake

import (
	"encoding/json"
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
)

// draftWords is what Agrees reads of a draft. Of a body that is not of its kind it reads
// nothing: [Say] refuses that.
type draftWords struct {
	Eyes      string `json:"eyes"`
	Basis     string `json:"basis"`
	Phrase    string `json:"phrase"`
	Cancelled bool   `json:"cancelled"`
}

// noLens are the phrases of the console that tell a family to wear no lens.
var noLens = []string{"wait-visit", "seen-rest"}

// Agrees holds what closes an alert against itself. wear is where the eyes stand
// before it, booked says whether a visit is booked from tonight on. Errors are Invalid
// with the field: a word of no lens beside a resume, a word about a booked visit
// without one, and an eye that stays stopped with neither a visit nor a date of
// review.
func (s Saying) Agrees(wear care.Wear, booked bool) error {
	drafts := make([]draftWords, len(s.Entries))
	var resumed, dated []string
	for i, d := range s.Entries {
		_ = json.Unmarshal(d.Body, &drafts[i])
		switch d.Kind {
		case care.Resume:
			resumed = append(resumed, drafts[i].Eyes)
		case care.Cease:
			dated = append(dated, drafts[i].Eyes)
		case care.Visit:
			booked = booked || !drafts[i].Cancelled
		}
	}
	for i, d := range s.Entries {
		if err := drafts[i].agrees(d.Kind, i, len(resumed) > 0, booked); err != nil {
			return err
		}
	}
	for _, eye := range []string{"right", "left"} {
		names := func(eyes string) bool { return eyes == eye || eyes == "both" }
		if wear.Eye(eye).State == care.Stop && !booked && !slices.ContainsFunc(slices.Concat(resumed, dated), names) {
			return care.Refuse("no-review", "entries", "the %s eye stays stopped: want a visit, or a stop with a date of review, for it too", eye)
		}
	}
	return nil
}

func (d draftWords) agrees(kind care.EntryKind, i int, resumes, booked bool) error {
	at := fmt.Sprintf("entries.%d.body.", i)
	switch {
	case kind == care.Word && resumes && slices.Contains(noLens, d.Phrase):
		return care.Refuse("word-against-resume", at+"phrase",
			"the word to the family says no lens, and lenses are allowed again: choose another word, or leave the stop")
	case kind == care.Word && d.Phrase == "wait-visit" && !booked:
		return care.Refuse("no-visit", at+"phrase", "the word to the family is about a booked visit, and none is booked: book one, or choose another word")
	}
	return nil
}
