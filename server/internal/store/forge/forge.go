// Package forge mends the content sums and digests of a data file that a test has
// changed behind the store's back, as somebody would who means to deceive. It is
// for tests only, and works from the description in package store, not from its
// code.
package forge

import (
	"encoding/binary"
	"encoding/json"

	"github.com/cespare/xxhash/v2"

	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
)

func sum(bucket string, k, v []byte) uint64 {
	return xxhash.Sum64(append(append(append(append([]byte(bucket), 0), k...), 0), v...))
}

func withSum(bucket string, k, v []byte) []byte {
	return binary.BigEndian.AppendUint64(append([]byte{}, v...), sum(bucket, k, v))
}

// Reseal works sums and digests out anew. A value that does not fit its sum and
// is JSON, or too short for a sum, has none yet. A file of a layout before 6 is
// left as it is.
func Reseal(path string) error {
	b, err := bolt.Open(path, bolt.Options{})
	if err != nil {
		return err
	}
	defer b.Close()
	return b.Update(kv.Alone, func(tx kv.Tx) error {
		if len(tx.Buckets()) == 0 || string(tx.Get("meta", []byte("layout"))) < "6" {
			return nil
		}
		var pairs []kv.Pair
		for p := range kv.Pairs(tx) {
			if p.Bucket == "digests" || p.Bucket == "meta" && string(p.Key) == "layout" {
				continue
			}
			n := len(p.Value) - 8
			if n < 0 || json.Valid(p.Value) {
				p.Value = withSum(p.Bucket, p.Key, p.Value)
			} else {
				p.Value = withSum(p.Bucket, p.Key, p.Value[:n])
			}
			pairs = append(pairs, p)
		}
		if err := tx.Drop("digests"); err != nil {
			return err
		}
		count, sums := map[string]uint64{}, map[string]uint64{}
		for _, p := range pairs {
			if err := tx.Put(p.Bucket, p.Key, p.Value); err != nil {
				return err
			}
			count[p.Bucket]++
			sums[p.Bucket] += binary.BigEndian.Uint64(p.Value[len(p.Value)-8:])
		}
		for bucket, n := range count {
			v := binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(nil, n), sums[bucket])
			if err := tx.Put("digests", []byte(bucket), withSum("digests", []byte(bucket), v)); err != nil {
				return err
			}
		}
		return nil
	})
}
