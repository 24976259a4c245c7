package bolt

import (
	"errors"
	"iter"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"go.etcd.io/bbolt"

	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
)

// CopyTo writes what the file holds to an empty or new one, without free pages: what was
// erased does not stand in the copy. It goes in pieces of a megabyte, each on the
// disk before the next, so that little waits for the disk before a commit; rest is
// told how long each took, and may wait before the next. The read transaction lasts
// as long as all of it, so the disk must not be a slow network.
func (d *DB) CopyTo(path string, rest func(took time.Duration)) (err error) {
	defer contain(debug.SetPanicOnFault(true), &err)
	to, err := Open(path, Options{})
	if err != nil {
		return err
	}
	err = d.View(func(tx kv.Tx) error { return to.fillFrom(kv.Pairs(tx), asItIs, rest) })
	return errors.Join(err, to.Close())
}

// InPlace reports whether the name of the file still leads to the one that is open:
// taken away or replaced while it is, what is written is in no file that anybody
// finds later.
func (d *DB) InPlace() bool {
	open, err := d.file.Stat()
	named, lost := os.Stat(d.b.Path())
	return err == nil && lost == nil && os.SameFile(open, named)
}

// Check looks at every page of the file and returns what is wrong. bbolt's own
// look happens in a goroutine of its own, where a page that points out of the
// file would end the process; so every pair is read first, and every page.
func (d *DB) Check() (faults []error) {
	err := d.View(func(tx kv.Tx) error {
		for range kv.Pairs(tx) {
			runtime.Gosched() // while a backup is checked, what families send goes first
		}
		return nil
	})
	if err == nil {
		err = d.pages(func(f error) { faults = append(faults, f) })
	}
	if err != nil {
		faults = append(faults, err)
	}
	return faults
}

func (d *DB) pages(fault func(error)) (err error) {
	defer contain(debug.SetPanicOnFault(true), &err)
	return d.b.View(func(tx *bbolt.Tx) error {
		if err := wellFormed(tx, d.b.Path()); err != nil {
			return err
		}
		for err := range tx.Check() {
			if strings.Contains(err.Error(), "key[") { // followed by the bytes of a key
				err = kv.Damaged{Why: words(err)}
			}
			fault(err)
		}
		return nil
	})
}

// WellFormed returns what is wrong with the form of the file's pages: the first
// that points where it may not, or a damaged head.
func (d *DB) WellFormed() (err error) {
	defer contain(debug.SetPanicOnFault(true), &err)
	return d.b.View(func(tx *bbolt.Tx) error { return wellFormed(tx, d.b.Path()) })
}

// Size returns the size of the file in bytes, free pages included.
func (d *DB) Size() (n int64) {
	_ = d.b.View(func(tx *bbolt.Tx) error { n = tx.Size(); return nil })
	return n
}

// compactBatch bounds one write transaction of a compaction, in bytes.
const compactBatch = 1 << 20

// Renew writes the file anew, without free pages and what may still stand in
// them, and takes the new one in place of the old. form gives the value each pair
// has in the new one; nil leaves all as they are. last is done to the new one
// before it takes the place. Nobody may use the file meanwhile.
func (d *DB) Renew(form func(bucket string, k, v []byte) []byte, last func(kv.Tx) error) error {
	path := d.Path()
	tmp := path + ".part"
	defer os.Remove(tmp)
	if err := d.compactTo(tmp, form, last); err != nil {
		return err
	}
	if err := d.b.Close(); err != nil {
		return err
	}
	if err := durable.Rename(tmp, path); err != nil {
		return err
	}
	b, file, err := open(path, d.opt)
	if err != nil {
		return err
	}
	d.b, d.file = b, file
	return nil
}

func (d *DB) compactTo(path string, form func(bucket string, k, v []byte) []byte, last func(kv.Tx) error) (err error) {
	defer contain(debug.SetPanicOnFault(true), &err)
	_ = os.Remove(path) // what an attempt that was cut off has left
	to, err := Open(path, Options{})
	if err != nil {
		return err
	}
	to.b.NoSync = true // it is flushed once, before it has the name
	if form == nil {
		form = asItIs
	}
	err = d.View(func(tx kv.Tx) error { return to.fillFrom(kv.Pairs(tx), form, func(time.Duration) {}) })
	if err == nil {
		err = to.alone(last)
	}
	return errors.Join(err, to.b.Sync(), to.Close())
}

func asItIs(_ string, _, v []byte) []byte { return v }

// fillFrom puts pairs that come in order into an empty file, some at a time, and
// says how long each piece took.
func (d *DB) fillFrom(pairs iter.Seq[kv.Pair], form func(bucket string, k, v []byte) []byte, rest func(took time.Duration)) error {
	var batch []kv.Pair
	size, began := 0, time.Now()
	put := func() error {
		defer func() {
			rest(time.Since(began))
			began = time.Now()
		}()
		return d.b.Update(func(b *bbolt.Tx) error {
			for _, p := range batch {
				bucket, err := b.CreateBucketIfNotExists([]byte(p.Bucket))
				if err != nil {
					return err
				}
				bucket.FillPercent = fill
				if err := bucket.Put(p.Key, p.Value); err != nil {
					return err
				}
			}
			batch, size = batch[:0], 0
			return nil
		})
	}
	for p := range pairs {
		p.Value = form(p.Bucket, p.Key, p.Value)
		batch = append(batch, p)
		if size += len(p.Key) + len(p.Value); size < compactBatch {
			continue
		}
		if err := put(); err != nil {
			return err
		}
	}
	return put()
}
