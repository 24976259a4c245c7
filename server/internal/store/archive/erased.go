package archive

import (
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// DropErased takes out every pair that is of an erased family or wearer, by its key
// or by what it says: a repair may have found it in a page that was given up.
func (tx *Tx) DropErased() error {
	stones, err := tx.Tombstones()
	if err != nil || len(stones) == 0 {
		return err
	}
	known := map[string]bool{}
	erased := func(id string) bool {
		is, seen := known[id]
		if !seen {
			is = slices.ContainsFunc(stones, func(t Tombstone) bool { return t.of(care.FamilyID(id)) || t.erased(care.WearerID(id)) })
			known[id] = is
		}
		return is
	}
	for name, o := range owners() {
		if o.first == nil && o.owns == nil {
			continue
		}
		var gone [][]byte
		for k, v := range tx.p.All(name) {
			ids := pairs.KeyParts(o.Form, k)
			var said struct{ Family, Wearer string }
			for _, text := range [][]byte{v, v[min(8, len(v)):]} { // an entry of the log stands behind a checksum
				if json.Unmarshal(text, &said) == nil {
					ids = append(ids, said.Family, said.Wearer)
				}
			}
			if slices.ContainsFunc(ids, erased) {
				gone = append(gone, slices.Clone(k))
			}
		}
		for _, k := range gone {
			if err := tx.p.Delete(name, k); err != nil {
				return err
			}
		}
	}
	return nil
}
