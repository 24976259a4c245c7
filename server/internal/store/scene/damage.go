package scene

import (
	"testing"

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
