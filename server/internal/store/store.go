package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/pairs"
)

// DB is the open store.
type DB struct {
	kv     kv.DB
	file   *bolt.DB // the same engine: what only a file can do
	now    func() time.Time
	memory pairs.Memory
	use    writeUse
	hurt   atomic.Bool // a read met a damaged part that can be mended
	held   *os.File    // the folder, which no restore may have meanwhile
}

// Refused returns when the disk last took no write, by the machine's clock, and
// whether it has taken none since; zero: never since the file was opened.
func (db *DB) Refused() (at time.Time, still bool) { return db.file.Refused() }

// InPlace reports whether the data file is still where it was opened: else nothing
// that is written now is found by the next start.
func (db *DB) InPlace() bool { return db.file.InPlace() }

// Open opens or creates the file and brings its layout up to date; after an
// erasure it also writes the file anew, so that nothing is left in free pages.
// now gives the one time of each transaction. A second process on the same file
// gets an [care.Unavailable] error after one second, and one beside a restore at once.
func Open(path string, now func() time.Time) (*DB, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("store: make folder: %w", err)
	}
	held, err := durable.LockFolder(filepath.Dir(path), false)
	if err != nil {
		return nil, locked(path, err)
	}
	db, err := open(path, now)
	if err != nil {
		held.Close()
		return nil, err
	}
	db.held = held
	return db, nil
}

// open is [Open] for who has the folder.
func open(path string, now func() time.Time) (*DB, error) {
	if err := refuseEmpty(path); err != nil {
		return nil, err
	}
	b, err := bolt.Open(path, bolt.Options{Ordered: ordered})
	if errors.Is(err, kv.ErrBusy) {
		return nil, busy(path, err)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	db := &DB{kv: b, file: b, now: now}
	lost, err := db.mendSettings()
	if err == nil || !lost { // without a copy of them it says what is wrong
		err = db.migrate()
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	if err := db.compact(); err != nil {
		db.Close()
		return nil, err
	}
	err = db.View(func(tx *Tx) error { return db.memory.Quarantine.Load(tx.pairs) }) // a fault of it is one more to be told of
	if err != nil && !errors.Is(err, kv.ErrDamaged) {
		db.Close()
		return nil, err
	}
	return db, nil
}

// refuseEmpty refuses to begin an empty practice where one stood before: without
// its file, or with an empty one in its place.
func refuseEmpty(path string) error {
	switch at, err := os.Stat(path); {
	case err == nil && at.Size() == 0:
		return care.Errorf(care.Unavailable, "empty-file", "the data file %s is empty, which no practice's is; put a backup in its place with restore, or remove it to begin anew", path)
	case errors.Is(err, os.ErrNotExist):
		if _, err := os.Stat(markOf(path)); err == nil {
			return care.Errorf(care.Unavailable, "file-gone", "a practice stood here, and its data file %s is gone; put a backup in its place with restore, or remove %s to begin anew", path, markOf(path))
		}
	}
	return nil
}

// Busy is the code of an error that says that another process has the data file open.
const Busy = "store-busy"

func busy(path string, err error) error {
	return &care.Error{Kind: care.Unavailable, Code: Busy, Text: "another process, perhaps the server, has the data file open; stop it first: " + path, Err: err}
}

// locked says who has a folder.
func locked(path string, err error) error {
	if !errors.Is(err, durable.ErrLocked) {
		return err
	}
	return &care.Error{Kind: care.Unavailable, Code: "restoring", Err: err,
		Text: "a restore is at work in " + filepath.Dir(path) + ", or what is there is in use; let that end first"}
}

// Close waits for open transactions and closes the file.
func (db *DB) Close() error {
	_ = db.keepQuarantine() // on a file that takes no write it is found again
	err := db.kv.Close()
	if db.held != nil {
		_ = db.held.Close() // only ever read
	}
	return err
}

// Path returns the file's path.
func (db *DB) Path() string { return db.file.Path() }

// ordered are the buckets into which keys of a family mostly come in order.
var ordered = []string{"entries", "received", "nights", "audit"}

// View runs f in a read transaction. Keep it short: never write to a network
// inside.
func (db *DB) View(f func(*Tx) error) error {
	return readError(db.incident(db.kv.View(func(k kv.Tx) error { return f(db.tx(k)) })))
}

// Update runs f in a write transaction of its own and commits durably. When f
// returns an error nothing is stored.
func (db *DB) Update(f func(*Tx) error) error { return db.write(kv.Alone, f) }

// Write is [DB.Update] that may share its commit with other writes. f may be run
// again for the others' sake, so it must set, not add to, anything outside the
// transaction.
func (db *DB) Write(f func(*Tx) error) error { return db.write(kv.Shared, f) }

// WriteFirst is [DB.Write] for what is pressing: it goes before every write that
// waits, so that a symptom report and its message are not held up by a crowd of
// phones that send their nights.
func (db *DB) WriteFirst(f func(*Tx) error) error { return db.write(kv.Pressing, f) }

// WriteFor is [DB.Write], or [DB.WriteFirst] for what is pressing, on behalf of
// somebody outside, who takes turns with all others: however much one caller has
// waiting, nobody else waits longer than for one commit.
func (db *DB) WriteFor(caller string, pressing bool, f func(*Tx) error) error {
	return db.write(kv.Lane{Pressing: pressing, Caller: caller}, f)
}

func (db *DB) write(lane kv.Lane, f func(*Tx) error) error {
	err := db.once(lane, f)
	if mendable(err) {
		if done, fault := db.mend(); fault == nil && done {
			err = db.once(lane, f)
		}
	}
	return writeError(err)
}

func (db *DB) once(lane kv.Lane, f func(*Tx) error) error {
	return db.incident(db.kv.Update(lane, func(k kv.Tx) error {
		tx := db.tx(k)
		defer db.used(tx, time.Now())
		if err := f(tx); err != nil {
			return err
		}
		if err := tx.log.Flush(); err != nil {
			return err
		}
		return tx.pairs.PutDigests()
	}))
}

// Commits returns how many durable commits [DB.Write] has made since opening.
func (db *DB) Commits() int64 { return db.file.Commits() }

// readError turns a damaged part of the file into words.
func readError(err error) error {
	if !errors.Is(err, kv.ErrDamaged) {
		return err
	}
	return &care.Error{Kind: care.Unavailable, Code: "cannot-read",
		Text: "a part of the clinic's record cannot be read just now; please phone about anything that cannot wait", Err: err}
}

// writeError turns a full disk or a read-only file into words, and a damaged part of it,
// which no sending again mends; the callers' own errors pass unchanged.
func writeError(err error) error {
	if errors.Is(err, kv.ErrDamaged) {
		return readError(err)
	}
	var ours *care.Error
	if err == nil || errors.As(err, &ours) {
		return err
	}
	return &care.Error{Kind: care.Unavailable, Code: "cannot-store",
		Text: "the clinic's server cannot store anything just now; what you wrote stays on this phone and will be sent again", Err: err}
}

// NoSync turns durable commits off or on again. It is for playing a demo or a
// simulation into a file nobody relies on; turning it off flushes the file.
func (db *DB) NoSync(relaxed bool) { db.file.NoSync(relaxed) }
