package pairs

import (
	"encoding/binary"
	"errors"
	"iter"

	"github.com/cespare/xxhash/v2"

	"nightkeep/server/internal/kv"
)

// Every read and write of the store goes through the few functions of this file:
// they are what it asks of an engine, see package kv.
//
// From layout 6 on each stored value ends with its content sum: 8 bytes of XXH64
// over the bucket's name, the key and the value. It is looked at with every read.
// A value that does not fit is set aside, and read as one that no reader can
// read, so that nothing wrong is served and everything else goes on. The digest
// of a bucket is how many pairs it holds and the sum of their content sums,
// modulo 2^64: it does not fit any more when a pair was taken out, put in or
// changed behind the store's back, and [archive.Tx.Check] says so. Both find damage and
// slips; whoever means to deceive can work them out anew, and is met by the chain
// of the audit log.

// sumBytes is the length of a content sum.
const sumBytes = 8

// damaged stands for a value that does not fit its content sum.
var damaged = []byte{0}

var errContent = errors.New("its content does not fit its checksum")

// contentSum is the content sum of a pair.
func contentSum(bucket string, k, v []byte) uint64 {
	var d xxhash.Digest
	d.Reset()
	_, _ = d.WriteString(bucket)
	_, _ = d.Write([]byte{Sep})
	_, _ = d.Write(k)
	_, _ = d.Write([]byte{Sep})
	_, _ = d.Write(v)
	return d.Sum64()
}

// WithSum is the stored form of a value.
func WithSum(bucket string, k, v []byte) ([]byte, uint64) {
	sum := contentSum(bucket, k, v)
	return binary.BigEndian.AppendUint64(append(make([]byte, 0, len(v)+sumBytes), v...), sum), sum
}

// sumOf returns the content sum a stored value ends with.
func sumOf(stored []byte) uint64 {
	if len(stored) < sumBytes {
		return 0
	}
	return binary.BigEndian.Uint64(stored[len(stored)-sumBytes:])
}

// Fits reports whether a stored value fits the content sum it ends with.
func Fits(bucket string, k, stored []byte) bool {
	n := len(stored) - sumBytes
	return n >= 0 && contentSum(bucket, k, stored[:n]) == sumOf(stored)
}

// content returns the value of a stored pair, [damaged] for one that does not
// fit.
func (tx *Tx) content(bucket string, k, stored []byte) []byte {
	if tx.plain || stored == nil {
		return stored
	}
	if n := len(stored) - sumBytes; Fits(bucket, k, stored) {
		return stored[:n:n]
	}
	if bucket == "meta" && string(k) == LayoutKey {
		return stored
	}
	tx.Quarantine(bucket, k, errContent)
	return damaged
}

// Get returns the value of a key, nil when there is none.
func (tx *Tx) Get(bucket string, k []byte) []byte { return tx.content(bucket, k, tx.kv.Get(bucket, k)) }

// Put stores a value under a key.
func (tx *Tx) Put(bucket string, k, v []byte) error {
	if c := tx.change(bucket); !tx.plain {
		if old := tx.kv.Get(bucket, k); old != nil {
			c.pairs, c.sum = c.pairs-1, c.sum-sumOf(old)
		}
	}
	return tx.Add(bucket, k, v)
}

// Add is Put of a key that is known to be new.
func (tx *Tx) Add(bucket string, k, v []byte) error {
	c, stored := tx.change(bucket), v
	if !tx.plain {
		var sum uint64
		stored, sum = WithSum(bucket, k, v)
		c.pairs, c.sum = c.pairs+1, c.sum+sum
	}
	tx.forget(c, k, v)
	return tx.kv.Put(bucket, k, stored)
}

// Delete takes a key out; a missing one is no error.
func (tx *Tx) Delete(bucket string, k []byte) error {
	old, c := tx.kv.Get(bucket, k), tx.change(bucket)
	if old == nil {
		return nil
	}
	if !tx.plain {
		c.pairs, c.sum = c.pairs-1, c.sum-sumOf(old)
	}
	tx.forget(c, k, nil)
	return tx.kv.Delete(bucket, k)
}

// Ascend walks through a bucket from a key on; nil is its beginning.
func (tx *Tx) Ascend(bucket string, from []byte) iter.Seq2[[]byte, []byte] {
	return tx.contents(bucket, tx.kv.Ascend(bucket, from))
}

// Descend walks back through a bucket from below a key; nil is its end.
func (tx *Tx) Descend(bucket string, below []byte) iter.Seq2[[]byte, []byte] {
	return tx.contents(bucket, tx.kv.Descend(bucket, below))
}

// All walks through a whole bucket for a list: a part of the file that cannot be
// read is set aside, and the list goes on behind it. Whoever must have everything
// (an erasure, one family's log) goes by [Tx.Ascend], which ends there.
func (tx *Tx) All(bucket string) iter.Seq2[[]byte, []byte] {
	return tx.contents(bucket, kv.Around(tx.kv, bucket, func(after, before []byte, why error) {
		tx.setAside(bucket, tx.between(bucket, after, before), why)
	}))
}

// Try runs f, which only reads. A part of the file that it cannot read ends f alone
// and is set aside: for lists, in which each line is read by itself.
func (tx *Tx) Try(f func() error) error {
	err := tx.kv.Try(f)
	var d kv.Damaged
	if errors.As(err, &d) {
		tx.setAside(d.Bucket, aPart, err)
	}
	return err
}

func (tx *Tx) contents(bucket string, walk iter.Seq2[[]byte, []byte]) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		for k, stored := range walk {
			if !yield(k, tx.content(bucket, k, stored)) {
				return
			}
		}
	}
}

// Within walks through the pairs whose keys begin with a prefix.
func (tx *Tx) Within(bucket string, prefix []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		for k, v := range tx.Ascend(bucket, prefix) {
			if !HasPrefix(k, prefix) || !yield(k, v) {
				return
			}
		}
	}
}

// Any reports whether a key of the bucket begins with a prefix.
func (tx *Tx) Any(bucket string, prefix []byte) bool {
	k, _ := kv.First(tx.kv, bucket, prefix)
	return k != nil && HasPrefix(k, prefix)
}

// First returns the first pair from a key on; nil, nil when there is none.
func (tx *Tx) First(bucket string, from []byte) (k, v []byte) {
	k, stored := kv.First(tx.kv, bucket, from)
	return k, tx.content(bucket, k, stored)
}

// Last returns the last pair below a key, or of the bucket; nil, nil when
// there is none.
func (tx *Tx) Last(bucket string, below []byte) (k, v []byte) {
	k, stored := kv.Last(tx.kv, bucket, below)
	return k, tx.content(bucket, k, stored)
}

// Each calls f for every pair of a bucket until it returns an error.
func (tx *Tx) Each(bucket string, f func(k, v []byte) error) error {
	for k, v := range tx.Ascend(bucket, nil) {
		if err := f(k, v); err != nil {
			return err
		}
	}
	return nil
}

// EachKey calls f for every key of a bucket.
func (tx *Tx) EachKey(bucket string, f func(k []byte)) {
	for k := range tx.Ascend(bucket, nil) {
		f(k)
	}
}

// Has reports whether a bucket has a key.
func (tx *Tx) Has(bucket string, k []byte) bool { return tx.Get(bucket, k) != nil }

// Drop takes buckets out.
func (tx *Tx) Drop(names ...string) error {
	for _, name := range names {
		if err := tx.kv.Drop(name); err != nil {
			return err
		}
	}
	return nil
}
