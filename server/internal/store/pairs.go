package store

import (
	"iter"

	"nightkeep/server/internal/kv"
)

// Every read and write of the store goes through these few: they are what it
// asks of an engine, see package kv.

// get returns the value of a key, nil when there is none.
func (tx *Tx) get(bucket string, k []byte) []byte { return tx.kv.Get(bucket, k) }

func (tx *Tx) put(bucket string, k, v []byte) error { return tx.kv.Put(bucket, k, v) }

func (tx *Tx) del(bucket string, k []byte) error { return tx.kv.Delete(bucket, k) }

// up walks through a bucket from a key on; nil is its beginning.
func (tx *Tx) up(bucket string, from []byte) iter.Seq2[[]byte, []byte] {
	return tx.kv.Ascend(bucket, from)
}

// down walks back through a bucket from below a key; nil is its end.
func (tx *Tx) down(bucket string, below []byte) iter.Seq2[[]byte, []byte] {
	return tx.kv.Descend(bucket, below)
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
	return kv.Last(tx.kv, bucket, below)
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
