package kv

import "strconv"

// maxOfOne is how many writes of one caller share a commit. Whatever a device
// sends, a write of anybody else is in the commit after the one that runs, and
// that commit holds no more than this of the device's.
const maxOfOne = 4

// turns are the writes that wait, each caller's in order, the callers in turn.
type turns struct {
	callers []string // who waits, next first
	of      map[string][]*write
	waiting int
	unnamed int // writes of the program itself, each a caller of its own
}

// add puts a write at the end of its caller's own.
func (t *turns) add(caller string, w *write) {
	if caller == "" {
		t.unnamed++
		caller = "\x00" + strconv.Itoa(t.unnamed)
	}
	if t.of == nil {
		t.of = map[string][]*write{}
	}
	if len(t.of[caller]) == 0 {
		t.callers = append(t.callers, caller)
	}
	t.of[caller] = append(t.of[caller], w)
	t.waiting++
}

// take returns at most so many writes: one of each caller, then another, until
// each has had [maxOfOne]. Whoever still has some comes after all others.
func (t *turns) take(most int) []*write {
	var out []*write
	var served []string
	for round := 0; round < maxOfOne && len(t.callers) > 0 && len(out) < most; round++ {
		again := make([]string, 0, len(t.callers))
		n := min(len(t.callers), most-len(out))
		for _, caller := range t.callers[:n] {
			list := t.of[caller]
			out = append(out, list[0])
			if len(list) == 1 {
				delete(t.of, caller)
				continue
			}
			t.of[caller] = list[1:]
			again = append(again, caller)
		}
		if n < len(t.callers) { // the commit is full
			t.callers, served = t.callers[n:], again
			break
		}
		t.callers = again
	}
	t.callers = append(t.callers, served...)
	t.waiting -= len(out)
	return out
}
