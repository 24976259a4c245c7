package pairs

import (
	"bytes"
	"errors"
	"fmt"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/kv"
)

// ReadAll reads every record of a table; one that cannot be read is set aside, and
// so named.
func ReadAll[T any](tx *Tx, t Table[T]) {
	_ = t.Scan(tx, nil, func([]byte, T) bool { return true }) // what cannot be read is set aside, never an error
}

// IsDamaged reports whether an error comes of a damaged part of the file.
func IsDamaged(err error) bool { return errors.Is(err, kv.ErrDamaged) }

// Faults gathers what is wrong.
type Faults []error

// Unless adds a fault when something does not hold.
func (f *Faults) Unless(ok bool, format string, args ...any) {
	if !ok {
		*f = append(*f, fmt.Errorf(format, args...))
	}
}

// Lists checks an index: each pair of it stands for something that belongs to
// the owner.
func (tx *Tx) Lists(f *Faults, ix Index, belongs func(owner, member string) bool) {
	tx.EachKey(string(ix), func(k []byte) {
		owner, member, ok := bytes.Cut(k, []byte{Sep})
		f.Unless(ok && belongs(string(owner), string(member)), "%s: %q has no %q", ix, owner, member)
	})
}

// Unread reports whether a record is there and cannot be read, which is said
// once for each record and not of every list it is on.
func Unread(err error) bool { return err != nil && care.KindOf(err) != care.NotFound }

// Same reports when two buckets do not hold as many pairs.
func (f *Faults) Same(tx *Tx, a, b string) {
	var n, m int
	tx.EachKey(a, func([]byte) { n++ })
	tx.EachKey(b, func([]byte) { m++ })
	f.Unless(n == m, "%s holds %d pairs, %s %d", a, n, b, m)
}
