package intake

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// draftWords is what Agrees reads of a draft. Of a body that is not of its kind it reads
// nothing: [Say] refuses that.
type draftWords struct {
	Eyes      string         `json:"eyes"`
	Basis     string         `json:"basis"`
	Phrase    string         `json:"phrase"`
	Cancelled bool           `json:"cancelled"`
	From      string         `json:"from"`
	Answers   []care.EntryID `json:"answers"`
}

// of reports whether it is about an eye.
func (d draftWords) of(eye string) bool { return d.Eyes == eye || d.Eyes == "both" }

// noLens are the phrases of the console that tell a family to wear no lens, or that an
// eye is ill: of them none names an eye, so none goes beside a release.
var noLens = []string{"wait-visit", "seen-rest", "referred", "treated"}

// noLensWords find a word of no lens in what a person writes, in the languages of the
// app.
var noLensWords = regexp.MustCompile(`(?i)\b(no|without( the)?|not( wear| put in)?( any| the)?) lens(es)?\b|\blens(es)? out\b|\bsin lentes?\b|\bno (use|lleve|ponga|se ponga) (la |las )?lentes?\b|不要?戴|勿戴|停戴|禁止?佩戴|لا تضع|لا عدس|بلا عدس|بدون عدس`)

// wordsAgree refuses words of no lens beside a resume that leaves no eye stopped.
func (s Saying) wordsAgree() error {
	stays := slices.ContainsFunc(s.Entries, func(d Draft) bool { return d.Kind == care.Cease })
	for i, d := range s.Entries {
		var words struct{ Text, Phrase string }
		if d.Kind != care.Word || json.Unmarshal(d.Body, &words) != nil {
			continue
		}
		at := fmt.Sprintf("entries.%d.body.", i)
		if slices.Contains(noLens, words.Phrase) {
			return care.Refuse("word-against-resume", at+"phrase",
				"the word to the family says no lens, or that the eye is being treated, and lenses are allowed again: choose another word, or leave the stop")
		}
		if !stays && noLensWords.MatchString(words.Text) {
			return care.Refuse("word-against-resume", at+"text",
				"your own words to the family say no lens, and lenses are allowed again in every eye: put one of the two right")
		}
	}
	return nil
}

// mayRelease refuses to release a wearer from an emergency that nobody has taken, and
// from an emergency or an urgent report about which nobody has examined the eye or
// spoken to the family, also once its alert is closed.
func mayRelease(tx *store.Tx, w care.WearerID, draft draftWords, at string) error {
	list, err := tx.Duty().WearerAlerts(w)
	for _, a := range list {
		switch {
		case a.Drill || !a.Level.RedFlag() || !a.Live() && !lifts(&a, draft.Answers):
		case a.Level == escalate.Emergency && a.State == escalate.Open:
			return care.Refuse("not-taken", at+"basis", "this is an emergency that nobody has: take it first, then decide about lenses")
		case draft.Basis != "examined" && draft.Basis != "examined-elsewhere" && a.Spoken().IsZero():
			return care.Refuse("not-spoken", at+"basis",
				"lenses again wants an examination, or a call that reached the family, logged since this was reported")
		}
	}
	return err
}

// lifts reports whether a resume lifts what an alert came from, or a stop that one of its
// closings wrote.
func lifts(a *escalate.Alert, answers []care.EntryID) bool {
	of := slices.Concat(a.Entries(), a.Decided)
	for _, k := range a.Closings {
		of = append(of, k.Said...)
	}
	return slices.ContainsFunc(answers, func(id care.EntryID) bool { return slices.Contains(of, id) })
}

// endStays refuses a resume that lifts the end of wear, or that is of a night on which
// wear has ended: a new course does that, or the end taken back, with its plan.
func endStays(tx *store.Tx, w care.WearerID, draft draftWords, at string) error {
	tonight := Tonight(tx, w)
	facts := tx.Log().WearFacts(w)
	ahead := care.Ahead(facts, tonight)
	for _, f := range facts {
		if f.Over && (slices.Contains(draft.Answers, f.ID) || slices.Contains(ahead, f.ID) && draft.From >= f.Begins.String()) {
			return care.Refuse("wear-ended", at+"from",
				"wear has ended, or ends before that night: begin a new course first, or take the end back, under “Lenses”")
		}
	}
	return nil
}

// Agrees holds what closes an alert against itself. wear is where the eyes stand
// before it, booked says whether a visit is booked from tonight on. Errors are Invalid
// with the field: a word of no lens beside a resume, a word about a booked visit
// without one, and an eye that stays stopped with neither a visit nor a date of
// review.
func (s Saying) Agrees(wear care.Wear, booked bool) error {
	drafts := make([]draftWords, len(s.Entries))
	var dated []draftWords
	lifted := map[string][]care.EntryID{} // by eye
	for i, d := range s.Entries {
		_ = json.Unmarshal(d.Body, &drafts[i])
		switch d.Kind {
		case care.Resume:
			for _, eye := range []string{"right", "left"} {
				if drafts[i].of(eye) {
					lifted[eye] = append(lifted[eye], drafts[i].Answers...)
				}
			}
		case care.Cease:
			dated = append(dated, drafts[i])
		case care.Visit:
			booked = booked || !drafts[i].Cancelled
		}
	}
	for i, d := range s.Entries {
		if d.Kind == care.Word && drafts[i].Phrase == "wait-visit" && !booked {
			return care.Refuse("no-visit", fmt.Sprintf("entries.%d.body.phrase", i),
				"the word to the family is about a booked visit, and none is booked: book one, or choose another word")
		}
	}
	if len(lifted) > 0 {
		if err := s.wordsAgree(); err != nil {
			return err
		}
	}
	for _, eye := range []string{"right", "left"} {
		stays := slices.ContainsFunc(wear.Eye(eye).Causes, func(c care.Cause) bool {
			unseen := len(lifted) > 0 && !slices.Contains(s.Causes, c.ID) // [Say] asks to look again
			return c.Left == care.Stop && !slices.Contains(lifted[eye], c.ID) && !unseen
		})
		if stays && !booked && !slices.ContainsFunc(dated, func(d draftWords) bool { return d.of(eye) }) {
			return care.Refuse("no-review", "entries", "the %s eye stays stopped: want a visit, or a stop with a date of review, for it too", eye)
		}
	}
	return nil
}
