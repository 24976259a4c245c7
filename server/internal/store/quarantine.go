package store

import (
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
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

// beyondReading returns the faults that are more than a record set aside.
func beyondReading(faults []error) []error {
	return slices.DeleteFunc(slices.Clone(faults), func(err error) bool { return errors.As(err, &Unreadable{}) || errors.As(err, &Left{}) })
}

// quarantine remembers what could not be read. The record itself stays where it
// is: nothing is lost, and whoever has it whole may write it again.
type quarantine struct {
	mu sync.Mutex
	of map[string]Unreadable
}

// aside notes a record that cannot be read.
func (tx *Tx) aside(bucket string, k []byte, why error) {
	if tx.quarantine == nil {
		return
	}
	tx.quarantine.add(bucket+"\x00"+string(k), Unreadable{Bucket: bucket, Key: keyText(bucket, k), Why: why.Error(), At: tx.Now})
}

func (q *quarantine) add(id string, u Unreadable) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if _, known := q.of[id]; known {
		return
	}
	if q.of == nil {
		q.of = map[string]Unreadable{}
	}
	q.of[id] = u
}

// met notes that a transaction met a damaged part of the file: that is an incident
// which people are told of, and the request that met it fails alone.
func (db *DB) met(err error) error {
	if !errors.Is(err, kv.ErrDamaged) {
		return err
	}
	db.quarantine.mu.Lock()
	defer db.quarantine.mu.Unlock()
	if db.quarantine.of == nil {
		db.quarantine.of = map[string]Unreadable{}
	}
	if _, known := db.quarantine.of[damagedPart]; !known {
		db.quarantine.of[damagedPart] = Unreadable{Bucket: damagedPart, Key: "a page", Why: err.Error(), At: db.now().UTC()}
	}
	return err
}

// damagedPart stands for pages of the file, which are of no one bucket.
const damagedPart = "(damaged file)"

// readAgain takes a record off the list that has been written anew.
func (tx *Tx) readAgain(bucket string, k []byte) {
	if tx.quarantine == nil {
		return
	}
	tx.quarantine.mu.Lock()
	defer tx.quarantine.mu.Unlock()
	delete(tx.quarantine.of, bucket+"\x00"+string(k))
}

func (q *quarantine) list() []Unreadable {
	q.mu.Lock()
	defer q.mu.Unlock()
	out := make([]Unreadable, 0, len(q.of))
	for _, u := range q.of {
		out = append(out, u)
	}
	slices.SortFunc(out, func(a, b Unreadable) int { return strings.Compare(a.Bucket+"\x00"+a.Key, b.Bucket+"\x00"+b.Key) })
	return out
}

// Unreadable returns every record that could not be read since the store was
// opened, by bucket and key.
func (db *DB) Unreadable() []Unreadable { return db.quarantine.list() }

// name remembers what a check of a copy could not read, so that whoever looks is
// told of it.
func (db *DB) name(faults []error) {
	for _, f := range faults {
		var u Unreadable
		if errors.As(f, &u) {
			db.quarantine.add(u.Bucket+"\x00"+u.Key, u)
		}
	}
}

// keyText puts a key into words: its parts with a stroke between them, or as
// hexadecimal digits where it has another form. A key that is the hash of a
// secret is shortened.
func keyText(bucket string, k []byte) string {
	o := owners()[bucket]
	if o.secret {
		return hex.EncodeToString(k[:min(4, len(k))]) + "…"
	}
	if p := parts(o.form, k); p != nil {
		if text := strings.Join(p, "/"); strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) || r == utf8.RuneError }) < 0 {
			return text
		}
	}
	return hex.EncodeToString(k)
}

// unreadablePlace is what sync sends in the place of an entry that cannot be
// read: its id and number, so that cursor and checksum hold.
func (tx *Tx) unreadablePlace(family care.FamilyID, seq uint64, raw []byte) json.RawMessage {
	place := struct {
		ID         string `json:"id"`
		FSeq       uint64 `json:"fseq"`
		Unreadable bool   `json:"unreadable"`
	}{tx.idText(family, seq, raw), seq, true}
	out, err := json.Marshal(place)
	if err != nil {
		panic(err) // text and numbers always marshal
	}
	return out
}

// idText returns the id of an entry without reading it: that kept beside the
// log, else what the entry seems to say.
func (tx *Tx) idText(family care.FamilyID, seq uint64, raw []byte) string {
	if id := tx.idAt(family, seq); id != (rawID{}) {
		return id.String()
	}
	var said struct {
		ID string `json:"id"`
	}
	if len(raw) > checksumBytes {
		_ = json.Unmarshal(raw[checksumBytes:], &said) // which may leave it empty
	}
	return said.ID
}

// readEntry reads the entry that is stored with a number in the log of a family;
// one that cannot be read is set aside.
func (tx *Tx) readEntry(family care.FamilyID, seq uint64, raw []byte) (care.Entry, error) {
	tx.reads++
	if len(raw) < checksumBytes {
		tx.aside("entries", key(string(family), seq), errNoEntry)
		return care.Entry{}, errNoEntry
	}
	e, err := care.ParseEntry(raw[checksumBytes:])
	if err == nil && e.FSeq != seq {
		err = errOtherNumber
	}
	if err != nil {
		tx.aside("entries", key(string(family), seq), err)
	}
	return e, err
}

// mend writes an entry that cannot be read anew, from what a device has sent of
// it under the same id: it had it whole.
func (tx *Tx) mend(family care.FamilyID, e *care.Entry, seq uint64, stored []byte) error {
	sum, err := hex.DecodeString(tx.sumAt(family, seq, stored))
	if err != nil {
		return err
	}
	e.FSeq, e.Recv = seq, tx.Now
	value := e.AppendJSON(sum)
	if err := e.ReadBack(value[checksumBytes:]); err != nil {
		return err
	}
	k := key(string(family), seq)
	if err := tx.put("entries", k, value); err != nil {
		return err
	}
	tx.readAgain("entries", k)
	if err := tx.mark(family, e.Device, e.DSeq, string(e.ID)); err != nil {
		return err
	}
	if err := tx.indexRefs(family, e); err != nil {
		return err
	}
	tx.list(family, e)
	if err := tx.listWear(family, e); err != nil {
		return err
	}
	return tx.spoil(family, e)
}

// rebuilt works a night's record out again from the log, when the record cannot
// be read.
func (tx *Tx) rebuilt(family care.FamilyID, id nightID) nightRecord {
	rec := nightRecord{family: family}
	for seq, raw := range tx.logFrom(family, 0) {
		if e, err := tx.readEntry(family, seq, raw); err == nil && e.Wearer == id.wearer && e.Night == id.date {
			rec.seqs = append(rec.seqs, seq)
		}
	}
	return rec
}

// numberOf reads the number at the end of a key of the log.
func numberOf(k []byte) uint64 {
	if len(k) < 8 {
		return 0
	}
	return binary.BigEndian.Uint64(k[len(k)-8:])
}

// familyOf returns the family of a wearer, empty when nobody knows.
func (tx *Tx) familyOf(w care.WearerID) care.FamilyID {
	have, err := tx.Wearer(w)
	if err != nil {
		return ""
	}
	return have.Family
}
