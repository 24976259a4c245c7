package register

import (
	"encoding/json"
	"slices"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Shelf is a bucket of what the practice wrote about a wearer, each under an id of
// its own. The forms belong to package review, the store keeps them as they come.
type Shelf string

// The shelves.
const (
	Lenses      Shelf = "lenses"
	Endings     Shelf = "endings"
	Events      Shelf = "events"
	Candidates  Shelf = "candidates"
	Attachments Shelf = "attachments"
)

var shelves = []Shelf{Lenses, Endings, Events, Candidates, Attachments}

func (s Shelf) table() pairs.Table[json.RawMessage] {
	return pairs.Table[json.RawMessage]{Name: string(s)}
}

// Shelve stores one thing under its id, or in the place of what was there.
func (tx *Chart) Shelve(s Shelf, w care.WearerID, id string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return s.table().Put(tx.p, pairs.Key(string(w), id), raw)
}

// Shelved reads everything of a wearer on a shelf, in order of id.
func Shelved[T any](tx *Chart, s Shelf, w care.WearerID) ([]T, error) {
	return pairs.Table[T]{Name: string(s)}.List(tx.p, pairs.Key(string(w), ""))
}

// OnShelf reads one thing of a wearer, or gives a not-found error.
func OnShelf[T any](tx *Chart, s Shelf, w care.WearerID, id string) (T, error) {
	return pairs.Table[T]{Name: string(s)}.Get(tx.p, pairs.Key(string(w), id))
}

// attached holds the bytes of attachments in parts, so that no value of the file
// is larger than what the rest of it is made for.
var attached = pairs.Table[[]byte]{Name: "attached"}

const attachedPart = 48 << 10 // bytes; 64 KiB as stored

// Attach stores an attachment and its bytes. What it is stands on its shelf, so
// that lists read no bytes.
func (tx *Chart) Attach(w care.WearerID, id string, what any, content []byte) error {
	n := uint64(0)
	for part := range slices.Chunk(content, attachedPart) {
		if err := attached.Put(tx.p, pairs.Key(string(w), id, n), part); err != nil {
			return err
		}
		n++
	}
	return tx.Shelve(Attachments, w, id, what)
}

// Attached returns the bytes of an attachment; none for an unknown one.
func (tx *Chart) Attached(w care.WearerID, id string) ([]byte, error) {
	parts, err := attached.List(tx.p, pairs.Key(string(w), id, ""))
	return slices.Concat(parts...), err
}

// Detach takes an attachment out, bytes and all.
func (tx *Chart) Detach(w care.WearerID, id string) error {
	var keys [][]byte
	err := attached.Scan(tx.p, pairs.Key(string(w), id, ""), func(k []byte, _ []byte) bool {
		keys = append(keys, slices.Clone(k))
		return true
	})
	for _, k := range keys {
		if err == nil {
			err = attached.Delete(tx.p, k)
		}
	}
	if err != nil {
		return err
	}
	return Attachments.table().Delete(tx.p, pairs.Key(string(w), id))
}

// checkAttached names attachments whose bytes are not all there.
func (tx *Chart) checkAttached() (f pairs.Faults) {
	type sized struct {
		Size int `json:"size"`
	}
	err := pairs.Table[sized]{Name: string(Attachments)}.Scan(tx.p, nil, func(k []byte, a sized) bool {
		parts, err := attached.List(tx.p, append(slices.Clone(k), pairs.Sep))
		have := len(slices.Concat(parts...))
		f.Unless(err == nil && have == a.Size, "attachment %s: %d bytes are there, want %d", pairs.KeyParts("ss", k)[1], have, a.Size)
		return true
	})
	f.Unless(err == nil, "attachments: %v", err)
	return f
}
