package pairs

import (
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"

	"nightkeep/server/internal/care"
)

// ErrUnreadable says that a stored record could not be read.
var ErrUnreadable = errors.New("store: a record cannot be read")

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

// Quarantine remembers what could not be read, also after a restart: it is kept in
// a bucket of its own. The record itself stays where it is: nothing is lost, and
// whoever has it whole may write it again.
type Quarantine struct {
	mu              sync.Mutex
	of              map[string]Unreadable // by bucket|key
	size            atomic.Int64          // of it, to be asked with every write
	changes, stored int                   // counted, and up to which the stored list goes
}

// QuarantineBucket keeps what could not be read.
const QuarantineBucket = "quarantine"

var setAsides = Table[Unreadable]{Name: QuarantineBucket}

// aPart stands for records of which not even the keys can be read.
const aPart = "a damaged part of the file"

// whole stands for parts of the file that are of no one bucket.
const whole = "(the file)"

// Quarantine notes a record that cannot be read.
func (tx *Tx) Quarantine(bucket string, k []byte, why error) {
	if tx.quarantine == nil {
		return
	}
	tx.quarantine.Add(bucket+"\x00"+string(k), Unreadable{Bucket: bucket, Key: KeyText(bucket, k), Why: care.JSONWords(why), At: tx.Now})
}

// between names a damaged part by the keys on both sides of it.
func (tx *Tx) between(bucket string, after, before []byte) string {
	out := aPart
	if after != nil {
		out += " after " + KeyText(bucket, after)
	}
	if before != nil {
		out += " before " + KeyText(bucket, before)
	}
	return out
}

func (tx *Tx) setAside(bucket, part string, why error) {
	if tx.quarantine != nil {
		tx.quarantine.Damaged(bucket, part, why, tx.Now)
	}
}

// Damaged notes a part of the file that cannot be read: of a bucket, or of none.
func (q *Quarantine) Damaged(bucket, part string, why error, at time.Time) {
	u := Unreadable{Bucket: cmp.Or(bucket, whole), Key: cmp.Or(part, aPart), Why: why.Error(), At: at}
	q.Add(u.Bucket+"\x00"+u.Key, u)
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
	q.changes++
	q.size.Store(int64(len(q.of)))
}

// Load reads what was set aside before the file was opened.
func (q *Quarantine) Load(tx *Tx) error {
	met := q.changes // while it was opened, and not stored yet
	err := setAsides.Scan(tx, nil, func(k []byte, u Unreadable) bool { q.Add(string(k), u); return true })
	q.stored = q.changes - met
	return err
}

// Save brings the stored list up to date with the one that is remembered.
func (q *Quarantine) Save(update func(func(*Tx) error) error) error {
	q.mu.Lock()
	list, changes, is := maps.Clone(q.of), q.changes, q.changes == q.stored
	q.mu.Unlock()
	if is {
		return nil
	}
	err := update(func(tx *Tx) error {
		for k := range tx.Ascend(QuarantineBucket, nil) {
			if _, still := list[string(k)]; still {
				delete(list, string(k))
				continue
			}
			list[string(k)] = Unreadable{} // to be taken out
		}
		for id, u := range list {
			var err error
			if u == (Unreadable{}) {
				err = tx.Delete(QuarantineBucket, []byte(id))
			} else {
				err = setAsides.Put(tx, []byte(id), u)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		q.mu.Lock()
		q.stored = changes
		q.mu.Unlock()
	}
	return err
}

// Found makes the list what a check of the whole file has found.
func (q *Quarantine) Found(all []Unreadable) {
	known := map[string]bool{}
	is := map[string]bool{}
	for _, u := range all {
		is[u.Bucket+"\x00"+u.Key] = true
	}
	q.mu.Lock()
	for id, u := range q.of {
		name := u.Bucket + "\x00" + u.Key
		if known[name] = is[name]; !is[name] {
			delete(q.of, id)
			q.changes++
		}
	}
	q.size.Store(int64(len(q.of)))
	q.mu.Unlock()
	for _, u := range all {
		if name := u.Bucket + "\x00" + u.Key; !known[name] {
			q.Add(name, u)
		}
	}
}

// release takes a record off the list that is being written anew.
func (q *Quarantine) release(bucket string, k []byte) {
	if q == nil || q.size.Load() == 0 {
		return
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	if id := bucket + "\x00" + string(k); q.of[id] != (Unreadable{}) {
		delete(q.of, id)
		q.changes++
	}
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
