package app

import (
	"time"

	"nightkeep/server/internal/app/machine"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/watch"
)

// backupState is what is known of the scheduled backups.
type backupState struct {
	dir    string
	every  time.Duration
	failed string // why the last try failed; empty: it did not
}

// facts returns what the program knows about itself and its machine.
func (a *App) facts() watch.Facts {
	f := watch.Facts{LastTick: a.Reminder.LastTick(), ClockStep: a.clockStep(), Free: machine.FreeBytes(a.opt.DataDir), CertEnds: a.certEnds()}
	if pair := a.keyPair.Load(); pair != nil {
		f.CertSpoilt = pair.Spoilt()
		f.CertWrong, f.CertWaits = pair.Wrong()
	}
	if at := a.ladderFails.Load(); at != 0 {
		f.LadderFails = time.UnixMilli(at)
	}
	if a.pushFailing != nil {
		f.PushFailing = a.pushFailing()
	}
	if a.opt.Steady { // else the clock is a test's or the demo's
		f.ClockSynced = machine.ClockSynced()
	}
	if b := a.backup.Load(); b != nil {
		f.Backup = &watch.Backup{Newest: newestBackup(b.dir), Every: b.every, Failed: b.failed}
	}
	return f
}

// noteClimb keeps since when the ladder cannot be climbed.
func (a *App) noteClimb(err error) {
	if err == nil {
		a.ladderFails.Store(0)
		return
	}
	a.ladderFails.CompareAndSwap(0, a.opt.Now().UnixMilli())
}

// noteBackup keeps how the last try of a scheduled backup ended. The error's
// text stays in the log: it may name paths.
func (a *App) noteBackup(cfg config.Config, err error) {
	b := &backupState{dir: cfg.BackupDir, every: cfg.BackupEvery}
	if err != nil {
		b.failed = "see the log for why, and whether there is room where backups go"
	}
	a.backup.Store(b)
}

// certEnds returns when the certificate shown ends; zero when there is none.
func (a *App) certEnds() time.Time {
	if pair := a.keyPair.Load(); pair != nil {
		return pair.Ends()
	}
	if a.acme != nil {
		if leaf := a.acme.leaf.Load(); leaf != nil {
			return leaf.NotAfter
		}
	}
	return time.Time{}
}
