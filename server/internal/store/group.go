package store

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"go.etcd.io/bbolt"
)

// maxGroup is the most writes that share one commit. What is pressing waits for
// one commit at most, so a group is kept short: at 64 a push still costs a
// thirty-second of the two flushes of a commit.
const maxGroup = 64

// group gathers writes that wait at the same time into one durable commit. It
// has no timer: a lone write commits at once, and while one commit is on its
// way to the disk the next ones gather behind it.
type group struct {
	mu      sync.Mutex
	first   turns // what is pressing goes before what waits
	waiting turns
	running bool
	commits atomic.Int64
}

// Commits returns how many durable commits [DB.Write] has made since opening.
func (db *DB) Commits() int64 { return db.group.commits.Load() }

type write struct {
	f    func(*Tx) error
	done chan error
}

// Write runs f in a write transaction that it may share with other writes, and
// returns when that transaction is durable. When f returns an error its own
// changes are not stored, and f may be run again for the others' sake, so it
// must set, not add to, anything outside the transaction.
func (db *DB) Write(f func(*Tx) error) error { return db.write("", f, &db.group.waiting) }

// WriteFirst is [DB.Write] for what is pressing: it goes before every write that
// waits, so that a symptom report and its message are not held up by a crowd of
// phones that send their nights.
func (db *DB) WriteFirst(f func(*Tx) error) error { return db.write("", f, &db.group.first) }

// WriteFor is [DB.Write], or [DB.WriteFirst] for what is pressing, on behalf of
// somebody outside, who takes turns with all others: however much one caller has
// waiting, nobody else waits longer than for one commit.
func (db *DB) WriteFor(caller string, pressing bool, f func(*Tx) error) error {
	if pressing {
		return db.write(caller, f, &db.group.first)
	}
	return db.write(caller, f, &db.group.waiting)
}

func (db *DB) write(caller string, f func(*Tx) error, queue *turns) error {
	w := &write{f: f, done: make(chan error, 1)}
	db.group.mu.Lock()
	queue.add(caller, w)
	lead := !db.group.running
	db.group.running = true
	db.group.mu.Unlock()
	if lead {
		db.commitWaiting()
	}
	return <-w.done
}

// commitWaiting commits what waits until nothing does. The leader's own write
// is in the first round; later rounds go to a goroutine so that no caller pays
// for the others.
func (db *DB) commitWaiting() {
	db.commit(db.take())
	db.group.mu.Lock()
	if db.group.first.waiting+db.group.waiting.waiting == 0 {
		db.group.running = false
		db.group.mu.Unlock()
		return
	}
	db.group.mu.Unlock()
	go db.commitWaiting()
}

func (db *DB) take() []*write {
	db.group.mu.Lock()
	defer db.group.mu.Unlock()
	out := db.group.first.take(maxGroup)
	return append(out, db.group.waiting.take(maxGroup-len(out))...)
}

// guarded turns a panic into an error: a fault in one write must not leave the
// others waiting for ever.
func guarded(f func(*Tx) error, tx *Tx) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("store: write panicked: %v", p)
		}
	}()
	if err := f(tx); err != nil {
		return err
	}
	return tx.settle()
}

var errOneFailed = errors.New("store: one write of the group failed")

// commit runs the writes in one transaction. One that fails is answered and
// left out, and the rest run again.
func (db *DB) commit(ws []*write) {
	for len(ws) > 0 {
		failed := -1
		var cause error
		err := db.bolt.Update(func(b *bbolt.Tx) error {
			tx := db.tx(b)
			for i, w := range ws {
				began := time.Now()
				tx.reads = 0
				cause = guarded(w.f, tx)
				if db.used(tx, began); cause != nil {
					failed = i
					return errOneFailed
				}
			}
			return nil
		})
		if failed >= 0 {
			ws[failed].done <- writeError(cause)
			ws = append(ws[:failed:failed], ws[failed+1:]...)
			continue
		}
		db.group.commits.Add(1)
		for _, w := range ws {
			w.done <- writeError(err)
		}
		return
	}
}
