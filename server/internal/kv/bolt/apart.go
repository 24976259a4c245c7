package bolt

import (
	"bytes"
	"fmt"

	"nightkeep/server/internal/kv"
)

// lost is where damaged buckets are moved: their pages stay as they are, nothing
// uses them again, and no transaction of ours sees them.
const lost = "(lost)"

// SetApart moves damaged buckets out of the way, and begins them anew with what of
// them can be read; last is done in the same transaction. A check of the file goes
// on naming the damage; a copy of the file is whole.
func (d *DB) SetApart(buckets []string, last func(kv.Tx) error) error {
	return d.alone(func(x kv.Tx) error {
		for _, name := range buckets {
			if err := x.(*tx).setApart(name); err != nil {
				return fmt.Errorf("set %s apart: %w", name, err)
			}
		}
		return last(x)
	})
}

func (t *tx) setApart(name string) error {
	var kept []kv.Pair
	for k, v := range kv.Around(t, name, func(_, _ []byte, _ error) {}) {
		kept = append(kept, kv.Pair{Key: bytes.Clone(k), Value: bytes.Clone(v)})
	}
	if err := t.move(name); err != nil {
		return err
	}
	for _, p := range kept {
		if err := t.Put(name, p.Key, p.Value); err != nil {
			return err
		}
	}
	return nil
}

// move takes a bucket out of the list of buckets, which may be what is damaged.
func (t *tx) move(name string) error {
	t.caller = false
	aside, err := t.b.CreateBucketIfNotExists([]byte(lost))
	if err == nil {
		aside, err = aside.CreateBucketIfNotExists(fmt.Appendf(nil, "%d", t.b.ID()))
	}
	if err == nil {
		err = t.b.MoveBucket([]byte(name), nil, aside)
	}
	t.caller = true
	return err
}
