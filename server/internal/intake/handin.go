package intake

import (
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
)

// mayHandIn says whether a device may send what another one wrote. A restore
// from a backup loses what came after the backup, and the device that wrote it
// may never come back; the family's other devices still hold it as the server
// once gave it out. So all of this must be true:
//
//   - the log was put back from a backup, and the entry says that it had been
//     received before that;
//   - its device belongs to the family, also when it has been taken out of use,
//     or is not known at all because it joined after the backup was made.
//
// A symptom report of a device that is known as the family's is taken always: whether
// a loss was noticed or not, it must not wait for the phone that wrote it.
//
// There is no lower bound to the receipt: a phone may sleep through two
// restores, and the clock of a server may step back. The receipt is a claim, so
// what is handed in stays marked with the device that did, until the device
// that wrote it has sent it too; see [store.Tx.Append].
func (m membership) mayHandIn(e *care.Entry) (bool, error) {
	d, err := m.tx.Register().Device(e.Device)
	if faulty(err) {
		return false, err
	}
	known := err == nil && d.Family == m.family
	return known && e.Kind == care.Symptoms || (known || err != nil) && m.before(e), nil
}

// before reports whether an entry claims a receipt from before the restore.
func (m membership) before(e *care.Entry) bool {
	at := e.Received()
	return !m.restored.IsZero() && !at.After(m.restored) && at.UTC().Year() >= care.FirstYear
}

// ofWear reports whether an entry has a part in the wear state. What it says to have
// been judged counts only of an earlier life of the log: else a device could say so of
// anything.
func ofWear(e *care.Entry, before bool) bool {
	if before {
		return e.OfWear()
	}
	sent := *e
	sent.Judged = care.Marks{}
	return sent.OfWear()
}

// maxSkew bounds the clock note of an entry handed in, in milliseconds: no clock
// within the calendar of entries is further off than its 300 years.
const maxSkew = 300 * 366 * 24 * 3600 * 1000

// provenance replaces what an entry says the server added to it by what the
// server knows: who sent it, and how wrong that clock is. Of an earlier life of
// the log the claimed receipt is kept, and with another device's entry its
// clock note.
func (m membership) provenance(e *care.Entry, device care.DeviceID, skew int64) {
	var first time.Time
	if m.before(e) {
		first = e.Received().UTC().Truncate(time.Millisecond)
	}
	theirs, judged := e.SkewMS, e.Judged
	e.Forget()
	e.FirstRecv, e.SkewMS = first, skew
	if !first.IsZero() {
		e.Judged = judged // kept by the worse, see judge
	}
	if e.Device != device {
		e.Via, e.SkewMS = device, max(-maxSkew, min(maxSkew, theirs))
	}
}

// voice refuses what only the practice may say, unless it proves to have said it,
// and a correction or withdrawal of it by a family.
func (m membership) voice(e *care.Entry) error {
	if e.Kind.Clinical() {
		ours, err := m.tx.Log().OfPractice(e)
		if err != nil || ours {
			return err
		}
		return care.Refuse(notOfPractice, "kind", "%s is written by the practice only, and this one does not carry its proof", e.Kind)
	}
	for _, id := range append(slices.Clone(e.Supersedes), e.Retracts) {
		if id == "" {
			continue
		}
		target, err := m.tx.Log().Entry(m.family, id)
		if faulty(err) {
			return err
		}
		if err == nil && target.Kind.Clinical() {
			return care.Refuse("not-yours", "supersedes", "what the practice wrote is not taken back or corrected by a family; please write to the practice")
		}
	}
	return nil
}

// claim keeps what a phone hands in as a decision of the practice and cannot prove: the
// file was put back from a backup of before the key that it was written with. The phone
// goes on showing it, so the practice has to know. One that a phone wrote itself is none.
func (m membership) claim(e *care.Entry, sender care.DeviceID, why error) error {
	var refusal *care.Error
	if !errors.As(why, &refusal) || refusal.Code != notOfPractice || e.Device == sender || e.Kind != care.Cease && e.Kind != care.Resume {
		return nil
	}
	return m.tx.Log().PutClaim(e.Wearer, care.ClaimOf(e, m.tx.Now))
}

// notOfPractice is the code of the refusal of what only the practice writes.
const notOfPractice = "not-of-practice"
