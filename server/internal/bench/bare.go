package bench

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"path/filepath"
	"sync"

	"github.com/gofiber/fiber/v2"
	"go.etcd.io/bbolt"
)

// bare is the baseline: Fiber and bbolt with group commit and nothing else. It
// checks no credential, reads no entry and keeps no index.
type bare struct {
	db      *bbolt.DB
	mu      sync.Mutex
	waiting []bareWrite
	running bool
}

type bareWrite struct {
	bucket, k, v []byte
	done         chan error
}

func openBare(dir string) (*bare, error) {
	db, err := bbolt.Open(filepath.Join(dir, "bare.db"), 0o600, &bbolt.Options{InitialMmapSize: 1 << 30, FreelistType: bbolt.FreelistMapType})
	if err != nil {
		return nil, err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		for _, name := range []string{"log", "ids"} {
			if _, err := tx.CreateBucketIfNotExists([]byte(name)); err != nil {
				return err
			}
		}
		return nil
	})
	return &bare{db: db}, err
}

// put stores one pair in a durable commit that it shares with others that wait
// at the same time, without a timer.
func (b *bare) put(bucket, k, v []byte) error {
	w := bareWrite{bucket, k, v, make(chan error, 1)}
	b.mu.Lock()
	b.waiting = append(b.waiting, w)
	lead := !b.running
	b.running = true
	b.mu.Unlock()
	if lead {
		b.commit()
	}
	return <-w.done
}

func (b *bare) commit() {
	b.mu.Lock()
	ws := b.waiting
	b.waiting = nil
	if len(ws) == 0 {
		b.running = false
	}
	b.mu.Unlock()
	if len(ws) == 0 {
		return
	}
	err := b.db.Update(func(tx *bbolt.Tx) error {
		for _, w := range ws {
			if err := tx.Bucket(w.bucket).Put(w.k, w.v); err != nil {
				return err
			}
		}
		return nil
	})
	for _, w := range ws {
		w.done <- err
	}
	go b.commit()
}

// fill stores entries of every family, counted from one number on, as a server
// would that keeps one value per entry and an index of ids.
func (b *bare) fill(families, from, count int) error {
	const chunk = 500
	b.db.NoSync = true
	defer func() { b.db.NoSync = false }()
	for a := 0; a < families; a += chunk {
		err := b.db.Update(func(tx *bbolt.Tx) error {
			for i := a; i < min(a+chunk, families); i++ {
				for n := from; n < from+count; n++ {
					e := entry(i, n, firstNight())
					raw, err := json.Marshal(e)
					if err != nil {
						return err
					}
					k := bareKey(string(familyID(i)), n)
					if err := errors.Join(tx.Bucket([]byte("log")).Put(k, raw), tx.Bucket([]byte("ids")).Put([]byte(e.ID), k)); err != nil {
						return err
					}
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return b.db.Sync()
}

// app answers
//
//	POST /push/:family/:seq   append the body to the family's log, durably
//	POST /replay              look every id of the batch up, commit nothing
//	GET  /pull/:family/:seq   ten values from the sequence number on
func (b *bare) app() *fiber.App {
	app := fiber.New(fiber.Config{DisableStartupMessage: true, Immutable: true})
	app.Post("/push/:family/:seq", b.push)
	app.Post("/replay", b.replay)
	app.Get("/pull/:family/:seq", b.pull)
	return app
}

func bareKey(family string, seq int) []byte {
	return binary.BigEndian.AppendUint64(append([]byte(family), 0), uint64(seq))
}

func (b *bare) push(c *fiber.Ctx) error {
	seq, err := c.ParamsInt("seq")
	if err != nil {
		return err
	}
	if err := b.put([]byte("log"), bareKey(c.Params("family"), seq), c.Body()); err != nil {
		return err
	}
	return c.JSON(fiber.Map{"ok": true})
}

func (b *bare) replay(c *fiber.Ctx) error {
	var batch struct {
		Entries []struct {
			ID string `json:"id"`
		} `json:"entries"`
	}
	if err := json.Unmarshal(c.Body(), &batch); err != nil {
		return err
	}
	known := 0
	err := b.db.View(func(tx *bbolt.Tx) error {
		ids := tx.Bucket([]byte("ids"))
		for _, e := range batch.Entries {
			if ids.Get([]byte(e.ID)) != nil {
				known++
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"known": known})
}

func (b *bare) pull(c *fiber.Ctx) error {
	seq, err := c.ParamsInt("seq")
	if err != nil {
		return err
	}
	list := []json.RawMessage{}
	err = b.db.View(func(tx *bbolt.Tx) error {
		cur := tx.Bucket([]byte("log")).Cursor()
		for k, v := cur.Seek(bareKey(c.Params("family"), seq)); k != nil && len(list) < batchSize; k, v = cur.Next() {
			list = append(list, append([]byte(nil), v...))
		}
		return nil
	})
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"changes": list})
}
