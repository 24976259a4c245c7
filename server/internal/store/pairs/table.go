package pairs

import (
	"encoding/json"
	"fmt"

	"nightkeep/server/internal/care"
)

// Table is a bucket of JSON values of one type.
type Table[T any] struct{ Name string }

// Get returns the value under k, or a [care.NotFound] error.
func (t Table[T]) Get(tx *Tx, k []byte) (T, error) {
	var v T
	raw := tx.Get(t.Name, k)
	if raw == nil {
		return v, care.Errorf(care.NotFound, "not-found", "there is no such entry in %s", t.Name)
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		tx.Quarantine(t.Name, k, err)
		return v, fmt.Errorf("%w: %s: %w", ErrUnreadable, t.Name, err)
	}
	return v, nil
}

// Put stores a value under k.
func (t Table[T]) Put(tx *Tx, k []byte, v T) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("store: write %s: %w", t.Name, err)
	}
	return tx.Put(t.Name, k, raw)
}

// Delete takes k out; a missing one is no error.
func (t Table[T]) Delete(tx *Tx, k []byte) error { return tx.Delete(t.Name, k) }

// Scan calls f for each value whose key starts with prefix, in key order,
// until f returns false. One that cannot be read is set aside, and so is a damaged
// part of the file when all are asked for, with a nil prefix. f must not write to
// the same bucket.
func (t Table[T]) Scan(tx *Tx, prefix []byte, f func(k []byte, v T) bool) error {
	walk := tx.Within(t.Name, prefix)
	if prefix == nil {
		walk = tx.All(t.Name)
	}
	for k, raw := range walk {
		var v T
		tx.Reads++
		if err := json.Unmarshal(raw, &v); err != nil {
			tx.Quarantine(t.Name, k, err)
			continue
		}
		if !f(k, v) {
			return nil
		}
	}
	return nil
}

// List returns every value whose key starts with prefix.
func (t Table[T]) List(tx *Tx, prefix []byte) ([]T, error) {
	out := []T{}
	err := t.Scan(tx, prefix, func(_ []byte, v T) bool { out = append(out, v); return true })
	return out, err
}

// HasPrefix reports whether a key begins with a prefix.
func HasPrefix(k, prefix []byte) bool {
	return len(k) >= len(prefix) && string(k[:len(prefix)]) == string(prefix)
}

// Index is a bucket of keys with empty values: owner|member.
type Index string

// Put lists a member of owner.
func (ix Index) Put(tx *Tx, owner, member string) error {
	k := Key(owner, member)
	if v := tx.Get(string(ix), k); v != nil && len(v) == 0 {
		return nil // is there
	}
	return tx.Put(string(ix), k, nil)
}

// Drop takes a member of owner off the list.
func (ix Index) Drop(tx *Tx, owner, member string) error {
	return tx.Delete(string(ix), Key(owner, member))
}

// Members returns the members of owner in key order.
func (ix Index) Members(tx *Tx, owner string) []string {
	prefix := Key(owner, "")
	var out []string
	for k := range tx.Within(string(ix), prefix) {
		out = append(out, string(k[len(prefix):]))
	}
	return out
}

// Resolve returns what the ids of a list stand for. One that cannot be read, or
// stands in a damaged part of the file, is set aside, and one there is none of is
// left out: check names them.
func Resolve[T any](tx *Tx, ids []string, get func(string) (T, error)) ([]T, error) {
	out := make([]T, 0, len(ids))
	for _, id := range ids {
		_ = tx.Try(func() error { // what it met is set aside
			v, err := get(id)
			if err == nil {
				out = append(out, v)
			}
			return err
		})
	}
	return out, nil
}
