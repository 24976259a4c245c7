package archive_test

import (
	"bytes"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/pairs"
	"nightkeep/server/internal/store/scene"
)

// A byte changed in any stored value, and a pair taken out of any bucket, is
// found by the check, which names the bucket.
func TestEveryChangeIsNoticed(t *testing.T) {
	t.Parallel()
	for _, b := range pairs.Buckets {
		bucket := b.Name
		for what, change := range map[string]func(b *bbolt.Bucket, k, v []byte) error{
			"altered": func(b *bbolt.Bucket, k, v []byte) error {
				v[len(v)/2] ^= 1
				return b.Put(k, v)
			},
			"taken out": func(b *bbolt.Bucket, k, _ []byte) error { return b.Delete(k) },
		} {
			path := scene.TwoFamilies(t)
			there := false
			scene.Damage(t, path, func(tx *bbolt.Tx) error {
				b := tx.Bucket([]byte(bucket))
				if b == nil {
					return nil
				}
				k, v := b.Cursor().First()
				if there = k != nil; !there {
					return nil
				}
				return change(b, bytes.Clone(k), bytes.Clone(v))
			})
			if !there {
				if bucket != "passkeys" && bucket != "tombstones" && bucket != "leaving" && bucket != "leaving_pairs" && bucket != "quarantine" && bucket != "wear" {
					t.Errorf("%s: nothing in it, so the test shows nothing", bucket)
				}
				continue
			}
			faults, err := store.CheckFile(path)
			named := false
			for _, f := range faults {
				named = named || strings.Contains(f.Error(), bucket)
			}
			if err != nil || !named {
				t.Errorf("%s, a pair %s: %v, %v; want it named", bucket, what, faults, err)
			}
		}
	}
}
