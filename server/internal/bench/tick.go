package bench

import (
	"context"
	"fmt"
	"time"

	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
)

// counter stands where messages to people go.
type counter struct{}

func (counter) Remind(context.Context, remind.Message) error { return nil }

// tick is row group 4. Wearers without something due are only in the index, as
// the tick never looks at them; those with something due have 60 nights.
func (r *run) tick() error {
	big, err := r.crowd()
	if err != nil {
		return err
	}
	runner := big.prog.Reminder
	runner.Sender = counter{}
	at := evening.Add(time.Hour)
	perItem := map[int]Stat{}
	most := min(10000, big.wearers)
	for _, due := range []int{0, 100, most} {
		var took []float64
		for round := range rounds {
			at = at.Add(time.Minute)
			if err := big.makeDue(due, at); err != nil {
				return err
			}
			start := time.Now()
			s, err := runner.Tick(r.ctx, at)
			if err != nil {
				return err
			}
			if s.Wearers != due {
				return fmt.Errorf("round %d: the tick looked at %d wearers, %d were due", round, s.Wearers, due)
			}
			took = append(took, time.Since(start).Seconds()*1000/float64(max(due, 1)))
		}
		perItem[due] = statOf(took)
	}
	r.atMost(1, Row{Group: 4, Name: fmt.Sprintf("empty tick, %d wearers", big.wearers), Unit: "ms", Ours: perItem[0]})
	r.atMost(2, Row{Group: 4, Name: fmt.Sprintf("tick per due wearer, %d due", most), Unit: "ms", Ours: perItem[most], Base: perItem[100], BaseName: "100 due"})
	return nil
}

// makeDue puts so many wearers into the index for an instant.
func (c *crowd) makeDue(n int, at time.Time) error {
	return c.prog.DB.Update(func(tx *store.Tx) error {
		for i := range n {
			if err := tx.Duty().SetDue(wearerID(i), at); err != nil {
				return err
			}
		}
		return nil
	})
}
