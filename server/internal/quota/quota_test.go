package quota_test

import (
	"testing"
	"time"

	"nightkeep/server/internal/quota"
)

// A bucket of 60 a minute gives 60 at once, one more each second, and says how
// long to wait; two limits are both held; a clock that steps back gives nothing
// away and takes nothing.
func TestBook(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	b := quota.NewBook(quota.Limit{Most: 60, Per: time.Minute}, quota.Limit{Most: 100, Per: time.Hour})
	take := func(at time.Duration, n int) time.Duration { return b.Take(now.Add(at), "a", n, n) }
	if w := take(0, 60); w != 0 {
		t.Errorf("60 at once: wait %s", w)
	}
	if w := take(0, 1).Round(time.Millisecond); w != time.Second {
		t.Errorf("the 61st: wait %s, want 1s", w)
	}
	if w := take(-time.Hour, 1); w == 0 {
		t.Error("a clock that stepped back gave one away")
	}
	if w := take(time.Second, 1); w != 0 {
		t.Errorf("a second later: wait %s", w)
	}
	if w := b.Take(now, "b", 60, 60); w != 0 {
		t.Errorf("another caller: wait %s", w)
	}
	// 61 of the hour's 100 are taken and about 2 came back in 60 s.
	if w := take(time.Minute, 45); w == 0 {
		t.Error("45 more within the minute's limit passed the hour's")
	}
	if w := b.Wait(now.Add(24*time.Hour), "a", 60, 100); w != 0 {
		t.Errorf("a day later: wait %s", w)
	}
	if w := b.Take(now, "a", 61, 1); w == 0 {
		t.Error("more than the bucket holds was granted")
	}
}
