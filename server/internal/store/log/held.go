package log

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Held is an entry kept raw because it was of a later schema when it came.
type Held struct {
	Family care.FamilyID
	Raw    json.RawMessage
	key    []byte
}

// AllHeld returns every entry kept raw.
func (tx *Tx) AllHeld() []Held {
	var out []Held
	for k, raw := range tx.p.All(held.Name) {
		family, _, _ := bytes.Cut(k, []byte{pairs.Sep})
		out = append(out, Held{care.FamilyID(family), slices.Clone(raw), slices.Clone(k)})
	}
	return out
}

// HeldRaw returns an entry of a family that is kept raw, as it came; nil for none.
func (tx *Tx) HeldRaw(family care.FamilyID, id care.EntryID) json.RawMessage {
	return slices.Clone(tx.p.Get(held.Name, pairs.Key(string(family), string(id))))
}

// Written returns when the phone's hybrid clock, which is never behind what the
// phone has seen of other devices, says that it was written; zero when it does
// not say.
func (h Held) Written() time.Time {
	var e struct {
		HLC string `json:"hlc"`
	}
	if json.Unmarshal(h.Raw, &e) != nil {
		return time.Time{}
	}
	ms, _, _ := strings.Cut(e.HLC, "-")
	n, err := strconv.ParseInt(ms, 10, 64)
	if err != nil {
		return time.Time{}
	}
	return time.UnixMilli(n).UTC()
}

// ForgetHeld forgets entries kept raw for good and writes down who did, and how
// many they were. Like after an erasure, the text is gone from the file once it
// is next opened.
func (tx *Tx) ForgetHeld(by care.PersonID, list []Held) error {
	if len(list) == 0 {
		return nil
	}
	for _, h := range list {
		if err := tx.Release(h); err != nil {
			return err
		}
	}
	if err := tx.p.SetSetting("compact", true); err != nil {
		return err
	}
	return tx.audit.Append(by, "forgot held entries", strconv.Itoa(len(list)))
}

// Release forgets an entry kept raw, once it stands in the log.
func (tx *Tx) Release(h Held) error { return held.Delete(tx.p, h.key) }

var held = pairs.Table[json.RawMessage]{Name: "held"}

// MoveHeld moves the entries kept raw that say they are about the wearer.
func (tx *Tx) MoveHeld(w care.Wearer, from care.FamilyID) error {
	for _, h := range tx.AllHeld() {
		var about struct {
			Wearer care.WearerID `json:"wearer"`
		}
		if h.Family != from || json.Unmarshal(h.Raw, &about) != nil || about.Wearer != w.ID {
			continue
		}
		if err := tx.Release(h); err != nil {
			return err
		}
		at := append(pairs.Key(string(w.Family), ""), h.key[len(pairs.Key(string(from), "")):]...)
		if err := held.Put(tx.p, at, h.Raw); err != nil {
			return err
		}
	}
	return nil
}
