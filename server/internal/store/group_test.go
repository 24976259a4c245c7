package store_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/scene"
)

// Writes that share a commit stand or fall alone: one that fails, or panics,
// is told so and leaves nothing behind; the others are stored.
func TestWriteGroupsStandAlone(t *testing.T) {
	t.Parallel()
	db := scene.Open(t)
	boom := errors.New("boom")
	var wg sync.WaitGroup
	results := make([]error, 60)
	for i := range results {
		wg.Go(func() {
			results[i] = db.Write(func(tx *store.Tx) error {
				if err := tx.Register().AddFamily(care.Family{ID: care.FamilyID(fmt.Sprint(i))}); err != nil {
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
			_, missing := tx.Register().Family(care.FamilyID(fmt.Sprint(i)))
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
		db := scene.Open(t)
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

// However much one caller has waiting, pressing or not, a write of anybody else
// is in the next commit, and so are no more than four of that caller's.
func TestOneCallerCannotHoldTheOthers(t *testing.T) {
	t.Parallel()
	for _, pressing := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			db := scene.Open(t)
			var order []string
			run := func(caller string, wait <-chan bool) {
				go func() {
					_ = db.WriteFor(caller, pressing, func(*store.Tx) error {
						if wait != nil {
							<-wait
						}
						order = append(order, caller)
						return nil
					})
				}()
				synctest.Wait()
			}
			disk := make(chan bool)
			run("hostile", disk)
			for range 300 {
				run("hostile", nil)
			}
			run("a", nil)
			run("b", nil)
			before := db.Commits()
			close(disk)
			synctest.Wait()
			if len(order) != 303 || fmt.Sprint(order[1:4]) != "[hostile a b]" {
				t.Errorf("pressing %t: order %v of %d; want the running one, one of the same, then a and b", pressing, order[:min(9, len(order))], len(order))
			}
			if n := db.Commits() - before; n < 300/4 {
				t.Errorf("pressing %t: %d commits for 300 writes of one caller; want at most 4 of them in each", pressing, n)
			}
		})
	}
}

// A full commit leaves the rest in its order.
func TestTurnsKeepTheirOrder(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		db := scene.Open(t)
		var order []int
		disk := make(chan bool)
		for i := range 200 {
			go func() {
				_ = db.WriteFor(fmt.Sprint(i%100), false, func(*store.Tx) error {
					if i == 0 {
						<-disk
					}
					order = append(order, i)
					return nil
				})
			}()
			synctest.Wait()
		}
		close(disk)
		synctest.Wait()
		last := map[int]int{}
		for at, i := range order {
			if first, ok := last[i%100]; ok && order[first] > i {
				t.Errorf("caller %d: write %d came before %d", i%100, order[first], i)
			}
			last[i%100] = at
		}
		if len(order) != 200 {
			t.Errorf("%d writes ran, want 200", len(order))
		}
	})
}
