package bolt

import (
	"bytes"
	"errors"
	"fmt"
	"iter"
	"regexp"
	"runtime/debug"
	"syscall"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"nightkeep/server/internal/kv"
)

// tx is one transaction. While caller is set the caller's own code runs; else
// bbolt's, and then a panic says that a page is damaged.
type tx struct {
	b      *bbolt.Tx
	caller bool
	at     string // the bucket that is being read or written
}

func (t *tx) run(b *bbolt.Tx, f func(kv.Tx) error) error {
	t.b, t.caller = b, true
	err := f(t)
	t.caller, t.at = false, ""
	return err
}

// contain ends what a damaged page began: the transaction fails, and the process
// goes on. A panic of the caller's own goes its way.
func (t *tx) contain(fault bool, err *error) {
	debug.SetPanicOnFault(fault)
	p := recover()
	if p == nil {
		return
	}
	if t.caller && !unmapped(p) {
		panic(p)
	}
	*err = t.damaged(p)
}

// Try contains what a damaged page does to a function that only reads: bbolt keeps
// nothing of a read but the walk it was on.
func (t *tx) Try(f func() error) (err error) {
	defer func() {
		switch p := recover(); {
		case p == nil:
		case t.caller && !unmapped(p):
			panic(p)
		default:
			err, t.caller = t.damaged(p), true
		}
	}()
	return f()
}

func (t *tx) damaged(p any) error { return kv.Damaged{Bucket: t.at, Why: words(p)} }

// contain is [tx.contain] for what bbolt does without a transaction of ours.
func contain(fault bool, err *error) {
	debug.SetPanicOnFault(fault)
	if p := recover(); p != nil {
		*err = damaged(p)
	}
}

func damaged(p any) error { return kv.Damaged{Why: words(p)} }

var pageNumber = regexp.MustCompile(`(?i)\bpage[ (](?:expected to be: |id: )?(\d+)`)

// words says what a panic of bbolt's tells of the damage, for who looks after the file.
func words(p any) string {
	if unmapped(p) {
		return "a part of the file is missing"
	}
	if id := pageNumber.FindStringSubmatch(fmt.Sprint(p)); id != nil {
		return "page " + id[1] + " is not what it should be"
	}
	return "a page is not what it should be"
}

// opening puts why a file was not opened into words.
func opening(err error) error {
	for _, known := range []struct {
		is   error
		says string
	}{
		{berrors.ErrInvalid, "it is no data file, or its head is damaged"},
		{berrors.ErrChecksum, "its head is damaged"},
		{berrors.ErrVersionMismatch, "its head is damaged, or it is of another program"},
		{syscall.EINVAL, "it is no data file, or was cut short"},
		{syscall.EISDIR, "it is a folder; want a file"},
	} {
		if errors.Is(err, known.is) {
			return fmt.Errorf("%w: %s", kv.ErrNoFile, known.says)
		}
	}
	return err
}

// unmapped reports whether a panic is a read of the mapped file that failed, as
// of a file that was cut short.
func unmapped(p any) bool {
	_, is := p.(interface{ Addr() uintptr })
	return is
}

// contained says what a write of a group panicked with.
func contained(x kv.Tx, p any) error {
	if t, ours := x.(*tx); ours && t.caller && !unmapped(p) {
		return fmt.Errorf("%w: %v", kv.ErrPanicked, p)
	} else if ours {
		return t.damaged(p)
	}
	return damaged(p)
}

func (t *tx) bucket(name string) *bbolt.Bucket {
	t.at = name
	return t.b.Bucket([]byte(name))
}

func (t *tx) Get(bucket string, key []byte) (v []byte) {
	t.caller = false
	if b := t.bucket(bucket); b != nil {
		v = b.Get(key)
	}
	t.caller = true
	return v
}

var empty = []byte{}

func (t *tx) Put(bucket string, key, value []byte) (err error) {
	if !t.b.Writable() {
		return kv.ErrReadOnly
	}
	if value == nil {
		value = empty
	}
	t.caller = false
	b := t.bucket(bucket)
	if b == nil {
		b, err = t.b.CreateBucket([]byte(bucket))
	}
	if err == nil {
		err = b.Put(key, value)
	}
	t.caller = true
	return err
}

func (t *tx) Delete(bucket string, key []byte) (err error) {
	if !t.b.Writable() {
		return kv.ErrReadOnly
	}
	t.caller = false
	if b := t.bucket(bucket); b != nil {
		err = b.Delete(key)
	}
	t.caller = true
	return err
}

func (t *tx) Drop(bucket string) (err error) {
	if !t.b.Writable() {
		return kv.ErrReadOnly
	}
	t.caller = false
	if t.bucket(bucket) != nil {
		err = t.b.DeleteBucket([]byte(bucket))
	}
	t.caller = true
	return err
}

func (t *tx) Ascend(bucket string, from []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) { t.walk(bucket, from, false, yield) }
}

func (t *tx) Descend(bucket string, below []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) { t.walk(bucket, below, true, yield) }
}

// walk goes through a bucket, back from below a key or on from it.
func (t *tx) walk(bucket string, at []byte, back bool, yield func(k, v []byte) bool) {
	t.caller = false
	if b := t.bucket(bucket); b != nil {
		c := b.Cursor()
		for k, v := start(b, c, at, back); k != nil; {
			t.caller = true
			if !yield(k, v) {
				return
			}
			t.caller, t.at = false, bucket
			if back {
				k, v = before(b, c, k)
			} else {
				k, v = c.Next()
			}
		}
	}
	t.caller = true
}

// above is more than every key that the engine takes.
var above = bytes.Repeat([]byte{0xff}, bbolt.MaxKeySize+1)

func start(b *bbolt.Bucket, c *bbolt.Cursor, at []byte, back bool) (k, v []byte) {
	if !back {
		return c.Seek(at)
	}
	if at == nil {
		at = above
	}
	c.Seek(at)
	return before(b, c, at)
}

// before steps back from a key. A page that a transaction has emptied, or that was
// zeroed, looks to [bbolt.Cursor.Prev] like the beginning, and Last never returns
// when there are only such pages. Whether it is the beginning, the first pair tells;
// the bound is for a damaged file whose keys are in no order.
func before(b *bbolt.Bucket, c *bbolt.Cursor, key []byte) (k, v []byte) {
	if k, v = c.Prev(); k != nil {
		return k, v
	}
	first, _ := b.Cursor().First()
	for pages := b.Tx().Size() / 512; k == nil && first != nil && bytes.Compare(first, key) < 0 && pages > 0; pages-- {
		k, v = c.Prev()
	}
	return k, v
}

func (t *tx) Buckets() (names []string) {
	t.caller = false
	c := t.b.Cursor()
	for k, _ := c.First(); k != nil; k, _ = c.Next() {
		if string(k) != lost {
			names = append(names, string(k))
		}
	}
	t.caller = true
	return names
}

func (t *tx) Serial() int    { return t.b.ID() }
func (t *tx) Writable() bool { return t.b.Writable() }
