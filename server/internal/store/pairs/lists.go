package pairs

import (
	"sync"

	"nightkeep/server/internal/care"
)

// stamps remember in memory which transaction last changed what the lists of the
// whole practice show of a wearer, so that those lists need not be worked out
// anew for everybody. A mark is set before its transaction commits: a reader of
// the state before finds a mark later than itself and keeps nothing, and one
// that is set by a transaction that fails costs a look, never a wrong line.
type stamps struct {
	mu  sync.RWMutex
	at  map[string]int // by id of a wearer or family
	all int
}

// set marks a wearer or family.
func (s *stamps) set(id string, serial int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.at == nil {
		s.at = map[string]int{}
	}
	s.at[id] = serial
}

// setAll marks everybody.
func (s *stamps) setAll(serial int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all, s.at = serial, nil
}

// Serial names the state of the file this transaction sees, within this opening
// of it; 0 in a write transaction, whose state may never come to be.
func (tx *Tx) Serial() int {
	if tx.kv.Writable() {
		return 0
	}
	return tx.kv.Serial()
}

// Unchanged reports whether nothing about a wearer has changed since a state
// named by [Tx.Serial]: the log, plan, visits, alerts, follow-ups, the family
// and its devices, and the staff. It is false for a serial of 0.
func (tx *Tx) Unchanged(since int, w care.WearerID, f care.FamilyID) bool {
	tx.stamps.mu.RLock()
	defer tx.stamps.mu.RUnlock()
	m := tx.stamps
	return since > 0 && m.all <= since && m.at[string(w)] <= since && m.at[string(f)] <= since
}
