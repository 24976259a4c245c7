package intake

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
)

// maxCleared is how many characters say what the review found.
const maxCleared = 2000

// Disease is a closing that named a disease of the cornea and that no review has
// cleared for the eye since. A closing does not say which eye had it, so both count.
type Disease struct {
	Alert   care.AlertID `json:"alert"`
	Eye     string       `json:"eye"` // right or left
	At      time.Time    `json:"at"`  // of the closing
	Name    string       `json:"name"`
	Outcome string       `json:"outcome"`
}

// Diseases returns the closings of a wearer that named a disease of the cornea, for
// the eyes in which nobody has said since, in words, what a review found.
func Diseases(tx *store.Tx, w care.WearerID) ([]Disease, error) {
	list, err := tx.Duty().WearerAlerts(w)
	out := []Disease{}
	for _, a := range list {
		i := len(a.Closings) - 1
		for i >= 0 && !names(a.Closings[i]) {
			i--
		}
		for _, eye := range eyesNamed("both") {
			if i >= 0 && !clearedSince(&a, eye, a.Closings[i].At) {
				out = append(out, Disease{a.ID, eye, a.Closings[i].At, a.Closings[i].Name, a.Closings[i].Outcome})
			}
		}
	}
	return out, err
}

// names reports whether a closing names a disease of the cornea.
func names(k escalate.Closing) bool {
	o, _ := episode.OutcomeOf(k.Outcome)
	return o.Disease
}

// eyesNamed lists the eyes that a word names.
func eyesNamed(eyes string) []string {
	if eyes == "right" || eyes == "left" {
		return []string{eyes}
	}
	return []string{"right", "left"}
}

// clearedSince reports whether a review cleared an eye after a closing, or with it,
// and the alert was not opened again after that.
func clearedSince(a *escalate.Alert, eye string, closed time.Time) (yes bool) {
	for _, e := range a.History {
		switch {
		case e.Kind == escalate.Reopen:
			yes = false
		case e.Kind == escalate.Cleared && !e.At.Before(closed) && slices.Contains(eyesNamed(e.Eye), eye):
			yes = true
		}
	}
	return yes
}

// clear holds a resume against what closings of the wearer named. Whoever resumes an
// eye with a disease has examined it, and says what was found that clears it; that is
// written to the alert.
func (s Saying) clear(tx *store.Tx, who care.Person, w care.WearerID, draft draftWords, at string) error {
	open, err := Diseases(tx, w)
	if err != nil {
		return err
	}
	if s.closes != "" {
		for _, eye := range eyesNamed("both") {
			open = append(open, Disease{s.closes, eye, tx.Now, who.Name, "this closing"})
		}
	}
	open = slices.DeleteFunc(open, func(d Disease) bool { return !slices.Contains(eyesNamed(draft.Eyes), d.Eye) })
	if len(open) == 0 {
		return nil
	}
	text := strings.TrimSpace(s.Cleared)
	switch {
	case draft.Basis != "examined" && draft.Basis != "examined-elsewhere":
		return care.Refuse("not-examined", at+"basis", "after a disease of the cornea lenses are worn again only when the eye was examined")
	case text == "" || utf8.RuneCountInString(text) > maxCleared:
		return care.Refuse("not-cleared", "cleared",
			"a closing names a disease of the cornea: want in words what the review of the %s eye found that clears it, in 1 to %d characters", open[0].Eye, maxCleared)
	}
	return noteCleared(tx, who, open, draft.Eyes, text)
}

// noteCleared writes the review to each alert that named a disease.
func noteCleared(tx *store.Tx, who care.Person, open []Disease, eyes, text string) error {
	var done []care.AlertID
	for _, d := range open {
		if slices.Contains(done, d.Alert) {
			continue
		}
		done = append(done, d.Alert)
		a, err := tx.Duty().Alert(d.Alert)
		if err != nil {
			return err
		}
		e := escalate.Event{Kind: escalate.Cleared, By: who.ID, Name: who.Name, Role: who.Role, Eye: eyes, Text: text}
		if _, err := dispatch.Apply(tx, escalate.Rules{}, a, e); err != nil {
			return err
		}
	}
	return nil
}
