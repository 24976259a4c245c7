// Package kv is the seam between the store and what keeps its bytes: buckets of
// pairs in order of their keys, read and written in transactions. It refuses to
// know what the pairs mean, and how an engine keeps them. Package kvtest is the
// suite every engine passes.
//
// What holds for every engine:
//
//   - a transaction sees one state of everything, and its own changes;
//   - of an Update all is stored or nothing, and when it returns nil it is
//     durable: it outlives the process;
//   - writes happen one after another; readers neither wait for them nor hold
//     them up for longer than it takes to read;
//   - the function given to Update may run again, so it must set, not add to,
//     anything outside the transaction;
//   - a read that an engine cannot do does not return: it ends the function it
//     was called from, and Try, View or Update return the engine's error, a
//     [Damaged] that names the bucket.
package kv

import (
	"errors"
	"iter"
)

// Tx is one transaction. It must not leave the function it was given to, nor its
// goroutine. The bytes it gives out are the engine's: they must not be changed,
// and are good until the transaction ends.
type Tx interface {
	// Get returns the value of a key: nil when there is none, and empty but not
	// nil when there is one of no bytes.
	Get(bucket string, key []byte) []byte
	// Put stores a pair. A bucket is there once something was put into it. The
	// key has 1 byte or more; the value must not be changed afterwards.
	Put(bucket string, key, value []byte) error
	// Delete takes a pair out; one that is missing is no error.
	Delete(bucket string, key []byte) error
	// Ascend walks through the pairs from a key on, in the order of their bytes;
	// nil is the beginning. The bucket must not be written to meanwhile.
	Ascend(bucket string, from []byte) iter.Seq2[[]byte, []byte]
	// Descend walks back through the pairs whose keys are less than one; nil is
	// the end. The bucket must not be written to meanwhile.
	Descend(bucket string, below []byte) iter.Seq2[[]byte, []byte]
	// Buckets returns the names of the buckets there are, in order.
	Buckets() []string
	// Drop takes a bucket out with all its pairs; one that is missing is no error.
	Drop(bucket string) error
	// Serial numbers the state a reader sees, within this opening of the engine: it
	// grows with every commit. In an Update it is the number that its state gets.
	Serial() int
	// Try runs f, which only reads. A read in it that the engine cannot do ends f
	// alone: Try returns the engine's error, and the transaction goes on.
	Try(f func() error) error
	// Behind returns a key after one, nil the beginning, that can be read where what
	// follows cannot: the nearest the engine knows of. nil when there is none.
	Behind(bucket string, key []byte) []byte
	// Writable reports whether this is an Update.
	Writable() bool
}

// Lane says which writes an Update shares its commit with. The zero Lane gathers
// with others that wait at the same time.
type Lane struct {
	// Pressing goes before all that wait and are not.
	Pressing bool
	// Caller is on whose behalf, when it is somebody outside: callers take turns,
	// so that however much one has waiting, nobody else waits longer than for one
	// commit.
	Caller string
	// Alone shares with nobody, and runs in the caller's goroutine.
	Alone bool
}

// The lanes of what the program writes itself.
var (
	Shared   = Lane{}
	Pressing = Lane{Pressing: true}
	Alone    = Lane{Alone: true}
)

// DB is an open engine.
type DB interface {
	// View runs f in a read transaction.
	View(f func(Tx) error) error
	// Update runs f in a write transaction. When f returns an error, or panics in
	// a commit it shares, nothing of it is stored and the error is returned.
	Update(lane Lane, f func(Tx) error) error
	// Close waits for open transactions and closes the engine.
	Close() error
}

// What an engine may answer, to be told apart with [errors.Is].
var (
	// ErrBusy says that another process has what the engine needs alone.
	ErrBusy = errors.New("kv: another process has it open")
	// ErrDamaged says that what is stored could not be read: the transaction has
	// ended, and others may go on.
	ErrDamaged = errors.New("what is stored is damaged")
	// ErrNoFile says that a file cannot be opened: it is none of ours, or damaged.
	ErrNoFile = errors.New("it cannot be opened")
	// ErrPanicked says that a write which shares its commit has panicked by itself:
	// nothing of it is stored, and the others were.
	ErrPanicked = errors.New("kv: write panicked")
	// ErrReadOnly refuses a write in a View.
	ErrReadOnly = errors.New("kv: a write in a read transaction")
)

// Damaged is an [ErrDamaged] that says which bucket was being read or written; ""
// when it was none, or nobody knows.
type Damaged struct {
	Bucket string
	Why    string
}

// Error returns what is wrong.
func (d Damaged) Error() string {
	if d.Bucket != "" {
		return ErrDamaged.Error() + ", in " + d.Bucket + ": " + d.Why
	}
	return ErrDamaged.Error() + ": " + d.Why
}

// Is reports that it is an [ErrDamaged].
func (d Damaged) Is(target error) bool { return target == ErrDamaged }

// Pair is one pair of a bucket, for what goes through everything stored.
type Pair struct {
	Bucket     string
	Key, Value []byte
}

// Pairs walks through everything that is stored, bucket by bucket.
func Pairs(tx Tx) iter.Seq[Pair] {
	return func(yield func(Pair) bool) {
		for _, name := range tx.Buckets() {
			for k, v := range tx.Ascend(name, nil) {
				if !yield(Pair{name, k, v}) {
					return
				}
			}
		}
	}
}

// First returns the first pair from a key on; nil, nil when there is none.
func First(tx Tx, bucket string, from []byte) (k, v []byte) {
	for k, v := range tx.Ascend(bucket, from) {
		return k, v
	}
	return nil, nil
}

// Last returns the last pair below a key, or of the bucket; nil, nil when there
// is none.
func Last(tx Tx, bucket string, below []byte) (k, v []byte) {
	for k, v := range tx.Descend(bucket, below) {
		return k, v
	}
	return nil, nil
}
