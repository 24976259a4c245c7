package kv

import (
	"bytes"
	"iter"
	"slices"
)

// batch is how many pairs [Around] reads before it hands them on.
const batch = 128

// Around walks through a whole bucket, and goes on behind what the engine cannot
// read. lost is told after which key something is missing, nil for the beginning,
// and before which, nil when nothing behind it can be reached.
func Around(tx Tx, bucket string, lost func(after, before []byte, why error)) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		var at, last []byte // where to read on, and what was handed on
		for {
			some, why := read(tx, bucket, at)
			if why != nil {
				if n := len(some); n > 0 {
					last = some[n-1].Key
				}
				at = tx.Behind(bucket, last)
				back := readBack(tx, bucket, at, last)
				before := at
				if len(back) > 0 {
					before = back[0].Key
				}
				lost(last, before, why)
				some = append(some, back...)
			}
			for _, p := range some {
				if !yield(p.Key, p.Value) {
					return
				}
				last = p.Key
			}
			if why == nil && len(some) < batch || why != nil && at == nil {
				return
			}
			if why == nil {
				at = append(bytes.Clone(last), 0) // the first key there can be after it
			}
		}
	}
}

// read reads some pairs from a key on, as far as they can be read and are in order:
// a page that was cut has keys that are none, and a walk by them would not end.
func read(tx Tx, bucket string, from []byte) (out []Pair, err error) {
	err = tx.Try(func() error {
		for k, v := range tx.Ascend(bucket, from) {
			if n := len(out); len(k) == 0 || n == 0 && bytes.Compare(k, from) < 0 || n > 0 && bytes.Compare(k, out[n-1].Key) <= 0 {
				return Damaged{bucket, "its keys are not in order"}
			}
			if out = append(out, Pair{bucket, k, v}); len(out) == batch {
				break
			}
		}
		return nil
	})
	return out, err
}

// readBack reads what stands between a damage after one key and a key behind it, in
// order; nothing when there is no such key.
func readBack(tx Tx, bucket string, below, after []byte) (out []Pair) {
	if below == nil {
		return nil
	}
	_ = tx.Try(func() error {
		for k, v := range tx.Descend(bucket, below) {
			if bytes.Compare(k, after) <= 0 || bytes.Compare(k, below) >= 0 {
				break // also where they are not in order
			}
			below = k
			out = append(out, Pair{bucket, k, v})
		}
		return nil
	})
	slices.Reverse(out)
	return out
}
