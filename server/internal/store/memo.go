package store

import (
	"sync"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
)

// memoSize is how many decoded values of one kind are remembered. When it is
// reached all are forgotten.
const memoSize = 8192

// memo remembers what stored bytes decode to. It is asked with the bytes just
// read, so it need never be told of a change: other bytes are another question.
type memo[T any] struct {
	mu sync.RWMutex
	of map[string]T
}

// memos are those of what every request looks up.
type memos struct {
	families    memo[care.Family]
	people      memo[care.Person]
	wearers     memo[care.Wearer]
	devices     memo[care.Device]
	credentials memo[Credential]
	plans       memo[schedule.Plan]
}

// recall is [table.get] that decodes the same bytes once. T must not be changed
// by its callers through pointers.
func recall[T any](tx *Tx, of func(*memos) *memo[T], t table[T], k []byte) (T, error) {
	raw := tx.get(t.name, k)
	if raw == nil {
		return t.get(tx, k)
	}
	return recalled(tx, of, raw, func() (T, error) { return t.get(tx, k) })
}

// recalled returns what raw decodes to, and decodes it once.
func recalled[T any](tx *Tx, of func(*memos) *memo[T], raw []byte, decode func() (T, error)) (T, error) {
	if tx.memos == nil {
		return decode()
	}
	m := of(tx.memos)
	m.mu.RLock()
	v, known := m.of[string(raw)]
	m.mu.RUnlock()
	if known {
		return v, nil
	}
	v, err := decode()
	if err != nil {
		return v, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.of == nil || len(m.of) >= memoSize {
		m.of = map[string]T{}
	}
	m.of[string(raw)] = v
	return v, nil
}
