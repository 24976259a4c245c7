package scene

import (
	"encoding/binary"
	"os"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/store/forge"
)

// edit changes a file as somebody would who means to deceive: content sums and
// digests are worked out anew.
func Forge(t *testing.T, path string, f func(*bbolt.Tx) error) {
	t.Helper()
	Damage(t, path, f)
	if err := forge.Reseal(path); err != nil {
		t.Fatal(err)
	}
}

// Damage changes a file behind the program's back.
func Damage(t *testing.T, path string, f func(*bbolt.Tx) error) {
	t.Helper()
	b, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.Update(f); err != nil {
		t.Fatal(err)
	}
}

// ZeroPage zeroes the page of a file in which a bucket keeps a key, as a disk does
// that lost it, and returns which keys of the bucket stood in it; none when the
// bucket has no page of its own.
func ZeroPage(path, bucket, key string) (lost []string, err error) {
	root, size, err := rootOf(path, bucket)
	if err != nil || root == 0 {
		return nil, err
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for at := root * size; ; {
		page, next := raw[at:at+size], uint64(0)
		lost = nil
		for i := range int(binary.NativeEndian.Uint16(page[10:])) {
			e := page[16+16*i:]
			n := func(at int) int { return int(binary.NativeEndian.Uint32(e[at:])) }
			if page[8] == 2 { // a leaf: flags, place, length of the key, of the value
				lost = append(lost, string(e[n(4):n(4)+n(8)]))
			} else if string(e[n(0):n(0)+n(4)]) <= key || i == 0 { // a branch: place, length, page
				next = binary.NativeEndian.Uint64(e[8:])
			}
		}
		if page[8] == 2 {
			clear(page)
			return lost, os.WriteFile(path, raw, 0o600)
		}
		at = int(next) * size
	}
}

// rootOf returns the root page of a bucket, 0 for one without pages of its own.
func rootOf(path, bucket string) (root, size int, err error) {
	b, err := bbolt.Open(path, 0o600, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return 0, 0, err
	}
	defer b.Close()
	err = b.View(func(tx *bbolt.Tx) error {
		if x := tx.Bucket([]byte(bucket)); x != nil {
			root, size = int(x.Root()), b.Info().PageSize
		}
		return nil
	})
	return root, size, err
}
