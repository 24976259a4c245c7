package care_test

import (
	"encoding/json"
	"os"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Pauses and snoozes of the log as the schedule reads them:
// testdata/care/reminders.json, worked out by hand; the phone runs the same.
func TestPausesAndSnoozesOfTheLog(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/reminders.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name    string
			Entries []json.RawMessage
			Pauses  []schedule.Pause
			Removed map[civil.Date]time.Time // when the last lens came out
			Routine map[civil.Date]struct{ Removed, Care bool }
			Snoozes []struct {
				Date  civil.Date
				Until time.Time
				Count int
			}
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil || len(file.Cases) == 0 {
		t.Fatalf("%d cases, %v", len(file.Cases), err)
	}
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			var entries []*care.Entry
			for _, r := range c.Entries {
				e, err := care.DecodeEntry(r)
				if err != nil {
					t.Fatal(err)
				}
				entries = append(entries, &e)
			}
			nights := care.Fold(entries)
			if d := cmp.Diff(c.Pauses, append([]schedule.Pause{}, care.ScheduleLog(nights, nil).Pauses...)); d != "" {
				t.Errorf("pauses (-want +got):\n%s", d)
			}
			removed := map[civil.Date]time.Time{}
			for _, n := range care.ScheduleLog(nights, nil).Nights {
				if !n.RemovedAt.IsZero() {
					removed[n.Night] = n.RemovedAt
				}
				if want, told := c.Routine[n.Night]; told && (n.Removed != want.Removed || n.Care != want.Care) {
					t.Errorf("%s: out %v, cleaned %v, want %v", n.Night, n.Removed, n.Care, want)
				}
			}
			if d := cmp.Diff(c.Removed, removed); len(c.Removed)+len(removed) > 0 && d != "" {
				t.Errorf("removals (-want +got):\n%s", d)
			}
			got := care.Snoozes(nights)
			if len(got) != len(c.Snoozes) {
				t.Fatalf("%d snoozes, want %d", len(got), len(c.Snoozes))
			}
			for i, w := range c.Snoozes {
				if got[i].Date != w.Date || !got[i].Until.Equal(w.Until) || got[i].Count != w.Count || got[i].Rule != "" {
					t.Errorf("snooze %d: got %+v, want %+v", i, got[i], w)
				}
			}
		})
	}
}

// A pause explains a silence: the clinic is told the last night of the longest
// that holds now. 2026-03-13 lies in the second of the two only.
func TestPausedUntil(t *testing.T) {
	t.Parallel()
	nights := []care.Night{pauseNight("2026-03-10", "2026-03-12", "away"), pauseNight("2026-03-11", "2026-03-14", "ill")}
	for _, c := range []struct{ night, last, reason string }{
		{"2026-03-09", "", ""}, {"2026-03-10", "2026-03-12", "away"}, {"2026-03-12", "2026-03-14", "ill"},
		{"2026-03-13", "2026-03-14", "ill"}, {"2026-03-15", "", ""},
	} {
		last, reason := care.PausedUntil(nights, civil.MustDate(c.night))
		if last.IsZero() != (c.last == "") || !last.IsZero() && last.String() != c.last || reason != c.reason {
			t.Errorf("%s: got %s %q, want %s %q", c.night, last, reason, c.last, c.reason)
		}
	}
}

func pauseNight(from, to, reason string) care.Night {
	value, _ := json.Marshal(map[string]string{"reason": reason, "to": to})
	return care.Night{Date: civil.MustDate(from), Items: []care.Item{{Key: "pause/e-" + from, Facts: []care.Fact{{Value: value}}}}}
}
