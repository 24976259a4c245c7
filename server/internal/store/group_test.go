package store_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Writes that share a commit stand or fall alone: one that fails, or panics,
// is told so and leaves nothing behind; the others are stored.
func TestWriteGroupsStandAlone(t *testing.T) {
	t.Parallel()
	db := open(t)
	boom := errors.New("boom")
	var wg sync.WaitGroup
	results := make([]error, 60)
	for i := range results {
		wg.Go(func() {
			results[i] = db.Write(func(tx *store.Tx) error {
				if err := tx.PutFamily(care.Family{ID: care.FamilyID(fmt.Sprint(i))}); err != nil {
					return err
				}
				switch i % 3 {
				case 1:
					return boom
				case 2:
					panic("fault")
				}
				return nil
			})
		})
	}
	wg.Wait()
	_ = db.View(func(tx *store.Tx) error {
		for i, err := range results {
			_, missing := tx.Family(care.FamilyID(fmt.Sprint(i)))
			if want := i%3 == 0; (err == nil) != want || (missing == nil) != want {
				t.Errorf("write %d: answered %v, stored %v; want success %v", i, err, missing == nil, want)
			}
			if i%3 == 1 && !errors.Is(err, boom) {
				t.Errorf("write %d: got %v, want its own error", i, err)
			}
		}
		return nil
	})
}

// A pressing write goes before all that wait, however many they are.
func TestWriteFirst(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		db := open(t)
		var order []string
		run := func(name string, write func(func(*store.Tx) error) error, wait <-chan bool) {
			go func() {
				_ = write(func(*store.Tx) error {
					if wait != nil {
						<-wait
					}
					order = append(order, name)
					return nil
				})
			}()
			synctest.Wait() // it waits for its turn, or for the test
		}
		disk := make(chan bool)
		run("running", db.Write, disk)
		for range 200 {
			run("night", db.Write, nil)
		}
		run("report", db.WriteFirst, nil)
		close(disk)
		synctest.Wait()
		if len(order) != 202 || order[0] != "running" || order[1] != "report" {
			t.Errorf("order %.3v of %d; want the running one, then the report", order, len(order))
		}
	})
}
