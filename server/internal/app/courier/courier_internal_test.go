package courier

import (
	"log/slog"
	"testing"
	"time"

	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/push"
)

// /healthz knows since when no push service has taken anything, and forgets it
// with the first that does.
func TestPushFailingSince(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	c := &Courier{Now: func() time.Time { return now }}
	if !c.PushFailing().IsZero() {
		t.Error("fails before anything was sent")
	}
	c.noteAnswer(push.Outcome{Result: push.Retry, Status: 503})
	now = now.Add(11 * time.Minute)
	c.noteAnswer(push.Outcome{Result: push.Retry})
	if got := now.Sub(c.PushFailing()); got != 11*time.Minute {
		t.Errorf("fails for %v, want 11 minutes", got)
	}
	c.noteAnswer(push.Outcome{Result: push.HandedOver})
	if !c.PushFailing().IsZero() {
		t.Error("fails although one was taken")
	}
}

// Whatever the ladder sends somebody carries; what nobody can is said to be
// impossible, and goes by no other way.
func TestEveryChannelHasACarrier(t *testing.T) {
	t.Parallel()
	c := &Courier{Log: slog.New(slog.DiscardHandler)}
	for _, channel := range escalate.Channels() {
		if c.carriers()[channel] == nil {
			t.Errorf("nobody carries %q", channel)
		}
	}
	if got := c.Deliver(t.Context(), escalate.Row{Delivery: escalate.Delivery{Channel: "pigeon"}}); got.Verdict != escalate.Impossible {
		t.Errorf("an unknown channel: %+v, want impossible", got)
	}
}
