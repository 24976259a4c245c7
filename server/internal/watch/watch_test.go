package watch_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/watch"
)

func ptr[T any](v T) *T { return &v }

var now = time.Date(2026, 3, 23, 3, 0, 0, 0, time.UTC)

// well is a server that has nothing to see to.
func well() watch.Facts {
	return watch.Facts{Free: ptr(int64(10 << 30)), File: 100 << 20, LastTick: now.Add(-30 * time.Second),
		Backup: &watch.Backup{Newest: now.Add(-23 * time.Hour), Every: 24 * time.Hour},
		OnDuty: ptr(true), Rehearsed: now.AddDate(0, 0, -92), ClockSynced: ptr(true), CertEnds: now.AddDate(0, 0, 60)}
}

// Each fact alone brings its own word at its own degree, with its figure, one
// step on the right side of the limit brings none, and what fails comes first.
// The limits are the operator's guide's.
func TestLook(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*watch.Facts)
		want   string // word, degree and a piece of the text; empty: nothing
	}{
		{"well", func(*watch.Facts) {}, ""},
		{"disk refuses", func(f *watch.Facts) { f.Refused, f.RefusesStill = now.Add(-time.Minute), true }, "disk fails since 23 March 02:59 UTC"},
		{"the data file is gone", func(f *watch.Facts) { f.Gone = true }, "disk fails Run backup now"},
		{"disk refused once", func(f *watch.Facts) { f.Refused = now.Add(-59 * time.Minute) }, "disk degraded refused a write"},
		{"disk refused long ago", func(f *watch.Facts) { f.Refused = now.Add(-time.Hour) }, ""},
		{"255 MiB free", func(f *watch.Facts) { f.File, f.Free = 1<<20, ptr(int64(255<<20)) }, "space degraded 255 MiB are free"},
		{"256 MiB free", func(f *watch.Facts) { f.File, f.Free = 1<<20, ptr(int64(256<<20)) }, ""},
		{"less than three files free", func(f *watch.Facts) { f.File, f.Free = 1<<30, ptr(int64(3<<30-1)) }, "space degraded want 3.0 GiB"},
		{"nobody knows what is free", func(f *watch.Facts) { f.Free = nil }, ""},
		{"reports are not stored", func(f *watch.Facts) { f.ReportsFail = now.Add(-time.Minute) }, "reports fails not stored since 23 March 02:59 UTC"},
		{"the ladder is stuck", func(f *watch.Facts) { f.LadderFails = now.Add(-time.Minute) }, "ladder fails not passed on since 23 March 02:59 UTC"},
		{"a message waits", func(f *watch.Facts) { f.OldestOutbox = now.Add(-15 * time.Minute) }, "outbox fails waited 15 minutes"},
		{"a message is on its way", func(f *watch.Facts) { f.OldestOutbox = now.Add(-14 * time.Minute) }, ""},
		{"reminders stand still", func(f *watch.Facts) { f.LastTick = now.Add(-3 * time.Minute) }, "tick fails 02:57"},
		{"pushes fail", func(f *watch.Facts) { f.PushFailing = now.Add(-10 * time.Minute) }, "push degraded 02:50"},
		{"no backups", func(f *watch.Facts) { f.Backup, f.Rehearsed = nil, time.Time{} }, "backup degraded backup-dir"},
		{"never a backup", func(f *watch.Facts) { f.Backup.Newest, f.Rehearsed = time.Time{}, time.Time{} }, "backup degraded no verified backup yet"},
		{"an old backup", func(f *watch.Facts) { f.Backup.Newest = now.Add(-49 * time.Hour) }, "backup degraded 49 hours old; one is due every 24"},
		{"two days, on the minute", func(f *watch.Facts) { f.Backup.Newest = now.Add(-48 * time.Hour) }, ""},
		{"a backup failed", func(f *watch.Facts) { f.Backup.Failed = "no space" }, "backup degraded failed: no space"},
		{"a quarter without a rehearsal", func(f *watch.Facts) { f.Rehearsed = now.AddDate(0, 0, -93) }, "rehearsal degraded last tried 93 days ago"},
		{"never a rehearsal", func(f *watch.Facts) { f.Rehearsed = time.Time{} }, "rehearsal degraded No backup was tried yet"},
		{"nobody on duty", func(f *watch.Facts) { f.OnDuty = ptr(false) }, "duty degraded Nobody is on duty now"},
		{"no rota", func(f *watch.Facts) { f.OnDuty = nil }, ""},
		{"the clock was set", func(f *watch.Facts) { f.ClockStep = -time.Hour }, "clock degraded -1h0m0s"},
		{"no time service", func(f *watch.Facts) { f.ClockSynced = ptr(false) }, "clock degraded time service"},
		{"certificate near its end", func(f *watch.Facts) { f.CertEnds = now.AddDate(0, 0, 13) }, "certificate degraded ends in 13 days"},
		{"certificate ended", func(f *watch.Facts) { f.CertEnds = now }, "certificate fails ended on 23 March 2026"},
		{"a new certificate cannot be used", func(f *watch.Facts) { f.CertSpoilt = true }, "certificate degraded would not start again"},
		{"certificate of another name", func(f *watch.Facts) { f.CertWrong = "it is for other.example.org, not for lenses.example.org" }, "certificate fails refuse the certificate that is shown: it is for other.example.org"},
		{"a new certificate would be refused", func(f *watch.Facts) { f.CertWaits = "it is valid only from 1 January 2027, 00:00 UTC" }, "certificate degraded phones would refuse the new one: it is valid only from 1 January 2027"},
		{"two weeks are left", func(f *watch.Facts) { f.CertEnds = now.AddDate(0, 0, 14) }, ""},
		{"unreadable", func(f *watch.Facts) { f.Unreadable = 2 }, "unreadable degraded 2 stored records"},
		{"who somebody is is lost", func(f *watch.Facts) { f.Unreadable, f.LostPeople = 2, 1 }, "unreadable fails 1 records of people"},
		{"nobody knows which alerts were open", func(f *watch.Facts) { f.Restored, f.Blind = now.AddDate(0, 0, -1), true }, "restored fails Which alerts were open"},
		{"open alerts were lost with a restore", func(f *watch.Facts) { f.Restored, f.LeftAlerts = now.AddDate(0, 0, -1), 2 }, "restored fails 2 alerts were open"},
		{"a restore was not seen to", func(f *watch.Facts) { f.Restored = now.AddDate(0, 0, -1) }, "restored degraded put back, noticed on 22 March 2026"},
		{"an alert is lost", func(f *watch.Facts) { f.Unreadable, f.LostAlerts = 2, 1 }, "unreadable fails 1 alerts or messages"},
	} {
		f := well()
		c.change(&f)
		got := watch.Look(f, now)
		if c.want == "" {
			if len(got) != 0 || watch.Worst(got) != 0 {
				t.Errorf("%s: %v", c.name, got)
			}
			continue
		}
		word, rest, _ := strings.Cut(c.want, " ")
		degree, piece, _ := strings.Cut(rest, " ")
		if len(got) != 1 || got[0].What != word || got[0].Degree.String() != degree || !strings.Contains(got[0].Text, piece) {
			t.Errorf("%s: %v, want %q", c.name, got, c.want)
		}
		if !slices.Contains(watch.Words(), word) {
			t.Errorf("%s: %q is not among the words", c.name, word)
		}
		f.Unreadable, f.CertEnds = 1, now.AddDate(0, 0, -1)
		if got := watch.Look(f, now); got[0].Degree != watch.Fails {
			t.Errorf("%s: what fails does not come first: %v", c.name, got)
		}
	}
}
