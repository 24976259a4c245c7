package pairs

import (
	"encoding/binary"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"nightkeep/server/internal/kv"
)

// digest says what a bucket holds, or what a transaction changed of it: how many
// pairs, and the sum of their content sums. Stored as two u64.
type digest struct{ pairs, sum uint64 }

// DigestBucket holds the digest of every other bucket.
const DigestBucket = "digests"

// change is what a transaction changed of a bucket.
type change struct {
	bucket string
	writes int // of pairs, see [Tx.Writes]
	digest
}

// change returns what this transaction has changed of a bucket so far, to be added
// to at once.
func (tx *Tx) change(bucket string) *change {
	for i := range tx.changes {
		if tx.changes[i].bucket == bucket {
			return &tx.changes[i]
		}
	}
	tx.changes = append(tx.changes, change{bucket: bucket})
	return &tx.changes[len(tx.changes)-1]
}

// PutDigests stores what the transaction changed. Every write ends with it. The
// digests themselves are pairs with content sums, and have no digest.
func (tx *Tx) PutDigests() error {
	for i := range tx.changes {
		c := &tx.changes[i]
		d, k := tx.digestOf(c.bucket), []byte(c.bucket)
		d.pairs, d.sum = d.pairs+c.pairs, d.sum+c.sum
		stored, _ := WithSum(DigestBucket, k, d.bytes())
		if err := tx.kv.Put(DigestBucket, k, stored); err != nil {
			return err
		}
		c.digest = digest{}
	}
	return nil
}

func (d digest) bytes() []byte {
	return binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(make([]byte, 0, 16), d.pairs), d.sum)
}

// digestOf reads the stored digest of a bucket.
func (tx *Tx) digestOf(bucket string) (d digest) {
	if v := tx.Get(DigestBucket, []byte(bucket)); len(v) == 16 {
		d = digest{binary.BigEndian.Uint64(v), binary.BigEndian.Uint64(v[8:])}
	}
	return d
}

// LayoutKey is the one value without a content sum, and in no digest: it says how
// all others are to be read, to older programs too.
const LayoutKey = "layout"

// CheckDigests reads every pair there is, holds it against its content sum, and
// every bucket against its digest. What does not fit is set aside: it stops no
// backup, because the copy is as whole as the file is, and is named.
func (tx *Tx) CheckDigests() {
	names := tx.kv.Buckets()
	for k := range tx.kv.Ascend(DigestBucket, nil) {
		if !slices.Contains(names, string(k)) {
			names = append(names, string(k))
		}
	}
	for _, name := range names {
		if name == DigestBucket {
			continue
		}
		var have digest
		for k, stored := range kv.Around(tx.kv, name, func(after, before []byte, why error) {
			tx.setAside(name, tx.between(name, after, before), why)
		}) {
			runtime.Gosched() // while a backup is checked, what families send goes first
			if name == "meta" && string(k) == LayoutKey {
				continue
			}
			tx.content(name, k, stored)
			have.pairs, have.sum = have.pairs+1, have.sum+sumOf(stored)
		}
		want := tx.digestOf(name)
		switch {
		case have.pairs != want.pairs:
			tx.Quarantine(DigestBucket, []byte(name), fmt.Errorf("the bucket holds %d pairs, and %d were stored", have.pairs, want.pairs))
		case have.sum != want.sum:
			tx.Quarantine(DigestBucket, []byte(name), errors.New("pairs of the bucket were changed, or taken out and others put in"))
		}
	}
}

// CountDigest works out the digest of one bucket anew, from what is there.
func (tx *Tx) CountDigest(bucket string) error {
	var d digest
	for k, stored := range tx.kv.Ascend(bucket, nil) {
		if bucket == "meta" && string(k) == LayoutKey {
			continue
		}
		d.pairs, d.sum = d.pairs+1, d.sum+sumOf(stored)
	}
	stored, _ := WithSum(DigestBucket, []byte(bucket), d.bytes())
	return tx.kv.Put(DigestBucket, []byte(bucket), stored)
}

// CountDigests works out the digest of every bucket anew, from what is there.
func (tx *Tx) CountDigests() error {
	tx.changes = nil
	if err := tx.kv.Drop(DigestBucket); err != nil {
		return err
	}
	for _, name := range tx.kv.Buckets() {
		d := tx.change(name)
		for k, stored := range tx.kv.Ascend(name, nil) {
			if name == "meta" && string(k) == LayoutKey {
				continue
			}
			d.pairs, d.sum = d.pairs+1, d.sum+sumOf(stored)
		}
	}
	return tx.PutDigests()
}
