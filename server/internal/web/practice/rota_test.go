package practice

import (
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/escalate"
)

// Two people on duty at once.
func TestRotaOverlapsAreFound(t *testing.T) {
	t.Parallel()
	at := func(day int, from, to string) escalate.Slot {
		return escalate.Slot{Weekday: day, From: civil.MustClock(from), To: civil.MustClock(to), Person: "p"}
	}
	for _, tc := range []struct {
		name  string
		slots []escalate.Slot
		want  int
	}{
		{"one after the other", []escalate.Slot{at(1, "08:00", "18:00"), at(1, "18:00", "08:00"), at(2, "08:00", "08:00")}, 0},
		{"an hour twice", []escalate.Slot{at(1, "08:00", "18:00"), at(1, "17:00", "20:00")}, 1},
		{"over midnight into the next day", []escalate.Slot{at(1, "20:00", "08:00"), at(2, "07:00", "18:00")}, 1},
		{"over Saturday midnight into Sunday", []escalate.Slot{at(0, "06:00", "12:00"), at(6, "20:00", "08:00")}, 1},
		{"the same hours on other days", []escalate.Slot{at(1, "08:00", "18:00"), at(2, "08:00", "18:00")}, 0},
	} {
		var f faults
		f.overlaps(tc.slots)
		if len(f) != tc.want {
			t.Errorf("%s: %d faults, want %d: %v", tc.name, len(f), tc.want, f.join())
		}
	}
}
