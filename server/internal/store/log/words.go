package log

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// What a family writes in its own words, and what takes back an entry that rests
// or stops, is listed by wearer, so that none of it is passed over however old it
// is. The list is worked out from the entries.

// ListWords lists an entry that a person of the practice has to read.
func (tx *Tx) ListWords(family care.FamilyID, e *care.Entry) error {
	if (e.Kind == care.Retraction || e.OwnWords() == "") && !tx.takesBack(family, e) {
		return nil
	}
	return tx.p.Put("words", pairs.Key(string(e.Wearer), string(e.ID)), []byte(family))
}

func (tx *Tx) unlistWords(e *care.Entry) error {
	k := pairs.Key(string(e.Wearer), string(e.ID))
	if !tx.p.Has("words", k) {
		return nil
	}
	return tx.p.Delete("words", k)
}

// takesBack reports whether an entry retracts or corrects one that rests or stops,
// and says less itself: the practice has been told, and has to know.
func (tx *Tx) takesBack(family care.FamilyID, e *care.Entry) bool {
	for _, target := range targets(e) {
		have, err := tx.Entry(family, target)
		if err == nil && !have.Kind.Clinical() && have.WearFact().Marked() > max(care.None, e.WearFact().Marked()) {
			return true
		}
	}
	return false
}

// Words returns the ids of what of a wearer a person of the practice has to read,
// oldest first.
func (tx *Tx) Words(w care.WearerID) (out []care.EntryID) {
	prefix := pairs.Key(string(w), "")
	for k := range tx.p.Within("words", prefix) {
		out = append(out, care.EntryID(k[len(prefix):]))
	}
	return out
}

// Referring returns the entries that correct or retract one.
func (tx *Tx) Referring(family care.FamilyID, id care.EntryID) (out []care.Entry) {
	for _, other := range refs.Members(tx.p, refOwner(family, id)) {
		if e, err := tx.Entry(family, care.EntryID(other)); err == nil {
			out = append(out, e)
		}
	}
	return out
}
