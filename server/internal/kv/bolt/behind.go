package bolt

import (
	"bytes"
	"encoding/binary"
	"os"

	"nightkeep/server/internal/kv"
)

// Behind looks into the branch pages of a bucket for where its next pages begin: a
// page that is damaged need not be read for that.
func (t *tx) Behind(bucket string, key []byte) (found []byte) {
	_ = t.Try(func() error { // a bucket of which nothing can be read has nothing behind
		t.caller = false
		root := uint64(0)
		if b := t.bucket(bucket); b != nil {
			root = uint64(b.Root())
		}
		t.caller = true
		if root == 0 {
			return nil
		}
		f, err := os.Open(t.b.DB().Path())
		if err != nil {
			return err
		}
		defer f.Close()
		at, err := f.Stat()
		if err != nil {
			return err
		}
		l := &loose{f: f, end: at.Size(), size: int64(t.b.DB().Info().PageSize), seen: map[uint64]bool{}}
		for _, start := range l.starts(root, key) {
			var k []byte
			err := t.Try(func() error { k, _ = kv.First(t, bucket, start); return nil })
			if err == nil && bytes.Compare(k, key) > 0 {
				found = bytes.Clone(k)
				return nil
			}
		}
		return nil
	})
	return found
}

// starts returns where pages begin after a key, the nearest first.
func (l *loose) starts(id uint64, key []byte) (out [][]byte) {
	raw := l.page(id)
	if raw == nil || l.seen[id] || binary.NativeEndian.Uint16(raw[8:]) != branchPage {
		return nil
	}
	l.seen[id] = true
	var before uint64 // the page in which the key would be
	for i := range int(binary.NativeEndian.Uint16(raw[10:])) {
		at := pageHead + i*element
		if at+element > len(raw) {
			break
		}
		from := int64(at) + int64(binary.NativeEndian.Uint32(raw[at:]))
		to := from + int64(binary.NativeEndian.Uint32(raw[at+4:]))
		if to > int64(len(raw)) {
			continue
		}
		if k := raw[from:to]; bytes.Compare(k, key) > 0 {
			out = append(out, k)
		} else {
			before = binary.NativeEndian.Uint64(raw[at+8:])
		}
	}
	if before == 0 && len(out) > 0 { // before the first
		before = binary.NativeEndian.Uint64(raw[pageHead+8:])
	}
	return append(l.starts(before, key), out...)
}
