// Package store keeps everything in one bbolt file. It owns the bucket layout,
// transactions, indices and migrations, and refuses to know any rule of care:
// what is right to store is decided by its callers, inside its transactions.
//
// Rules that keep it fast and whole: readers are short (a reader that stays
// open stops the file from shrinking its free list, and can stall writers),
// every value is copied before its transaction ends, and the memory map is
// opened large so that it need not grow under readers.
package store

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"nightkeep/server/internal/care"
)

// initialMmap is the address space reserved at opening, in bytes. It costs no
// memory and no disk; growing the map under load would block on readers.
const initialMmap = 1 << 30

// DB is the open store.
type DB struct {
	bolt  *bbolt.DB
	now   func() time.Time
	group group
	marks marks
	memos memos

	quarantine quarantine
	use        writeUse
}

// Open opens or creates the file and brings its layout up to date; after an
// erasure it also writes the file anew, so that nothing is left in free pages.
// now gives the one time of each transaction. A second process on the same file
// gets an [care.Unavailable] error after one second.
func Open(path string, now func() time.Time) (*DB, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("store: make folder: %w", err)
	}
	b, err := openFile(path)
	if errors.Is(err, berrors.ErrTimeout) {
		return nil, busy(path, err)
	}
	if err != nil {
		return nil, fmt.Errorf("store: open %s: %w", path, err)
	}
	db := &DB{bolt: b, now: now}
	if err := db.migrate(); err != nil {
		b.Close()
		return nil, err
	}
	if err := db.compact(); err != nil {
		db.bolt.Close()
		return nil, err
	}
	return db, nil
}

func busy(path string, err error) error {
	return &care.Error{Kind: care.Unavailable, Code: "store-busy", Text: "another process, perhaps the server, has the data file open; stop it first: " + path, Err: err}
}

func openFile(path string) (*bbolt.DB, error) {
	return bbolt.Open(path, 0o600, &bbolt.Options{
		Timeout: time.Second, InitialMmapSize: initialMmap, FreelistType: bbolt.FreelistMapType,
	})
}

// Close waits for open transactions and closes the file.
func (db *DB) Close() error { return db.bolt.Close() }

// Path returns the file's path.
func (db *DB) Path() string { return db.bolt.Path() }

// Tx is one transaction with one time. It must not leave the function it was
// given to.
type Tx struct {
	bolt  *bbolt.Tx
	marks *marks
	memos *memos

	quarantine *quarantine // nil: nobody asks
	reads      int         // records read one by one
	// Now is the server's time of this transaction, UTC, whole milliseconds.
	Now time.Time
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

// fill is how full a page of the log is left when it is split. A family's
// entries, ids and nights come in order, so the half that bbolt would leave free
// in every page stays free: a log of families that write by turns took 2.4
// times its own bytes, and takes 1.4 times.
const fill = 0.85

// fillPages makes a write transaction keep the log's pages full.
func fillPages(b *bbolt.Tx) {
	for _, name := range []string{"entries", "received", "nights", "audit"} {
		if bucket := b.Bucket([]byte(name)); bucket != nil {
			bucket.FillPercent = fill
		}
	}
}

func (db *DB) tx(b *bbolt.Tx) *Tx {
	if b.Writable() {
		fillPages(b)
	}
	return &Tx{bolt: b, marks: &db.marks, memos: &db.memos, quarantine: &db.quarantine, Now: db.now().UTC().Truncate(time.Millisecond)}
}

// View runs f in a read transaction. Keep it short: never write to a network
// inside.
func (db *DB) View(f func(*Tx) error) error {
	return db.bolt.View(func(b *bbolt.Tx) error { return f(db.tx(b)) })
}

// Update runs f in the one write transaction and commits durably. When f
// returns an error nothing is stored.
func (db *DB) Update(f func(*Tx) error) error {
	err := db.bolt.Update(func(b *bbolt.Tx) error {
		tx := db.tx(b)
		defer db.used(tx, time.Now())
		if err := f(tx); err != nil {
			return err
		}
		return tx.settle()
	})
	return writeError(err)
}

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

func (t table[T]) bucket(tx *Tx) *bbolt.Bucket { return tx.bolt.Bucket([]byte(t.name)) }

// get returns the value under k, or a [care.NotFound] error.
func (t table[T]) get(tx *Tx, k []byte) (T, error) {
	var v T
	raw := t.bucket(tx).Get(k)
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
	return t.bucket(tx).Put(k, raw)
}

func (t table[T]) delete(tx *Tx, k []byte) error { return t.bucket(tx).Delete(k) }

// scan calls f for each value whose key starts with prefix, in key order,
// until f returns false. One that cannot be read is set aside. f must not write
// to the same bucket.
func (t table[T]) scan(tx *Tx, prefix []byte, f func(k []byte, v T) bool) error {
	c := t.bucket(tx).Cursor()
	for k, raw := c.Seek(prefix); k != nil && hasPrefix(k, prefix); k, raw = c.Next() {
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
func (db *DB) NoSync(relaxed bool) {
	db.bolt.NoSync = relaxed
	if !relaxed {
		_ = db.bolt.Sync() // the next commit reports a disk that fails
	}
}
