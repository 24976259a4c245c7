package pairs

import "sync"

// cacheSize is how many decoded values of one bucket are kept. When it is reached
// all are dropped.
const cacheSize = 8192

// cache keeps what stored bytes decode to. It is asked with the bytes just read,
// so it need never be told of a change: other bytes are another question.
type cache[T any] struct {
	mu sync.RWMutex
	of map[string]T
}

// caches are the caches of an open store, by bucket.
type caches struct{ of sync.Map }

func cacheOf[T any](c *caches, bucket string) *cache[T] {
	if m, ok := c.of.Load(bucket); ok {
		return m.(*cache[T])
	}
	m, _ := c.of.LoadOrStore(bucket, &cache[T]{})
	return m.(*cache[T])
}

// Cached is [Table.Get] that decodes the same bytes once. T must not be changed
// by its callers through pointers.
func (t Table[T]) Cached(tx *Tx, k []byte) (T, error) {
	raw := tx.Get(t.Name, k)
	if raw == nil {
		return t.Get(tx, k)
	}
	return Cached(tx, t.Name, raw, func() (T, error) { return t.Get(tx, k) })
}

// Cached returns what the bytes of a bucket decode to, and decodes them once.
func Cached[T any](tx *Tx, bucket string, raw []byte, decode func() (T, error)) (T, error) {
	if tx.caches == nil {
		return decode()
	}
	m := cacheOf[T](tx.caches, bucket)
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
	if m.of == nil || len(m.of) >= cacheSize {
		m.of = map[string]T{}
	}
	m.of[string(raw)] = v
	return v, nil
}
