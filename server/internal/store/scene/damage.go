package scene

import (
	"encoding/binary"
	"errors"
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
	leaves, err := Leaves(path, bucket)
	if err != nil || len(leaves) == 0 {
		return nil, err
	}
	at := leaves[0]
	for _, l := range leaves[1:] {
		if l.Keys[0] <= key {
			at = l
		}
	}
	return at.Keys, at.Zero(path)
}

// Leaf is a page of a file that holds pairs of a bucket.
type Leaf struct {
	Keys     []string
	at, size int
}

// Zero zeroes the page.
func (l Leaf) Zero(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = f.WriteAt(make([]byte, l.size), int64(l.at*l.size))
	return errors.Join(err, f.Close())
}

// Leaves returns the pages in which a bucket keeps its pairs, in order of the keys;
// none when it has no page of its own. Without a name: the pages of the list of buckets.
func Leaves(path, bucket string) (out []Leaf, err error) {
	root, size, err := rootOf(path, bucket)
	if err != nil || root == 0 {
		return nil, err
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var walk func(at int)
	walk = func(at int) {
		page := raw[at*size:]
		leaf := Leaf{at: at, size: size}
		for i := range int(binary.NativeEndian.Uint16(page[10:])) {
			e := page[16+16*i:]
			n := func(at int) int { return int(binary.NativeEndian.Uint32(e[at:])) }
			if page[8] == 2 { // a leaf: flags, place, length of the key, of the value
				leaf.Keys = append(leaf.Keys, string(e[n(4):n(4)+n(8)]))
			} else { // a branch: place, length, page
				walk(int(binary.NativeEndian.Uint64(e[8:])))
			}
		}
		if len(leaf.Keys) > 0 {
			out = append(out, leaf)
		}
	}
	walk(root)
	return out, nil
}

// rootOf returns the root page of a bucket, 0 for one without pages of its own.
func rootOf(path, bucket string) (root, size int, err error) {
	b, err := bbolt.Open(path, 0o600, &bbolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return 0, 0, err
	}
	defer b.Close()
	err = b.View(func(tx *bbolt.Tx) error {
		x := tx.Cursor().Bucket()
		if bucket != "" {
			x = tx.Bucket([]byte(bucket))
		}
		if x != nil {
			root, size = int(x.Root()), b.Info().PageSize
		}
		return nil
	})
	return root, size, err
}
