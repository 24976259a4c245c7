package store

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/archive"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/register"
)

// Backup copies what the data file holds to path while the server runs, without
// free pages, in which what was erased may still stand, verifies the copy by
// opening and checking it, and only then gives it a name: of a backup that is
// killed nothing is left. A copy with records that cannot be read is kept too, since
// it is as whole as the file is, and the error is then a [Lacking]. The read
// transaction lasts as long as a local copy takes; path must be on a local
// disk, never a slow network.
func (db *DB) Backup(path string) error {
	there := care.Errorf(care.Conflict, "backup-exists", "there is already a file %s; a backup never overwrites", path)
	if !durable.Missing(path) {
		return there
	}
	f, err := durable.NewUnkept(path)
	if err != nil {
		return fmt.Errorf("no copy is made: %w", err)
	}
	defer f.Close()
	if err := db.file.CopyTo(f.Path(), giveWay); err != nil {
		var at *fs.PathError
		if errors.As(err, &at) && at.Path == f.Path() { // its name meanwhile, which tells nobody anything
			at.Path = path
		}
		return fmt.Errorf("no copy is made: %w", err)
	}
	faults, err := CheckFile(f.Path())
	if err != nil {
		return err
	}
	db.rememberUnreadable(faults)
	if err := db.keepQuarantine(); err != nil {
		return err
	}
	if faults := beyondReading(faults); len(faults) > 0 {
		return fmt.Errorf("no copy is kept, it is not sound: %w", errors.Join(faults...))
	}
	if err := f.Keep(); errors.Is(err, os.ErrExist) {
		return there
	} else if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if lost := unreadable(faults); len(lost) > 0 {
		return Lacking{lost}
	}
	return nil
}

// Lacking says that a copy is made and kept, and that records in it cannot be read.
type Lacking struct{ Records []pairs.Unreadable }

// Error names the first of them.
func (l Lacking) Error() string {
	const most = 10
	text := fmt.Sprintf("the copy is made and kept, and %d records in it cannot be read, as in the data file; keep a backup from before", len(l.Records))
	for _, u := range l.Records[:min(most, len(l.Records))] {
		text += "\n" + u.Error()
	}
	if n := len(l.Records) - most; n > 0 {
		text += fmt.Sprintf("\nand %d more, which check lists", n)
	}
	return text
}

// restFor is how many times as long as a piece of a copy took the copy then rests:
// four fifths of the machine are left to what families send.
const restFor = 4

// giveWay rests between two pieces of a copy. It is what keeps a backup from
// holding up an alert; nothing waits for it, and a server that stops waits for one
// rest at most, after a piece of a megabyte.
func giveWay(took time.Duration) { time.Sleep(restFor * took) }

// flush makes what stands in a file durable.
func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Unsound says that a backup has faults: it is not put in place. A record that
// cannot be read is one, though a running server would set it aside: the practice's
// own may be it, and there is a choice still.
type Unsound struct{ Faults []error }

// Error names every fault.
func (u Unsound) Error() string {
	return fmt.Sprintf("the backup is not sound: %v", errors.Join(u.Faults...))
}

// Restore puts a verified copy of a backup in place of the data file at path,
// which no process may have open, and starts a new epoch, so that devices
// offer again what the backup does not hold. A backup with faults is an [Unsound],
// and nothing is touched. The file that was there is kept
// beside it, and its name returned; what was done since the backup is written down, see
// [Lacks]; alerts that are live in it are carried over with their reports; families erased from it are erased from the
// restored file too. While one restore is at work in a folder, a second one is
// refused there, and so is every opening.
func Restore(backup, path string, now time.Time) (kept string, err error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	held, err := durable.LockFolder(filepath.Dir(path), true)
	if err != nil {
		return "", cmp.Or(inUse(path), locked(path, err))
	}
	defer held.Close()
	if err := inUse(path); err != nil { // by a program of before these locks
		return "", err
	}
	if err := sound(backup); err != nil {
		return "", err
	}
	tmp := path + ".part"
	defer os.Remove(tmp)
	mark, err := prepare(backup, tmp, path, now)
	if err != nil {
		return "", err
	}
	// The old file gets a second name, and the new one takes its first in one step:
	// whenever this is cut off, there is a whole file, and the old one is not lost.
	if kept, err = keep(path, now); err != nil {
		return "", err
	}
	if err := os.Remove(settingsOf(path)); err != nil && !errors.Is(err, fs.ErrNotExist) { // of the file that was there
		return kept, err
	}
	if err := os.Rename(tmp, path); err != nil {
		return kept, err
	}
	if err := putMark(path, mark); err != nil {
		return kept, err
	}
	return kept, durable.Name(path)
}

// sound returns an [Unsound] for a backup that must not be restored.
func sound(backup string) error {
	faults, err := CheckFile(backup)
	if err != nil {
		return err
	}
	faults = slices.DeleteFunc(faults, func(err error) bool { return errors.As(err, &archive.Leftover{}) })
	if len(faults) > 0 {
		return Unsound{faults}
	}
	return nil
}

// prepare copies a backup to tmp and takes over what must outlive a restore from
// the file at path, if there is one: who was let out, which families were erased, which
// alerts wait for somebody. The
// copy is on the disk when it returns the mark that belongs beside it.
func prepare(backup, tmp, path string, now time.Time) (mark int, err error) {
	raw, err := os.ReadFile(backup)
	if err != nil {
		return 0, err
	}
	if err := os.WriteFile(tmp, raw, 0o600); err != nil {
		return 0, err
	}
	db, err := open(tmp, func() time.Time { return now })
	if err != nil {
		return 0, err
	}
	err = db.Update(func(tx *Tx) (err error) {
		lines, known := doneSince(path, tx.lastDone())
		live, readable := tx.waitingInAny(path, tmp+".read")
		if err := tx.access.RevokeAgain(revocationsOf(path)); err != nil {
			return err
		}
		if err := tx.archive.LeaveAgain(erasuresOf(path)); err != nil {
			return err
		}
		if mark, err = tx.markAfter(markBeside(path)); err != nil {
			return err
		}
		var before string
		SettingOf(path, "epoch", &before)
		if err := tx.log.NewEpoch(before); err != nil {
			return err
		}
		carried, left, err := tx.carryOver(live)
		return cmp.Or(err, tx.noteLacking(lines, known && readable, !readable, carried, left))
	})
	if err == nil { // what was erased from it stands in freed pages
		err = db.compact()
	}
	if err := errors.Join(err, db.Close()); err != nil {
		return 0, err
	}
	return mark, flush(tmp)
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

// erasuresOf returns the tombstones of the file that a backup is about to replace,
// and the families that are leaving it: a family erased since the backup stays
// erased. A file that cannot be read has none.
func erasuresOf(path string) (stones []archive.Tombstone, leaving []archive.Leaving) {
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return nil, nil
	}
	defer b.Close()
	_ = b.View(func(k kv.Tx) error {
		tx := reading(k)
		leaving, _ = tx.archive.Leaving()
		stones, err = tx.archive.Tombstones()
		return err
	})
	return stones, leaving
}

// revocationsOf reads it; of a file that cannot be read it is nobody.
func revocationsOf(path string) (out register.Revocations) {
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return out
	}
	defer b.Close()
	_ = b.View(func(k kv.Tx) error { out, err = reading(k).access.Revocations(); return err })
	return out
}

// SettingOf reads a setting of a file, which is not touched. Of a file that cannot be
// read v stays as it is.
func SettingOf(path, name string, v any) {
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return
	}
	defer b.Close()
	_ = b.View(func(k kv.Tx) error { return reading(k).register.Setting(name, v) })
}

// CheckFile opens a file read-only and returns every fault found; see
// [archive.Tx.Check]. The error says that the file could not be read at all.
func CheckFile(path string) ([]error, error) {
	if at, err := os.Stat(path); err != nil {
		return nil, err
	} else if at.Size() == 0 {
		return nil, care.Errorf(care.Invalid, "empty-file", "%s is empty, which no practice's file is", path)
	}
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if errors.Is(err, kv.ErrBusy) {
		return nil, busy(path, err)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	defer b.Close()
	have := 0
	err = b.View(func(k kv.Tx) (err error) { have, err = layoutOf(k); return err })
	switch {
	case err != nil:
		return nil, err
	case have == 0:
		return nil, fmt.Errorf("%s is not a Nightkeep data file: there is nothing in it", path)
	case have < Layout:
		return checkOlder(b)
	}
	faults := b.Check()
	err = b.View(func(k kv.Tx) error {
		faults = append(faults, bare(k, time.Time{}, false).archive.Check()...)
		return nil
	})
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
	if err := b.CopyTo(path, func(time.Duration) {}); err != nil {
		return nil, err
	}
	db, err := Open(path, time.Now)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	faults = db.file.Check()
	err = db.View(func(tx *Tx) error { faults = append(faults, tx.archive.Check()...); return nil })
	return faults, err
}
