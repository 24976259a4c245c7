package store_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"

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
