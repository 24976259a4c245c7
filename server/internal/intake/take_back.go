package intake

import (
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// TakeBack stops the eyes again that the entries named resumed: it writes one
// stop in the family's log, in the caller's transaction, and returns its id;
// none when nothing was resumed. A resume is never changed: the stop is newer,
// no resume answers it, and so it holds until the next decision. It is to be
// looked at the same night. Errors are those of [Say].
func TakeBack(tx *store.Tx, who care.Person, w care.Wearer, alert care.AlertID, said []care.EntryID) ([]care.EntryID, error) {
	var eyes []string
	for _, id := range said {
		e, err := tx.Log().Entry(w.Family, id)
		if faulty(err) {
			return nil, err
		}
		if err == nil && e.Kind == care.Resume {
			eyes = append(eyes, e.WearFact().Eyes...)
		}
	}
	slices.Sort(eyes)
	eyes = slices.Compact(eyes)
	if len(eyes) == 0 {
		return nil, nil
	}
	which := eyes[0]
	if len(eyes) > 1 {
		which = "both"
	}
	body, err := json.Marshal(map[string]any{"eyes": which, "reason": "other", "review_by": Tonight(tx, w.ID), "alert": alert})
	if err != nil {
		return nil, err
	}
	out, err := Say(tx, who, w, Saying{Entries: []Draft{{Kind: care.Cease, Body: body}}})
	if err != nil {
		return nil, err
	}
	return []care.EntryID{out[0].ID}, nil
}
