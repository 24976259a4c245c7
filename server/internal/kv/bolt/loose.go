package bolt

import (
	"encoding/binary"
	"hash/fnv"
	"os"

	"nightkeep/server/internal/kv"
)

// bbolt's heads and list of free pages, version 2 of its file: magic, version and
// page size stand after the page's own head; the root, the list of free pages and
// the number of the commit further on.
const (
	freePages = 0x10
	magic     = 0xED0CDAED
	headSize  = pageHead + 8
	headRoot  = pageHead + 16
	headFree  = pageHead + 32
	headTxn   = pageHead + 48
	manyPages = 0xFFFF // so many or more, and the number of them stands first
)

// Loose walks through the pairs of a damaged file page by page, whatever is left of
// it and whether or not something leads there: a walk down the tree may have met
// damage before a page that is whole. The bucket of a pair is not known, and left
// empty. sure says that the list of free pages could be read: then none of what
// is given was replaced or deleted before the damage; else some may have been.
func Loose(path string, each func(p kv.Pair, sure bool) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	at, err := f.Stat()
	if err != nil {
		return err
	}
	l := &loose{f: f, end: at.Size(), size: int64(os.Getpagesize()), seen: map[uint64]bool{}}
	list := l.newestList()
	sure := list != 0 && l.readFree(list)
	for at := 2 * l.size; at+pageHead <= l.end; {
		raw := l.at(at)
		at += l.size
		id, kind := binary.NativeEndian.Uint64(raw), binary.NativeEndian.Uint16(raw[8:])
		if kind != leafPage || l.seen[id] || int64(id) > l.end/l.size {
			continue
		}
		if err := leaf(raw, func(p kv.Pair) error { return each(p, sure) }); err != nil {
			return err
		}
	}
	return nil
}

// loose reads a file page by page, and takes nothing for granted.
type loose struct {
	f         *os.File
	end, size int64           // of the file, of a page
	seen      map[uint64]bool // pages that are free, or were looked at
}

// newestList returns where the newest whole head says that the list of free pages
// begins; 0 when no head is whole.
func (l *loose) newestList() (free uint64) {
	var newest uint64
	for id := range int64(2) {
		raw := make([]byte, headSum+8)
		if _, err := l.f.ReadAt(raw, id*l.size); err != nil {
			continue
		}
		sum := fnv.New64a()
		_, _ = sum.Write(raw[pageHead:headSum]) // never fails
		n := func(at int) uint64 { return binary.NativeEndian.Uint64(raw[at:]) }
		if binary.NativeEndian.Uint32(raw[pageHead:]) != magic || sum.Sum64() != n(headSum) {
			continue
		}
		if id == 0 {
			l.size = int64(binary.NativeEndian.Uint32(raw[headSize:]))
		}
		if free == 0 || n(headTxn) > newest {
			free, newest = n(headFree), n(headTxn)
		}
	}
	return free
}

// at returns the page at a place, as far as the file goes, with those it runs on
// into.
func (l *loose) at(at int64) []byte {
	head := make([]byte, pageHead)
	if _, err := l.f.ReadAt(head, at); err != nil {
		return head
	}
	long := min((int64(binary.NativeEndian.Uint32(head[12:]))+1)*l.size, l.end-at)
	raw := make([]byte, long)
	if _, err := l.f.ReadAt(raw, at); err != nil {
		return head
	}
	return raw
}

// page returns a page that says its own number; nil when there is no such.
func (l *loose) page(id uint64) []byte {
	if id < 2 || int64(id) > l.end/l.size {
		return nil
	}
	if raw := l.at(int64(id) * l.size); binary.NativeEndian.Uint64(raw) == id {
		return raw
	}
	return nil
}

// readFree notes the pages that are free.
func (l *loose) readFree(id uint64) bool {
	raw := l.page(id)
	if raw == nil || binary.NativeEndian.Uint16(raw[8:]) != freePages {
		return false
	}
	n, at := uint64(binary.NativeEndian.Uint16(raw[10:])), pageHead
	if n == manyPages && len(raw) >= pageHead+8 {
		n, at = binary.NativeEndian.Uint64(raw[at:]), at+8
	}
	if uint64(len(raw)-at)/8 < n {
		return false
	}
	for range n {
		l.seen[binary.NativeEndian.Uint64(raw[at:])] = true
		at += 8
	}
	return true
}

// leaf walks through the pairs of a leaf page that lie within it, and through those
// of the small buckets in it.
func leaf(raw []byte, each func(kv.Pair) error) error {
	if len(raw) < pageHead {
		return nil
	}
	for i := range int(binary.NativeEndian.Uint16(raw[10:])) {
		at := pageHead + i*element
		if at+element > len(raw) {
			return nil
		}
		n := func(field int) int64 { return int64(binary.NativeEndian.Uint32(raw[at+field:])) }
		key := int64(at) + n(4)
		value := key + n(8)
		end := value + n(12)
		if end > int64(len(raw)) {
			continue
		}
		k, v := raw[key:value], raw[value:end]
		var err error
		switch {
		case n(0)&isBucket == 0 && len(k) > 0:
			err = each(kv.Pair{Key: k, Value: v})
		case len(v) > bucketHead && binary.NativeEndian.Uint64(v) == 0:
			err = leaf(v[bucketHead:], each)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
