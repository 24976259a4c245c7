// Package bolt keeps the pairs of package kv in one bbolt file. It is the only
// package of the program that knows bbolt; what a file can do beyond the seam
// (be copied, checked page by page, written anew) are methods of [DB]. It
// refuses to know what the pairs mean.
//
// bbolt: a value lives as long as its transaction; a reader that stays open
// stops the file from using its free pages again; one process has the file. The
// memory map is opened large, so that it need not grow under readers. There is
// no NoFreelistSync: it makes a cold open slow.
package bolt

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"sync/atomic"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"

	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
)

// initialMmap is the address space reserved at opening, in bytes. It costs no
// memory and no disk; growing the map under load would block on readers.
const initialMmap = 1 << 30

// fill is how full a page is left when it is split, of buckets whose keys come in
// order: the half that bbolt would leave free in every page would stay free. A
// log of families that write by turns took 2.4 times its own bytes, and takes 1.4
// times.
const fill = 0.85

// Options say how a file is opened.
type Options struct {
	ReadOnly bool
	// Ordered are the buckets into which keys mostly come in ascending order.
	Ordered []string
}

// DB is an open file. It fits [kv.DB].
type DB struct {
	refused atomic.Int64 // when a commit last failed, Unix milliseconds
	failing atomic.Bool  // the last one did
	b       *bbolt.DB
	file    *os.File // which b has open
	opt     Options
	group   *kv.Group
}

// Open opens or creates a file. When another process has it for a second, the
// error is [kv.ErrBusy].
func Open(path string, opt Options) (*DB, error) {
	b, file, err := open(path, opt)
	if err != nil {
		return nil, err
	}
	d := &DB{b: b, file: file, opt: opt}
	d.group = kv.NewGroup(d.alone, contained)
	return d, nil
}

func open(path string, opt Options) (b *bbolt.DB, file *os.File, err error) {
	o := bbolt.Options{Timeout: time.Second, InitialMmapSize: initialMmap, FreelistType: bbolt.FreelistMapType, ReadOnly: opt.ReadOnly}
	if opt.ReadOnly {
		o.InitialMmapSize = 0
	}
	var files []*os.File // which a panic would leave open, and the file locked
	o.OpenFile = func(path string, flag int, mode os.FileMode) (*os.File, error) {
		f, err := os.OpenFile(path, flag, mode)
		files, file = append(files, f), f
		return f, err
	}
	defer func() {
		for _, f := range files {
			if err != nil && f != nil {
				unlock(f)
				_ = f.Close() // mostly closed already
			}
		}
	}()
	defer contain(debug.SetPanicOnFault(true), &err)
	isNew := durable.Missing(path)
	b, err = bbolt.Open(path, 0o600, &o)
	if err == nil && isNew {
		err = durable.Name(path)
	}
	if errors.Is(err, berrors.ErrTimeout) {
		return nil, nil, fmt.Errorf("%w: %s", kv.ErrBusy, path)
	}
	return b, file, opening(err)
}

// View runs f in a read transaction. Keep it short: never write to a network
// inside.
func (d *DB) View(f func(kv.Tx) error) (err error) {
	t := &tx{}
	defer t.contain(debug.SetPanicOnFault(true), &err)
	return d.b.View(func(b *bbolt.Tx) error { return t.run(b, f) })
}

// Update runs f in a write transaction and commits durably.
func (d *DB) Update(lane kv.Lane, f func(kv.Tx) error) error {
	if lane.Alone {
		return d.alone(f)
	}
	return d.group.Update(lane, f)
}

// Refused returns when the file last took no commit, by the machine's clock, and
// whether none has been taken since: a full or failing disk. Zero: never since
// opening.
func (d *DB) Refused() (at time.Time, still bool) {
	if ms := d.refused.Load(); ms != 0 {
		at = time.UnixMilli(ms)
	}
	return at, d.failing.Load()
}

func (d *DB) alone(f func(kv.Tx) error) (err error) {
	t := &tx{}
	done := false
	defer func() {
		if done { // the caller's part was well; what is wrong now is the file's
			d.failing.Store(err != nil)
		}
		if done && err != nil {
			d.refused.Store(time.Now().UnixMilli())
		}
	}()
	defer t.contain(debug.SetPanicOnFault(true), &err)
	return d.b.Update(func(b *bbolt.Tx) error {
		for _, name := range d.opt.Ordered {
			if bucket := b.Bucket([]byte(name)); bucket != nil {
				bucket.FillPercent = fill
			}
		}
		err := t.run(b, f)
		done = err == nil
		return err
	})
}

// Close waits for open transactions and closes the file.
func (d *DB) Close() error { return d.b.Close() }

// Path returns the file's path.
func (d *DB) Path() string { return d.b.Path() }

// Commits returns how many commits writes have shared since opening.
func (d *DB) Commits() int64 { return d.group.Commits() }

// NoSync turns durable commits off or on again. It is for playing a demo or a
// simulation into a file nobody relies on; turning it off flushes the file.
func (d *DB) NoSync(relaxed bool) {
	d.b.NoSync = relaxed
	if !relaxed {
		_ = d.b.Sync() // the next commit reports a disk that fails
	}
}
