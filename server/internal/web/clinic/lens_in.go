package clinic

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
)

// lensInDays is for how many nights back a lens that was never logged out is named:
// a week, so that a weekend or a holiday hides none (common practice).
const lensInDays = 7

// addLensIn leads what the log says on the card with each lens that is in by its last
// word, also where it went in before the sign: who phones must say that it comes out.
// Nothing where a night cannot be read: the alert itself must be shown.
func (v *alertView) addLensIn(tx *store.Tx, w care.Wearer, loc *time.Location) {
	right, left := lensIn(tx, w, loc, "right"), lensIn(tx, w, loc, "left")
	if right == left {
		v.logIn(tx, w, right, "")
		return
	}
	v.logIn(tx, w, left, ", left eye")
	v.logIn(tx, w, right, ", right eye")
}

// logIn puts one lens, or both, above what was logged beside the alert.
func (v *alertView) logIn(tx *store.Tx, w care.Wearer, id care.EntryID, of string) {
	e, err := tx.Log().Entry(w.Family, id)
	if id == "" || err != nil {
		return
	}
	var b struct{ At string }
	_ = json.Unmarshal(e.Body, &b)
	at := episode.WrittenAt(&e)
	v.Episode.Logged = slices.DeleteFunc(v.Episode.Logged, func(l episode.EpisodeLog) bool {
		return l.Text == "Lenses in at "+b.At+of && l.At.Equal(at) // says less
	})
	text := "Lenses in since " + b.At + " and not logged out" + of
	v.Episode.Logged = slices.Insert(v.Episode.Logged, 0, episode.EpisodeLog{At: at, Text: text})
}

// lensIn is the entry by which the lens of an eye is in: that of the newest night that
// says anything of it; "" where it came out, or was not worn since.
func lensIn(tx *store.Tx, w care.Wearer, loc *time.Location, eye string) care.EntryID {
	newest := civil.NightOf(tx.Now, loc).AddDays(1) // where the family is it may be tomorrow
	for back := range lensInDays + 1 {
		n, err := tx.Log().Night(w.ID, newest.AddDays(-back))
		if err != nil {
			return ""
		}
		into := n.Item("insertion/" + eye)
		switch {
		case n.In(eye):
			return into.Facts[0].Entry
		case into != nil || n.Item("removal/"+eye) != nil || n.Item("not-worn/"+eye) != nil:
			return ""
		}
	}
	return ""
}
