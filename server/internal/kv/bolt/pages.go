package bolt

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"runtime"

	"go.etcd.io/bbolt"
)

// What bbolt's own check reads without asking whether it points into the file is
// looked at here first: bbolt does it in a goroutine of its own, where such a
// pointer would end the process. The form of a page is bbolt's, version 2 of its
// file: a head of 16 bytes (number, flags, count, overflow), then elements of 16
// bytes that say where keys and values stand.
const (
	pageHead   = 16
	element    = 16
	branchPage = 1
	leafPage   = 2
	isBucket   = 1  // of a leaf element: the value is a bucket
	bucketHead = 16 // root page and sequence; an inline bucket's page follows
	headSum    = 72 // of a head: where its FNV-1a sum stands
)

var errPage = errors.New("a page is not well formed")

// pageReader walks through the pages of a file that a transaction reaches.
type pageReader struct {
	f    *os.File
	size int64 // of a page
	seen map[uint64]bool
}

// wellFormed returns an error when a page that a transaction reaches points out of
// itself, out of the file, or to a page that was reached before.
func wellFormed(tx *bbolt.Tx, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r := &pageReader{f: f, size: int64(tx.DB().Info().PageSize), seen: map[uint64]bool{}}
	if err := r.heads(); err != nil {
		return err
	}
	return r.page(uint64(tx.Cursor().Bucket().Root()))
}

// heads looks at the two pages by which the file is opened, of which each commit
// writes one. With one damaged the file opens as it stood a commit before.
func (r *pageReader) heads() error {
	for id := range int64(2) {
		raw := make([]byte, headSum+8)
		if _, err := r.f.ReadAt(raw, id*r.size); err != nil {
			return err
		}
		sum := fnv.New64a()
		_, _ = sum.Write(raw[pageHead:headSum]) // never fails
		if sum.Sum64() != binary.NativeEndian.Uint64(raw[headSum:]) {
			return fmt.Errorf("page %d, a head of the file: %w: what was stored last may be missing", id, errPage)
		}
	}
	return nil
}

func (r *pageReader) page(id uint64) error {
	bad := func(what string) error { return fmt.Errorf("page %d: %w: %s", id, errPage, what) }
	if r.seen[id] {
		return bad("it is reached twice")
	}
	r.seen[id] = true
	runtime.Gosched() // while a backup is checked, what families send goes first
	head := make([]byte, pageHead)
	if _, err := r.f.ReadAt(head, int64(id)*r.size); err != nil {
		return bad("it is not in the file")
	}
	if binary.NativeEndian.Uint64(head) != id {
		return bad("it says another number")
	}
	whole := (int64(binary.NativeEndian.Uint32(head[12:])) + 1) * r.size
	if at, err := r.f.Stat(); err != nil || whole > at.Size() {
		return bad("it is longer than the file")
	}
	raw := make([]byte, whole)
	if _, err := r.f.ReadAt(raw, int64(id)*r.size); err != nil {
		return bad("it ends after the file")
	}
	if err := r.elements(raw); err != nil {
		return bad(err.Error())
	}
	return nil
}

// elements looks at the elements of a page, and at what they lead to.
func (r *pageReader) elements(raw []byte) error {
	if len(raw) < pageHead {
		return errors.New("it has no head")
	}
	flags, count := binary.NativeEndian.Uint16(raw[8:]), int(binary.NativeEndian.Uint16(raw[10:]))
	if flags != branchPage && flags != leafPage {
		return fmt.Errorf("it is of kind %d", flags)
	}
	if pageHead+count*element > len(raw) {
		return errors.New("it has more elements than room")
	}
	for i := range count {
		at := pageHead + i*element
		n := func(field int) int { return int(binary.NativeEndian.Uint32(raw[at+field:])) }
		if flags == branchPage {
			if at+n(0)+n(4) > len(raw) {
				return fmt.Errorf("key %d points out of it", i)
			}
			if err := r.page(binary.NativeEndian.Uint64(raw[at+8:])); err != nil {
				return err
			}
			continue
		}
		start := at + n(4) + n(8)
		if start+n(12) > len(raw) {
			return fmt.Errorf("pair %d points out of it", i)
		}
		if n(0)&isBucket == 0 {
			continue
		}
		if err := r.nested(raw[start : start+n(12)]); err != nil {
			return err
		}
	}
	return nil
}

// nested looks at a bucket in a value: its root page, or its page in place.
func (r *pageReader) nested(value []byte) error {
	if len(value) < bucketHead {
		return errors.New("a bucket has no head")
	}
	if root := binary.NativeEndian.Uint64(value); root != 0 {
		return r.page(root)
	}
	return r.elements(value[bucketHead:])
}
