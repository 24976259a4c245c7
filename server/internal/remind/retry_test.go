package remind_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
)

// outage is a push service that takes nothing for a while.
func outage(now *time.Time, from, to string, err error) func(context.Context, remind.Message) error {
	return func(context.Context, remind.Message) error {
		if !now.Before(evening(from)) && now.Before(evening(to)) {
			return err
		}
		return nil
	}
}

// A push service that answers 503 from 20:50 to 21:20 does not lose the reminder
// of 21:00: it is sent again as long as it is of use, once.
func TestAReminderOutlivesAnOutage(t *testing.T) {
	t.Parallel()
	busy := remind.Later{Err: errors.New("push service busy")}
	for _, c := range []struct {
		name     string
		to       string
		err      error
		inserted string // when the lens goes in, which ends it
		taken    int    // messages that somebody has got by 02:00
	}{
		{"busy until 21:20", "21:20", busy, "", 1},
		{"busy all evening", "23:59", busy, "", 1},
		{"refused for good", "21:20", errors.New("gone"), "", 0},
		{"the lens is in meanwhile", "21:20", busy, "21:10", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m, p, r := household(t, 1)
			now := evening("20:50")
			fails := outage(&now, "20:50", c.to, c.err)
			taken := 0
			p.does = func(ctx context.Context, x remind.Message) error {
				err := fails(ctx, x)
				if err == nil {
					taken++
				}
				return err
			}
			load := m.load
			m.use(func(w care.WearerID) (remind.Case, error) {
				got, err := load(w)
				if c.inserted != "" && !now.Before(evening(c.inserted)) {
					got.Input.Log = schedule.Log{Nights: []schedule.Night{{Night: civil.DateOf(evening("21:00")), Inserted: true}}}
				}
				return got, err
			})
			for ; now.Before(evening("20:50").Add(5 * time.Hour)); now = now.Add(remind.Every) {
				if _, err := r.Tick(t.Context(), now); err != nil {
					t.Fatal(err)
				}
			}
			if taken != c.taken {
				t.Errorf("%d reminders were taken, want %d", taken, c.taken)
			}
			if tries := len(p.messages()); tries > 60 {
				t.Errorf("%d tries: nobody waits between them", tries)
			}
		})
	}
}
