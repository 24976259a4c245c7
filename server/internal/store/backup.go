package store

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
)

// Backup copies the data file to path while the server runs, verifies the copy
// by opening and checking it, and only then gives it its name. The read
// transaction lasts as long as a local copy takes; path must be on a local
// disk, never a slow network.
func (db *DB) Backup(path string) error {
	if _, err := os.Stat(path); err == nil {
		return care.Errorf(care.Conflict, "backup-exists", "there is already a file %s; a backup never overwrites", path)
	}
	tmp := path + ".part"
	defer os.Remove(tmp)
	if err := db.copyTo(tmp); err != nil {
		return fmt.Errorf("store: copy: %w", err)
	}
	faults, err := CheckFile(tmp)
	if err != nil {
		return err
	}
	db.name(faults)
	if faults := beyondReading(faults); len(faults) > 0 {
		return fmt.Errorf("store: the copy is not sound: %w", errors.Join(faults...))
	}
	if err := flush(tmp); err != nil {
		return err
	}
	return durable.Rename(tmp, path)
}

// copyTo copies the data file as it stands.
func (db *DB) copyTo(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	return errors.Join(db.file.CopyTo(&gentle{to: f}), f.Close())
}

// A copy goes in pieces of gentleBytes. Each is flushed, so that little waits for
// the disk before a commit, and then the copy rests for gentleRest times as long
// as the piece took: four fifths of the machine are left to what families
// send. A gigabyte takes some ten seconds.
const (
	gentleBytes = 1 << 20
	gentleRest  = 4
)

// gentle writes a copy piece by piece.
type gentle struct {
	to      *os.File
	written int           // of the piece
	spent   time.Duration // on the piece
}

func (g *gentle) Write(p []byte) (n int, err error) {
	start := time.Now()
	n, err = g.to.Write(p)
	if g.written += n; err == nil && g.written >= gentleBytes {
		err = g.to.Sync()
		g.spent += time.Since(start)
		time.Sleep(gentleRest * g.spent)
		g.written, g.spent = 0, 0
		return n, err
	}
	g.spent += time.Since(start)
	return n, err
}

// flush makes what stands in a file durable.
func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Restore puts a verified copy of a backup in place of the data file at path,
// which no process may have open, and starts a new epoch, so that devices
// offer again what the backup does not hold. The file that was there is kept
// beside it, and its name returned; families erased from it are erased from the
// restored file too.
func Restore(backup, path string, now time.Time) (kept string, err error) {
	if err := inUse(path); err != nil {
		return "", err
	}
	faults, err := CheckFile(backup)
	if err != nil {
		return "", err
	}
	if faults := beyondReading(faults); len(faults) > 0 {
		return "", fmt.Errorf("store: the backup is not sound: %w", errors.Join(faults...))
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	tmp := path + ".part"
	defer os.Remove(tmp)
	raw, err := os.ReadFile(backup)
	if err != nil {
		return "", err
	}
	if err := os.WriteFile(tmp, raw, 0o600); err != nil {
		return "", err
	}
	db, err := Open(tmp, func() time.Time { return now })
	if err != nil {
		return "", err
	}
	err = db.Update(func(tx *Tx) error {
		if err := tx.shutAgain(shutIn(path)); err != nil {
			return err
		}
		if _, err := tx.EraseAgain(stonesOf(path)); err != nil {
			return err
		}
		return tx.NewEpoch()
	})
	if err := errors.Join(err, db.Close()); err != nil {
		return "", err
	}
	if err := flush(tmp); err != nil {
		return "", err
	}
	// The old file gets a second name, and the new one takes its first in one step:
	// whenever this is cut off, there is a whole file, and the old one is not lost.
	if kept, err = keep(path, now); err != nil {
		return "", err
	}
	if err := os.Rename(tmp, path); err != nil {
		return kept, err
	}
	if err := os.Remove(markOf(path)); err != nil && !errors.Is(err, os.ErrNotExist) { // of the file that was there
		return kept, err
	}
	return kept, durable.Name(path)
}

// keep gives the file at path a second name, which no other file has, and returns
// it; "" when there is none.
func keep(path string, now time.Time) (string, error) {
	if _, err := os.Stat(path); err != nil {
		return "", nil
	}
	base := path + ".before-" + now.UTC().Format("20060102T150405Z")
	for n := 1; ; n++ {
		kept := base
		if n > 1 {
			kept = fmt.Sprintf("%s-%d", base, n)
		}
		err := os.Link(path, kept)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil { // a file system without second names
			err = copyNew(path, kept)
		}
		return kept, err
	}
}

// copyNew copies a file to a name that is free.
func copyNew(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// inUse refuses a file that another process has open. One that is damaged or
// missing is nobody's.
func inUse(path string) error {
	if _, err := os.Stat(path); err != nil {
		return nil
	}
	b, err := bolt.Open(path, bolt.Options{})
	if errors.Is(err, kv.ErrBusy) {
		return busy(path, err)
	}
	if err != nil {
		return nil
	}
	return b.Close()
}

// stonesOf returns the tombstones of the file that a backup is about to
// replace: a family erased since the backup stays erased. A file that cannot be
// read has none.
func stonesOf(path string) (stones []Tombstone) {
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return nil
	}
	defer b.Close()
	_ = b.View(func(k kv.Tx) error { stones, err = reading(k).Tombstones(); return err })
	return stones
}

// shut is who was shut out of the file that a backup is about to replace.
type shut struct {
	devices     []care.DeviceID
	people      []care.PersonID
	invitations [][]byte // by their keys: used or withdrawn
}

// shutIn reads it; of a file that cannot be read it is nobody.
func shutIn(path string) (out shut) {
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return out
	}
	defer b.Close()
	_ = b.View(func(k kv.Tx) error {
		tx := reading(k)
		err := devices.scan(tx, nil, func(_ []byte, d care.Device) bool {
			if d.Revoked {
				out.devices = append(out.devices, d.ID)
			}
			return true
		})
		if err != nil {
			return err
		}
		err = people.scan(tx, nil, func(_ []byte, p care.Person) bool {
			if p.Gone {
				out.people = append(out.people, p.ID)
			}
			return true
		})
		if err != nil {
			return err
		}
		return invitations.scan(tx, nil, func(k []byte, inv Invitation) bool {
			if inv.Revoked || !inv.Used.IsZero() {
				out.invitations = append(out.invitations, bytes.Clone(k))
			}
			return true
		})
	})
	return out
}

// shutAgain shuts out again whoever was shut out since the backup: a lost
// phone, or somebody who left, must not come back with it, nor a code be used a
// second time.
func (tx *Tx) shutAgain(s shut) error {
	for _, id := range s.devices {
		d, err := tx.Device(id)
		if err != nil {
			continue // not in this backup
		}
		d.Revoked = true
		if err := errors.Join(tx.putDevice(d), tx.DropSubscription(id)); err != nil {
			return err
		}
	}
	for _, k := range s.invitations {
		inv, err := invitations.get(tx, k)
		if err != nil {
			continue
		}
		inv.Revoked = true
		if err := invitations.put(tx, k, inv); err != nil {
			return err
		}
	}
	for _, id := range s.people {
		p, err := tx.Person(id)
		if err != nil {
			continue
		}
		p.Gone = true
		if err := tx.putPerson(p); err != nil {
			return err
		}
	}
	return endLeft(tx)
}

// CheckFile opens a file read-only and returns every fault found; see
// [Tx.Check]. The error says that the file could not be read at all.
func CheckFile(path string) ([]error, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if errors.Is(err, kv.ErrBusy) {
		return nil, busy(path, err)
	}
	if err != nil {
		return nil, fmt.Errorf("store: open %s: %w", path, err)
	}
	defer b.Close()
	have := 0
	err = b.View(func(k kv.Tx) (err error) { have, err = layoutOf(k); return err })
	switch {
	case err != nil:
		return nil, err
	case have == 0:
		return nil, fmt.Errorf("store: %s is not a Nightkeep data file: there is nothing in it", path)
	case have < Layout:
		return checkOlder(b)
	}
	faults := b.Check()
	err = b.View(func(k kv.Tx) error { faults = append(faults, (&Tx{kv: k}).Check()...); return nil })
	return faults, err
}

// checkOlder checks a file of an earlier layout by bringing a copy of it up to
// date.
func checkOlder(b *bolt.DB) (faults []error, _ error) {
	dir, err := os.MkdirTemp("", "nightkeep-check-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "n.db")
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(b.CopyTo(f), f.Close()); err != nil {
		return nil, err
	}
	db, err := Open(path, time.Now)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	faults = db.file.Check()
	err = db.View(func(tx *Tx) error { faults = append(faults, tx.Check()...); return nil })
	return faults, err
}

// Check verifies the rolling checksum and indices of
// every entry, every record of a night against its entries, the lists of people,
// devices, alerts, messages and reminders against what they list, and the audit
// chain.
func (tx *Tx) Check() []error {
	var faults []error
	met := &quarantine{}
	tx.quarantine = met
	defer func() { tx.quarantine = nil }()
	tx.checkDigests()
	faults = append(faults, tx.checkEntries()...)
	faults = append(faults, tx.checkNights()...)
	faults = append(faults, tx.checkIndices()...)
	faults = append(faults, tx.checkLeft()...)
	if err := tx.checkAudit(); err != nil {
		faults = append(faults, err)
	}
	for _, u := range met.list() {
		faults = append(faults, u)
	}
	return faults
}

func (tx *Tx) checkEntries() []error {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	family, sum := "", ""
	var seq uint64
	_ = tx.each("entries", func(k, v []byte) error {
		runtime.Gosched() // while a backup is checked, what families send goes first
		if len(k) < 9 {
			fault("entries: a key is too short")
			return nil
		}
		if f := string(k[:len(k)-9]); f != family {
			family, sum, seq = f, "", 0
		}
		at := numberOf(k)
		e, err := tx.readEntry(care.FamilyID(family), at, v)
		if err != nil { // is named with all that cannot be read; its place is counted
			sum, seq = NextChecksum(sum, care.EntryID(tx.idText(care.FamilyID(family), at, v))), seq+1
			return nil
		}
		sum, seq = NextChecksum(sum, e.ID), seq+1
		if e.FSeq != seq || string(k) != string(key(family, seq)) {
			fault("entry %s: sequence %d, want %d", e.ID, e.FSeq, seq)
		}
		if sum != hex.EncodeToString(v[:checksumBytes]) {
			fault("entry %s: rolling checksum does not fit", e.ID)
		}
		if tx.idAt(care.FamilyID(family), seq) != rawIDOf(e.ID) {
			fault("entry %s: its id is not in its place", e.ID)
		}
		if rec, err := tx.nightRecord(nightID{e.Wearer, e.Night}.key()); err != nil || string(rec.family) != family || !slices.Contains(rec.seqs, e.FSeq) {
			fault("entry %s: not in the index of nights", e.ID)
		}
		for _, target := range targets(&e) {
			if tx.get(string(refs), key(refOwner(care.FamilyID(family), target), string(e.ID))) == nil {
				fault("entry %s: not in the index of references", e.ID)
			}
		}
		return nil
	})
	return faults
}

// checkNights holds every night's record against its entries. A brief written
// by another version of the rules is worked out again when it is read, so it
// need not fit.
func (tx *Tx) checkNights() []error {
	var faults []error
	_ = tx.each("nights", func(k, raw []byte) error {
		runtime.Gosched()
		if err := tx.checkNight(k, raw); errors.Is(err, errNightRecord) {
			tx.aside("nights", k, err)
		} else if err != nil {
			faults = append(faults, fmt.Errorf("night %q: %w", k, err))
		}
		return nil
	})
	return faults
}

func (tx *Tx) checkNight(k, raw []byte) error {
	have, err := readNight(raw)
	if err != nil {
		return err
	}
	p := parts("ss", k)
	if p == nil {
		return errors.New("the key is not well formed")
	}
	date, err := civil.ParseDate(p[1])
	if err != nil {
		return err
	}
	id := nightID{care.WearerID(p[0]), date}
	for _, seq := range have.seqs {
		e, err := tx.entryAt(have.family, seq)
		if err != nil {
			return nil // named as an entry; what the record keeps may be from before
		}
		if e.Wearer != id.wearer || e.Night != date {
			return fmt.Errorf("entry %s is about another night", e.ID)
		}
	}
	want := have
	if err := tx.brief(id, &want); err != nil {
		return err
	}
	if have.supply != want.supply || len(have.brief) == 0 != (len(want.brief) == 0) {
		return errors.New("the record differs from its entries")
	}
	if _, err := care.ReadBrief(date, have.brief); err == nil && !bytes.Equal(have.brief, want.brief) {
		return errors.New("what the rules look at differs from its entries")
	}
	return nil
}
