package store

import (
	"bytes"
	"encoding/json"
	"slices"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/pairs"
)

// lasting are the buckets of which a pair is taken from a page that may have been
// given up before the damage: what people wrote, and who they are. What lets somebody
// in, or sends something, is not: it may have been taken back since.
var lasting = []string{
	"families", "people", "wearers", "plans", "visits", "lenses", "endings", "events", "candidates", "attachments", "attached", "entries", "held", "conflicts", "alerts", "fired", "followups", "audit", "tombstones",
}

// loose copies the pairs in pages to which nothing leads any more that the tree did
// not have. Their content sums say which bucket they are of.
func (out *Repaired) loose(from string, to *bolt.DB) error {
	var batch []kv.Pair
	taken := map[string]bool{} // from a loose page: another may hold another state
	put := func() error {
		return to.Update(kv.Alone, func(k kv.Tx) error {
			for _, p := range batch {
				id := p.Bucket + "\x00" + string(p.Key)
				if have := k.Get(p.Bucket, p.Key); have != nil && (!taken[id] || !newer(p.Bucket, p.Value, have)) {
					continue
				} else if have == nil {
					out.Pairs, out.Loose, taken[id] = out.Pairs+1, out.Loose+1, true
				}
				if err := k.Put(p.Bucket, p.Key, p.Value); err != nil {
					return err
				}
			}
			batch = batch[:0]
			return nil
		})
	}
	unsure := false
	err := bolt.Loose(from, func(p kv.Pair, sure bool) error {
		p.Bucket = bucketOf(p)
		if p.Bucket == "" || anew(p.Bucket) || !sure && !slices.Contains(lasting, p.Bucket) {
			return nil
		}
		unsure = !sure
		batch = append(batch, kv.Pair{Bucket: p.Bucket, Key: bytes.Clone(p.Key), Value: bytes.Clone(p.Value)})
		if len(batch) < 1000 {
			return nil
		}
		return put()
	})
	if err != nil {
		return err
	}
	if err := put(); err != nil {
		return err
	}
	if unsure && out.Loose > 0 {
		out.lose("(the file)", "%d records were found in pages of which nothing says whether they were given up before: some may be of an earlier state, and nobody is let in by them", out.Loose)
	}
	return nil
}

// bucketOf returns the bucket whose content sum a pair has; "" for none.
func bucketOf(p kv.Pair) string {
	for _, b := range pairs.Buckets {
		if pairs.Fits(b.Name, p.Key, p.Value) {
			return b.Name
		}
	}
	return ""
}

// newer reports which of two states of a record is taken: of an alert one that is
// live, because a rule may raise concern and never lower it; else the longer one,
// since records mostly grow.
func newer(bucket string, found, have []byte) bool {
	if bucket == "alerts" && live(found) != live(have) {
		return live(found)
	}
	return len(found) > len(have)
}

func live(stored []byte) bool {
	var a escalate.Alert
	err := json.NewDecoder(bytes.NewReader(stored)).Decode(&a) // its content sum stands behind it
	return err == nil && a.Live()
}
