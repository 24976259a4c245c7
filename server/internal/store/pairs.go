package store

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
// changed behind the store's back, and [Tx.Check] says so. Both find damage and
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
	_, _ = d.Write([]byte{sep})
	_, _ = d.Write(k)
	_, _ = d.Write([]byte{sep})
	_, _ = d.Write(v)
	return d.Sum64()
}

// withSum is the stored form of a value.
func withSum(bucket string, k, v []byte) ([]byte, uint64) {
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

// content returns the value of a stored pair, [damaged] for one that does not
// fit.
func (tx *Tx) content(bucket string, k, stored []byte) []byte {
	if tx.plain || stored == nil {
		return stored
	}
	if n := len(stored) - sumBytes; n >= 0 && contentSum(bucket, k, stored[:n]) == sumOf(stored) {
		return stored[:n:n]
	}
	if bucket == "meta" && string(k) == layoutKey {
		return stored
	}
	tx.aside(bucket, k, errContent)
	return damaged
}

// get returns the value of a key, nil when there is none.
func (tx *Tx) get(bucket string, k []byte) []byte { return tx.content(bucket, k, tx.kv.Get(bucket, k)) }

func (tx *Tx) put(bucket string, k, v []byte) error {
	if tx.plain {
		return tx.kv.Put(bucket, k, v)
	}
	if old := tx.kv.Get(bucket, k); old != nil {
		d := tx.digest(bucket)
		d.pairs, d.sum = d.pairs-1, d.sum-sumOf(old)
	}
	return tx.add(bucket, k, v)
}

// add is put of a key that is known to be new.
func (tx *Tx) add(bucket string, k, v []byte) error {
	if tx.plain {
		return tx.kv.Put(bucket, k, v)
	}
	stored, sum := withSum(bucket, k, v)
	d := tx.digest(bucket)
	d.pairs, d.sum = d.pairs+1, d.sum+sum
	return tx.kv.Put(bucket, k, stored)
}

func (tx *Tx) del(bucket string, k []byte) error {
	if tx.plain {
		return tx.kv.Delete(bucket, k)
	}
	old := tx.kv.Get(bucket, k)
	if old == nil {
		return nil
	}
	d := tx.digest(bucket)
	d.pairs, d.sum = d.pairs-1, d.sum-sumOf(old)
	return tx.kv.Delete(bucket, k)
}

// up walks through a bucket from a key on; nil is its beginning.
func (tx *Tx) up(bucket string, from []byte) iter.Seq2[[]byte, []byte] {
	return tx.contents(bucket, tx.kv.Ascend(bucket, from))
}

// down walks back through a bucket from below a key; nil is its end.
func (tx *Tx) down(bucket string, below []byte) iter.Seq2[[]byte, []byte] {
	return tx.contents(bucket, tx.kv.Descend(bucket, below))
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

// within walks through the pairs whose keys begin with a prefix.
func (tx *Tx) within(bucket string, prefix []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		for k, v := range tx.up(bucket, prefix) {
			if !hasPrefix(k, prefix) || !yield(k, v) {
				return
			}
		}
	}
}

// any reports whether a key of the bucket begins with a prefix.
func (tx *Tx) any(bucket string, prefix []byte) bool {
	k, _ := kv.First(tx.kv, bucket, prefix)
	return k != nil && hasPrefix(k, prefix)
}

// lastBelow returns the last pair below a key, or of the bucket; nil, nil when
// there is none.
func (tx *Tx) lastBelow(bucket string, below []byte) (k, v []byte) {
	k, stored := kv.Last(tx.kv, bucket, below)
	return k, tx.content(bucket, k, stored)
}

// each calls f for every pair of a bucket until it returns an error.
func (tx *Tx) each(bucket string, f func(k, v []byte) error) error {
	for k, v := range tx.up(bucket, nil) {
		if err := f(k, v); err != nil {
			return err
		}
	}
	return nil
}
