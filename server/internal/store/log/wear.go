package log

import (
	"bytes"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// What has a part in the wear state, and what the practice and a family say to
// each other, is listed by wearer, so that nobody reads a log of years for it.

// inWearIndex reports whether an entry is listed.
func inWearIndex(e *care.Entry) bool {
	switch e.Kind {
	case care.Reply, care.Read, care.Elsewhere, care.Learnt:
		return true
	}
	return e.Kind.Clinical() || e.OfWear()
}

// ListWear lists an entry that has a part in the wear state or is of either voice.
func (tx *Tx) ListWear(family care.FamilyID, e *care.Entry) error {
	if !inWearIndex(e) {
		return nil
	}
	return tx.p.Put("wear", pairs.Key(string(e.Wearer), e.FSeq), []byte(family))
}

func (tx *Tx) unlistWear(e *care.Entry) error {
	if !inWearIndex(e) {
		return nil
	}
	return tx.p.Delete("wear", pairs.Key(string(e.Wearer), e.FSeq))
}

// HasWear reports whether anything of a wearer has a part in the wear state or
// is of either voice.
func (tx *Tx) HasWear(w care.WearerID) bool {
	return tx.p.Any("wear", pairs.Key(string(w), "")) || len(tx.KeptWear(w)) > 0 || tx.p.Any(claims.Name, pairs.Key(string(w), ""))
}

// WearEntries returns what has a part in a wearer's wear state, and what the
// practice and the family said to each other, in the order of the log, without
// what cannot be read.
func (tx *Tx) WearEntries(w care.WearerID) []*care.Entry {
	out, _ := tx.wearList(w)
	return out
}

// WearFacts returns what the wear state of a wearer reads. What is listed and
// cannot be read, and a report that is kept unread, counts as a stop of both eyes:
// it may have been one. What else is kept unread counts as its phone judged it, and a stop
// of the practice that only a phone holds as what it is.
func (tx *Tx) WearFacts(w care.WearerID) []care.WearFact {
	list, lost := tx.wearList(w)
	out := make([]care.WearFact, 0, len(list)+len(lost))
	for _, e := range list {
		f := e.WearFact()
		out = append(out, f)
		if e.Kind != care.Symptoms || len(f.Ends) == 0 {
			continue
		}
		for _, other := range tx.Referring(tx.register.FamilyOf(w), e.ID) { // what takes it back is listed by nothing else
			if other.Wearer == w {
				out = append(out, other.WearFact())
			}
		}
	}
	for _, id := range lost {
		out = append(out, care.WearFact{ID: id, Kind: "unreadable", State: "stored", Judged: care.Marks{Right: care.Stop, Left: care.Stop, Given: true}})
	}
	for _, e := range tx.KeptWear(w) {
		out = append(out, care.WearFact{ID: e.ID, Kind: e.Kind, Night: e.Night, State: "held", Judged: e.KeptMarks()})
	}
	return append(out, tx.claimedStops(w)...)
}

// KeptWear are the entries about a wearer that this program could not read, keeps as
// they came, and that rest or stop wear.
func (tx *Tx) KeptWear(w care.WearerID) (out []*care.Entry) {
	family := tx.register.FamilyOf(w)
	if family == "" {
		return nil
	}
	for _, raw := range tx.p.Within(held.Name, pairs.Key(string(family), "")) {
		e, err := care.ParseEntry(raw)
		if err == nil && e.Wearer == w && e.KeptMarks().Worst() >= care.Rest {
			out = append(out, &e)
		}
	}
	return out
}

func (tx *Tx) wearList(w care.WearerID) (out []*care.Entry, lost []care.EntryID) {
	prefix := pairs.Key(string(w), "")
	for k, family := range tx.p.Within("wear", prefix) {
		if len(k) != len(prefix)+8 {
			continue
		}
		f, seq := care.FamilyID(family), binary.BigEndian.Uint64(k[len(prefix):])
		if e, err := tx.entryAt(f, seq); err != nil {
			lost = append(lost, care.EntryID(tx.idAt(f, seq).String()))
		} else {
			out = append(out, e)
		}
	}
	return out, lost
}

// macKey is the setting that holds the key of this data file by which what the
// practice wrote is known.
const macKey = "mac_key"

func (tx *Tx) mac(e *care.Entry) (string, error) {
	var secret []byte
	if err := tx.p.Setting(macKey, &secret); err != nil || len(secret) == 0 {
		return "", err
	}
	h := hmac.New(sha256.New, secret)
	h.Write(e.Signed())
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)), nil
}

// OfPractice reports whether an entry carries the mac of this data file, so that
// it is what the practice wrote.
func (tx *Tx) OfPractice(e *care.Entry) (bool, error) {
	want, err := tx.mac(e)
	return want != "" && hmac.Equal([]byte(want), []byte(e.Mac)), err
}

// practiceDevice is the setting that holds the id of the device by which the
// practice writes in the logs of families. It stands in no list of devices.
const practiceDevice = "practice_device"

// AppendFromPractice adds an entry of the practice to a family's log: it is given the
// practice's device with that family's next counter, and the mac. Body, kind,
// night, clocks, author and name are the caller's.
func (tx *Tx) AppendFromPractice(family care.FamilyID, e *care.Entry) error {
	var secret []byte
	if err := tx.p.Setting(macKey, &secret); err != nil {
		return err
	}
	if len(secret) == 0 {
		secret = make([]byte, sha256.Size)
		_, _ = rand.Read(secret) // never fails
		if err := tx.p.SetSetting(macKey, secret); err != nil {
			return err
		}
	}
	device, err := tx.PracticeDevice()
	if err != nil {
		return err
	}
	if device == "" {
		device = care.DeviceID("practice-" + strings.ToLower(rand.Text()[:12]))
		if err := tx.p.SetSetting(practiceDevice, device); err != nil {
			return err
		}
	}
	e.Device, e.DSeq = device, tx.Watermark(family, device)+1
	if e.Mac, err = tx.mac(e); err != nil {
		return err
	}
	_, err = tx.Append(family, e)
	return err
}

// PracticeDevice returns the id of the practice's own device, empty when it has
// written nothing yet.
func (tx *Tx) PracticeDevice() (id care.DeviceID, err error) {
	return id, tx.p.Setting(practiceDevice, &id)
}

// PracticeWrote reports whether the practice wrote any of a family's entries after
// one number and up to another; true too when there are more than most to look
// through.
func (tx *Tx) PracticeWrote(family care.FamilyID, after, to uint64, most int) bool {
	device, err := tx.PracticeDevice()
	if err != nil || device == "" {
		return false
	}
	mark := []byte(`"device":"` + string(device) + `"`)
	for seq, raw := range tx.logFrom(family, after+1) {
		if seq > to {
			return false
		}
		if most--; most < 0 || bytes.Contains(raw, mark) {
			return true
		}
	}
	return false
}
