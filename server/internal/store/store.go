// Package store keeps everything. It owns the bucket layout, transactions,
// indices and migrations, is written against the seam of package kv, and refuses
// to know any rule of care: what is right to store is decided by its callers,
// inside its transactions.
//
// Rules that keep it fast and whole: readers are short (a reader that stays
// open stops the file from using its free pages again, and can stall writers),
// and every value is copied before its transaction ends.
package store

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
)

// DB is the open store.
type DB struct {
	kv    kv.DB
	file  *bolt.DB // the same engine: what only a file can do
	now   func() time.Time
	marks marks
	memos memos

	quarantine quarantine
	use        writeUse
}

// Refused returns when the disk last took no write, by the machine's clock, and
// whether it has taken none since; zero: never since the file was opened.
func (d *DB) Refused() (at time.Time, still bool) { return d.file.Refused() }

// Open opens or creates the file and brings its layout up to date; after an
// erasure it also writes the file anew, so that nothing is left in free pages.
// now gives the one time of each transaction. A second process on the same file
// gets an [care.Unavailable] error after one second.
func Open(path string, now func() time.Time) (*DB, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("store: make folder: %w", err)
	}
	if err := neverAnew(path); err != nil {
		return nil, err
	}
	b, err := bolt.Open(path, bolt.Options{Ordered: ordered})
	if errors.Is(err, kv.ErrBusy) {
		return nil, busy(path, err)
	}
	if err != nil {
		return nil, fmt.Errorf("store: open %s: %w", path, err)
	}
	db := &DB{kv: b, file: b, now: now}
	if err := db.migrate(); err != nil {
		db.Close()
		return nil, err
	}
	if err := db.compact(); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// neverAnew refuses to begin an empty practice where one stood before: without
// its file, or with an empty one in its place.
func neverAnew(path string) error {
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

func busy(path string, err error) error {
	return &care.Error{Kind: care.Unavailable, Code: "store-busy", Text: "another process, perhaps the server, has the data file open; stop it first: " + path, Err: err}
}

// Close waits for open transactions and closes the file.
func (db *DB) Close() error { return db.kv.Close() }

// Path returns the file's path.
func (db *DB) Path() string { return db.file.Path() }

// Tx is one transaction with one time. It must not leave the function it was
// given to.
type Tx struct {
	kv    kv.Tx
	plain bool // values have no content sum: a layout before 6
	marks *marks
	memos *memos

	quarantine *quarantine // nil: nobody asks
	reads      int         // records read one by one
	// Now is the server's time of this transaction, UTC, whole milliseconds.
	Now     time.Time
	digests []change // what changed of each bucket
	// What appends in this transaction left to do, see settle.
	dirty   map[nightID]*news
	head    head          // of the log appended to last
	ties    ties          // of the family looked at last
	touched care.WearerID // whom the last entry was about
	// was holds the briefs of nights before they changed, see Stand.
	was map[nightID][]byte
}

// ties says whether any entry of a family refers to another.
type ties struct {
	family care.FamilyID
	any    bool
}

// ordered are the buckets into which keys of a family mostly come in order.
var ordered = []string{"entries", "received", "nights", "audit"}

func (db *DB) tx(k kv.Tx) *Tx {
	return &Tx{kv: k, marks: &db.marks, memos: &db.memos, quarantine: &db.quarantine, Now: db.now().UTC().Truncate(time.Millisecond)}
}

// View runs f in a read transaction. Keep it short: never write to a network
// inside.
func (db *DB) View(f func(*Tx) error) error {
	return db.met(db.kv.View(func(k kv.Tx) error { return f(db.tx(k)) }))
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
	return writeError(db.met(db.kv.Update(lane, func(k kv.Tx) error {
		tx := db.tx(k)
		defer db.used(tx, time.Now())
		if err := f(tx); err != nil {
			return err
		}
		if err := tx.settle(); err != nil {
			return err
		}
		return tx.putDigests()
	})))
}

// Commits returns how many durable commits [DB.Write] has made since opening.
func (db *DB) Commits() int64 { return db.file.Commits() }

// writeError turns a full disk or a read-only file into words; the callers'
// own errors pass unchanged.
func writeError(err error) error {
	var ours *care.Error
	if err == nil || errors.As(err, &ours) {
		return err
	}
	return &care.Error{Kind: care.Unavailable, Code: "cannot-store",
		Text: "the clinic's server cannot store anything just now; what you wrote stays on this phone and will be sent again", Err: err}
}

// --- keys ---

// sep parts the pieces of a key; ids never hold it.
const sep = 0

func key(parts ...any) []byte {
	k := make([]byte, 0, 64)
	for i, p := range parts {
		if i > 0 {
			k = append(k, sep)
		}
		switch v := p.(type) {
		case string:
			k = append(k, v...)
		case uint64:
			k = binary.BigEndian.AppendUint64(k, v)
		case time.Time:
			k = binary.BigEndian.AppendUint64(k, uint64(v.UnixMilli()))
		default:
			panic("store: a key is made of texts, numbers and times")
		}
	}
	return k
}

// table is a bucket of JSON values of one type.
type table[T any] struct{ name string }

// get returns the value under k, or a [care.NotFound] error.
func (t table[T]) get(tx *Tx, k []byte) (T, error) {
	var v T
	raw := tx.get(t.name, k)
	if raw == nil {
		return v, care.Errorf(care.NotFound, "not-found", "there is no such entry in %s", t.name)
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		tx.aside(t.name, k, err)
		return v, fmt.Errorf("store: read %s: %w", t.name, err)
	}
	return v, nil
}

func (t table[T]) put(tx *Tx, k []byte, v T) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("store: write %s: %w", t.name, err)
	}
	tx.readAgain(t.name, k)
	return tx.put(t.name, k, raw)
}

func (t table[T]) delete(tx *Tx, k []byte) error { return tx.del(t.name, k) }

// scan calls f for each value whose key starts with prefix, in key order,
// until f returns false. One that cannot be read is set aside. f must not write
// to the same bucket.
func (t table[T]) scan(tx *Tx, prefix []byte, f func(k []byte, v T) bool) error {
	for k, raw := range tx.within(t.name, prefix) {
		var v T
		tx.reads++
		if err := json.Unmarshal(raw, &v); err != nil {
			tx.aside(t.name, k, err)
			continue
		}
		if !f(k, v) {
			return nil
		}
	}
	return nil
}

// list returns every value whose key starts with prefix.
func (t table[T]) list(tx *Tx, prefix []byte) ([]T, error) {
	out := []T{}
	err := t.scan(tx, prefix, func(_ []byte, v T) bool { out = append(out, v); return true })
	return out, err
}

func hasPrefix(k, prefix []byte) bool {
	return len(k) >= len(prefix) && string(k[:len(prefix)]) == string(prefix)
}

// NoSync turns durable commits off or on again. It is for playing a demo or a
// simulation into a file nobody relies on; turning it off flushes the file.
func (db *DB) NoSync(relaxed bool) { db.file.NoSync(relaxed) }
