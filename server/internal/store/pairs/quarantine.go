package pairs

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"
)

// Unreadable is one stored record that no reader could read. Readers that walk
// through many records set such a one aside and go on, so that one record stops
// no list, no backup and no other family.
type Unreadable struct {
	Bucket string    `json:"bucket"`
	Key    string    `json:"key"` // its ids and numbers, as text
	Why    string    `json:"why"`
	At     time.Time `json:"at"` // when it was first met since the start
}

// Error names the record and says why it cannot be read. A check returns it among
// its faults; a backup is made all the same, since the copy is as whole as the
// file is.
func (u Unreadable) Error() string {
	return fmt.Sprintf("%s: %s cannot be read and is set aside: %s", u.Bucket, u.Key, u.Why)
}

// Quarantine remembers what could not be read. The record itself stays where it
// is: nothing is lost, and whoever has it whole may write it again.
type Quarantine struct {
	mu   sync.Mutex
	of   map[string]Unreadable
	size atomic.Int64 // of it, to be asked with every write
}

// Quarantine notes a record that cannot be read.
func (tx *Tx) Quarantine(bucket string, k []byte, why error) {
	if tx.quarantine == nil {
		return
	}
	tx.quarantine.Add(bucket+"\x00"+string(k), Unreadable{Bucket: bucket, Key: KeyText(bucket, k), Why: why.Error(), At: tx.Now})
}

// Add remembers a record under an id.
func (q *Quarantine) Add(id string, u Unreadable) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if _, known := q.of[id]; known {
		return
	}
	if q.of == nil {
		q.of = map[string]Unreadable{}
	}
	q.of[id] = u
	q.size.Store(int64(len(q.of)))
}

// release takes a record off the list that is being written anew.
func (q *Quarantine) release(bucket string, k []byte) {
	if q == nil || q.size.Load() == 0 {
		return
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	delete(q.of, bucket+"\x00"+string(k))
	q.size.Store(int64(len(q.of)))
}

// List returns what could not be read, by bucket and key.
func (q *Quarantine) List() []Unreadable {
	q.mu.Lock()
	defer q.mu.Unlock()
	out := make([]Unreadable, 0, len(q.of))
	for _, u := range q.of {
		out = append(out, u)
	}
	slices.SortFunc(out, func(a, b Unreadable) int { return strings.Compare(a.Bucket+"\x00"+a.Key, b.Bucket+"\x00"+b.Key) })
	return out
}

// KeyText puts a key into words: its parts with a stroke between them, or as
// hexadecimal digits where it has another form. A key that is the hash of a
// secret is shortened.
func KeyText(bucket string, k []byte) string {
	o := FormOf(bucket)
	if o.Secret {
		return hex.EncodeToString(k[:min(4, len(k))]) + "…"
	}
	if p := KeyParts(o.Form, k); p != nil {
		if text := strings.Join(p, "/"); strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) || r == utf8.RuneError }) < 0 {
			return text
		}
	}
	return hex.EncodeToString(k)
}

// CollectUnreadable notes from now on, in this transaction alone, what cannot be read; the
// function it returns ends that and lists it.
func (tx *Tx) CollectUnreadable() func() []Unreadable {
	met := &Quarantine{}
	tx.quarantine = met
	return func() []Unreadable { tx.quarantine = nil; return met.List() }
}
