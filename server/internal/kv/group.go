package kv

import (
	"errors"
	"sync"
	"sync/atomic"
)

// maxGroup is the most writes that share one commit. What is pressing waits for
// one commit at most, so a group is kept short: at 64 a push still costs a
// thirty-second of the two flushes of a commit.
const maxGroup = 64

// Group gathers writes that wait at the same time into one durable commit, for
// an engine whose commits are costly. It has no timer: a lone write commits at
// once, and while one commit is on its way to the disk the next ones gather
// behind it.
type Group struct {
	update  func(func(Tx) error) error
	contain func(Tx, any) error
	mu      sync.Mutex
	first   turns // what is pressing goes before what waits
	waiting turns
	running bool
	commits atomic.Int64
}

type write struct {
	f    func(Tx) error
	done chan error
}

// NewGroup gathers writes for an engine. update runs one write transaction;
// contain says, as an error, what it was that a write panicked with.
func NewGroup(update func(func(Tx) error) error, contain func(Tx, any) error) *Group {
	return &Group{update: update, contain: contain}
}

// Commits returns how many commits writes have shared so far.
func (g *Group) Commits() int64 { return g.commits.Load() }

// Update runs f in a transaction it may share, and returns when that is durable.
// When f returns an error its own changes are not stored, and f may be run again
// for the others' sake.
func (g *Group) Update(lane Lane, f func(Tx) error) error {
	w := &write{f: f, done: make(chan error, 1)}
	g.mu.Lock()
	queue := &g.waiting
	if lane.Pressing {
		queue = &g.first
	}
	queue.add(lane.Caller, w)
	lead := !g.running
	g.running = true
	g.mu.Unlock()
	if lead {
		g.commitWaiting()
	}
	return <-w.done
}

// commitWaiting commits what waits until nothing does. The leader's own write
// is in the first round; later rounds go to a goroutine so that no caller pays
// for the others.
func (g *Group) commitWaiting() {
	g.commit(g.take())
	g.mu.Lock()
	if g.first.waiting+g.waiting.waiting == 0 {
		g.running = false
		g.mu.Unlock()
		return
	}
	g.mu.Unlock()
	go g.commitWaiting()
}

func (g *Group) take() []*write {
	g.mu.Lock()
	defer g.mu.Unlock()
	out := g.first.take(maxGroup)
	return append(out, g.waiting.take(maxGroup-len(out))...)
}

// guarded turns a panic into an error: a fault in one write must not leave the
// others waiting for ever.
func (g *Group) guarded(f func(Tx) error, tx Tx) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = g.contain(tx, p)
		}
	}()
	return f(tx)
}

var errOneFailed = errors.New("kv: one write of the group failed")

// commit runs the writes in one transaction. One that fails is answered and
// left out, and the rest run again.
func (g *Group) commit(ws []*write) {
	for len(ws) > 0 {
		failed := -1
		var cause error
		err := g.update(func(tx Tx) error {
			for i, w := range ws {
				if cause = g.guarded(w.f, tx); cause != nil {
					failed = i
					return errOneFailed
				}
			}
			return nil
		})
		if failed >= 0 {
			ws[failed].done <- cause
			ws = append(ws[:failed:failed], ws[failed+1:]...)
			continue
		}
		g.commits.Add(1)
		for _, w := range ws {
			w.done <- err
		}
		return
	}
}
