package intake

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// phrases are what a person of the practice can choose from a list, in the English that
// travels with its key: pwa/ui/phrases.js. What stands beside a key in other words is
// somebody's own.
var phrases = map[string]string{
	"wait-visit":       "Come to the visit as booked. Until then no lens.",
	"seen-rest":        "The eye was examined. It needs a rest from lenses.",
	"no-finding":       "The eye was examined and nothing was found on the day. Keep looking each morning, and tell us at once if anything changes.",
	"treated":          "The eye is being treated. Follow the treatment as told.",
	"lens-changed":     "The lens was changed.",
	"solution-changed": "The solution was changed.",
	"referred":         "You were sent on to somebody who looks at the eye further.",
	"call-us":          "Please call us.",
}

// ownWords are what somebody of the practice writes to a family in own words.
func ownWords(list []Draft) []string {
	out := []string{}
	for _, d := range list {
		var b struct{ Text, Phrase, Withdraws string }
		_ = json.Unmarshal(d.Body, &b) // checked by now; a kind without words has none
		// What takes a word back shows no words of its own.
		if text := strings.TrimSpace(b.Text); !d.place && b.Withdraws == "" && text != "" && text != phrases[b.Phrase] {
			out = append(out, text)
		}
	}
	return out
}

// askBoth asks, of own words to a family in which an eye is held back, or with which a
// decision about one goes, whether their author has read what the phones show of each eye
// beside them: nobody but a person can tell whether both say the same. Words that can have
// nothing to do with wear are not asked about, see [speaksOfWear]. was is where the
// eyes stood before, said what s has written by now. The error is Conflict "own-words";
// its caller's transaction leaves nothing behind.
func askBoth(tx *store.Tx, w care.WearerID, was *care.Wear, said []*care.Entry, s Saying) error {
	words := ownWords(s.Entries)
	if !slices.ContainsFunc(words, speaksOfWear) {
		return nil
	}
	now := WearNow(tx, w)
	r := care.Reading{Words: words}
	r.Right, r.Left = Reads(&now)
	decided := false
	for _, e := range said {
		if e.Kind == care.Cease || e.Kind == care.Resume {
			decided = true
			r.Add(e.WearFact(), Tonight(tx, w))
		}
	}
	if !decided && max(was.Worst(), now.Worst()) <= care.None {
		return nil
	}
	raw, err := json.Marshal(r)
	if err != nil {
		return err
	}
	r.Yes = fmt.Sprintf("%x", sha256.Sum256(raw))[:16]
	if s.Yes == r.Yes {
		return nil
	}
	ask := care.Errorf(care.Conflict, "own-words", "The family reads both: what their phones say of each eye, and your own words beside it. Read both before you send them.")
	ask.Asks = &r
	return ask
}

// Reads is how a family's phones read where the eyes stand.
func Reads(w *care.Wear) (right, left care.EyeReading) {
	return eyeReading(w, "right"), eyeReading(w, "left")
}

func eyeReading(w *care.Wear, eye string) care.EyeReading {
	e := w.Eye(eye)
	return care.EyeReading{
		State: max(e.State, care.None), Until: e.Until, Check: e.AfterCheck(),
	}
}
