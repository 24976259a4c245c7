package log

import (
	"bytes"
	"errors"
	"time"

	"nightkeep/server/internal/care"
)

// Epoch names this life of the log. A restore from backup starts a new one, so
// that devices offer again what the backup did not hold.
func (tx *Tx) Epoch() (string, error) {
	raw := tx.p.Get("meta", []byte("epoch"))
	if n := len(raw); n > 2 && raw[0] == '"' && !bytes.ContainsRune(raw, '\\') {
		return string(raw[1 : n-1]), nil // asked for with every request
	}
	var s string
	err := tx.p.Setting("epoch", &s)
	return s, err
}

// NewEpoch starts a new life of the log, after a restore, and after those that are named.
func (tx *Tx) NewEpoch(after ...string) error {
	ours, _ := tx.Epoch() // where it cannot be read, any new one is another
	name, err := tx.nameLife(wholeFile, append(after, ours)...)
	if err != nil {
		return err
	}
	if err := tx.p.SetSetting(restoredKey, tx.p.Now); err != nil {
		return err
	}
	return tx.p.SetSetting("epoch", name)
}

const restoredKey = "restored_at"

// Restored returns when the log was last put back from a backup; zero when it
// never was.
func (tx *Tx) Restored() (at time.Time, err error) {
	err = tx.p.Setting(restoredKey, &at)
	return at, err
}

// EpochOf names this life of a family's log. It changes with a restore, and
// when entries left the log because a wearer became a family of their own.
func (tx *Tx) EpochOf(f care.FamilyID) (string, error) {
	epoch, err := tx.Epoch()
	if err != nil {
		return "", err
	}
	family, err := tx.register.Family(f)
	if err != nil && care.KindOf(err) != care.NotFound {
		return epoch, nil // it cannot be read; phones then read the log anew at most
	}
	if err != nil || family.Life == "" {
		return epoch, err
	}
	return epoch + "." + family.Life, nil
}

// NewLife starts a new life of one family's log, after its phones have shown that
// the file went back: they read it anew, and offer again what it lacks. It is later than
// the one that is named.
func (tx *Tx) NewLife(id care.FamilyID, after string) error {
	var named error
	err := tx.register.ChangeFamily(id, func(f *care.Family) {
		named = tx.NameLife(f, after)
		f.Restored = tx.p.Now
	})
	return errors.Join(named, err)
}

// RestoredOf returns when the log of a family was last put back, from a backup or
// by hand; zero when it never was.
func (tx *Tx) RestoredOf(id care.FamilyID) (time.Time, error) {
	at, err := tx.Restored()
	if err != nil {
		return at, err
	}
	f, err := tx.register.Family(id)
	if err != nil {
		return at, nil // there is none, or it cannot be read
	}
	if f.Restored.After(at) {
		at = f.Restored
	}
	return at, err
}
