package archive

import (
	"fmt"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Leftover is a record that should have gone with somebody: with a person who left,
// a device that is revoked, or an erasure. It stops no backup, and `check` tells
// of it.
type Leftover struct{ Bucket, What string }

func (l Leftover) Error() string { return l.Bucket + ": " + l.What }

// checkLeft finds what a person who left has still open, what is of a device
// that is revoked, and in a file in which a family was erased every pair that
// belongs to a family, person, wearer, device or alert that is not there.
func (tx *Tx) checkLeft() (out []error) {
	tell := func(bucket, format string, args ...any) {
		out = append(out, Leftover{bucket, fmt.Sprintf(format, args...)})
	}
	tx.access.CheckGrants(tell)
	if stones, err := tx.Tombstones(); err == nil && len(stones) > 0 {
		tx.checkErased(stones, tell)
	}
	return out
}

// checkErased goes by the table of ownership: a pair of a family's must have an
// owner that is there, and none that was erased. What is in no table of owners is left
// out, and so are counters of a device that is not there (a random id and a number),
// which may be of a phone that was lost before a restore.
func (tx *Tx) checkErased(stones []Tombstone, tell func(bucket, format string, args ...any)) {
	all := &memberIDs{}
	for name, set := range map[string]*map[string]bool{
		"families": &all.families, "people": &all.people, "wearers": &all.wearers, "devices": &all.devices, "alerts": &all.alerts,
	} {
		*set = map[string]bool{}
		tx.p.EachKey(name, func(k []byte) { (*set)[string(k)] = true })
	}
	tx.access.CheckOwners(all.families, all.people, tell)
	for id := range all.families {
		if slices.ContainsFunc(stones, func(t Tombstone) bool { return t.of(care.FamilyID(id)) }) {
			tell("families", "%q was erased", id)
		}
	}
	elsewhere := []string{"calendars", "outbox", "outbox_due", "device_seqs"} // checked with what they list, or of the practice too
	for name, o := range owners() {
		if o.first == nil && o.owns == nil || slices.Contains(elsewhere, name) {
			continue
		}
		first := map[string]bool{}
		if o.first != nil {
			first = o.first(all)
		}
		_ = tx.p.Each(name, func(k, v []byte) error {
			p := pairs.KeyParts(o.Form, k)
			if p == nil || o.first != nil && first[p[0]] || o.first == nil && o.owns(all, p, v) {
				return nil
			}
			tell(name, "%s belongs to nobody who is there", said(o, p[0]))
			return nil
		})
	}
}

// said names a key, unless it is a secret's.
func said(o ownership, id string) string {
	if o.Secret {
		return "a pair"
	}
	return fmt.Sprintf("%q", id)
}
