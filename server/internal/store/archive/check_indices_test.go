package archive_test

import (
	"bytes"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// The check finds a pair that is missing in any index, and one too many: an
// alert that no list holds is seen by nobody, and a list that holds one there is
// none of cannot be read.
func TestCheckFindsEveryIndexFault(t *testing.T) {
	t.Parallel()
	sound := scene.TwoFamilies(t)
	if faults, err := store.CheckFile(sound); err != nil || len(faults) > 0 {
		t.Fatalf("before: %v, %v", faults, err)
	}
	extra := map[string][]byte{ // what stands for nothing
		"outbox_due": append(make([]byte, 8), "\x00nothing\x00push\x00staff-1\x000"...), "due": append(make([]byte, 8), "\x00nobody"...),
		"live_alerts": []byte("nothing"), "received": []byte("quincely-family\x0001234567"),
	}
	for _, bucket := range []string{
		"family_people", "family_wearers", "family_devices", "staff_devices", "wearer_alerts", "live_alerts", "outbox_due", "due", "received", "refs",
	} {
		t.Run(bucket, func(t *testing.T) {
			t.Parallel()
			finds := func(what string, change func(*bbolt.Bucket) error) {
				t.Helper()
				path := scene.TwoFamilies(t)
				scene.Forge(t, path, func(tx *bbolt.Tx) error { return change(tx.Bucket([]byte(bucket))) })
				faults, err := store.CheckFile(path)
				if err != nil || len(faults) == 0 {
					t.Errorf("%s: %d faults, %v", what, len(faults), err)
				}
				for _, f := range faults {
					if strings.Contains(f.Error(), "page") {
						t.Errorf("%s: %v; that is about the file, not about the index", what, f)
					}
				}
			}
			finds("the first pair taken", func(b *bbolt.Bucket) error { k, _ := b.Cursor().First(); return b.Delete(bytes.Clone(k)) })
			finds("the last pair taken", func(b *bbolt.Bucket) error { k, _ := b.Cursor().Last(); return b.Delete(bytes.Clone(k)) })
			if bucket == "refs" {
				return // one too many does no harm: it names an entry that refers elsewhere
			}
			k := extra[bucket]
			if k == nil {
				k = []byte("nobody\x00nothing")
			}
			finds("a pair of nothing put in", func(b *bbolt.Bucket) error { return b.Put(k, nil) })
		})
	}
}
