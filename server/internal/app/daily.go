package app

import (
	"errors"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/watch"
)

// What happens once a day, on the wall clock of the practice (our choice).
const (
	canaryAt = civil.Clock(8 * 60)  // proves that a clinic device still shows messages, before the working day
	rotaAt   = civil.Clock(18 * 60) // looks for gaps in the rota, while somebody may still fill them
	rotaDays = 7                    // how far ahead
	// remindAgain is after how many days the mail about a rehearsal comes again.
	remindAgain = 14
	stopsAt     = civil.Clock(7 * 60) // looks for stops that nobody has decided on, before the working day
	// lensesAt and lensesLate look for lenses that are still in, once their night is over:
	// also where a family lives by an earlier clock.
	lensesAt, lensesLate = civil.NightStarts, civil.Clock(18 * 60)
)

// daily runs work once a day from a time on, with what it stores and the note
// that the day is done in one transaction, so that no restart runs it twice.
// due tells work whether the day's turn has come.
func (a *App) daily(name string, from civil.Clock, work func(tx *store.Tx, day civil.Date) error) (bool, error) {
	due := func(tx *store.Tx) (civil.Date, bool, error) {
		p, err := tx.Register().Practice()
		if err != nil {
			return civil.Date{}, false, err
		}
		loc, err := civil.LoadZone(p.Zone)
		if err != nil {
			loc = time.UTC
		}
		var last civil.Date
		err = tx.Register().Setting(name, &last)
		day := civil.DateOf(tx.Now.In(loc))
		return day, last != day && civil.ClockOf(tx.Now.In(loc)) >= from, err
	}
	var ready bool
	if err := a.DB.View(func(tx *store.Tx) (err error) { _, ready, err = due(tx); return err }); err != nil || !ready {
		return false, err
	}
	err := a.DB.Write(func(tx *store.Tx) error {
		day, still, err := due(tx)
		if err != nil || !still {
			return err
		}
		if err := work(tx, day); err != nil {
			return err
		}
		return tx.Register().SetSetting(name, day)
	})
	return err == nil, err
}

// checkStops tells the practice of wearers who are stopped and of whom nobody has
// decided anything for today, and of eye checks that were left and not finished.
func (a *App) checkStops() error {
	raised := false
	_, err := a.daily("stops", stopsAt, func(tx *store.Tx, day civil.Date) (err error) {
		if raised, err = intake.RemindOfStops(tx, day); err != nil {
			return err
		}
		more, err := intake.RemindOfLeft(tx)
		raised = raised || more
		return err
	})
	if raised {
		a.wake()
	}
	return err
}

// checkLenses tells the practice of lenses that are still in, in eyes that are stopped.
func (a *App) checkLenses() error {
	raised := false
	remind := func(tx *store.Tx, _ civil.Date) error {
		more, err := intake.RemindOfLenses(tx)
		raised = raised || more
		return err
	}
	_, err := a.daily("lenses_in", lensesAt, remind)
	_, late := a.daily("lenses_in_late", lensesLate, remind)
	if raised {
		a.wake()
	}
	return errors.Join(err, late)
}

// canary puts the day's canary rows into the outbox, and notes from when on
// each device owes a receipt.
func (a *App) canary() error {
	ran, err := a.daily("canary", canaryAt, func(tx *store.Tx, day civil.Date) error {
		devices, err := tx.Access().SubscribedStaffDevices()
		if err != nil {
			return err
		}
		for _, r := range escalate.Canary(devices, day, tx.Now) {
			if err := tx.Duty().PutRow(r); err != nil {
				return err
			}
		}
		for _, d := range devices {
			if d.Owes.IsZero() {
				if err := tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Owes = tx.Now }); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if ran {
		a.wake()
	}
	return err
}

// checkRota writes to the owner and the administrators when a rota that was made
// leaves hours of the clinic without anybody on duty. A practice that gave no
// hours means every hour.
func (a *App) checkRota() error {
	ran, err := a.daily("rota_checked", rotaAt, func(tx *store.Tx, day civil.Date) error {
		var rota escalate.Rota
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		if err := tx.Register().Setting("rota", &rota); err != nil || len(rota.Slots) == 0 {
			return err
		}
		gaps := escalate.Gaps(rota, p.Contacts, day.AddDays(1), rotaDays)
		always := len(p.Contacts.Hours) == 0
		if !slices.ContainsFunc(gaps, func(g escalate.Gap) bool { return g.Hours || always }) {
			return nil
		}
		return notice(tx, escalate.KindRota, day)
	})
	if ran {
		a.wake()
	}
	return err
}

// notice puts a mail to those who run the practice into the outbox.
func notice(tx *store.Tx, kind escalate.Kind, day civil.Date) error {
	staff, err := tx.Register().Staff()
	if err != nil {
		return err
	}
	for _, r := range escalate.Notice(kind, staff, day, tx.Now) {
		if err := tx.Duty().PutRow(r); err != nil {
			return err
		}
	}
	return nil
}

// checkRehearsal writes to the owner and the administrators when no backup was
// tried for a quarter, and again every fortnight until one was. A server that
// makes no backups says that elsewhere, and a rehearsal is no practice.
func (a *App) checkRehearsal() error {
	if b := a.backup.Load(); b == nil || newestBackup(b.dir).IsZero() {
		return nil
	}
	ran, err := a.daily("rehearsal_checked", rotaAt, func(tx *store.Tx, day civil.Date) error {
		last, err := tx.Register().ReadBack()
		if err != nil || !watch.RehearsalDue(last, tx.Now) {
			return err
		}
		var reminded civil.Date
		if err := tx.Register().Setting("rehearsal_reminded", &reminded); err != nil || !reminded.IsZero() && day.Compare(reminded.AddDays(remindAgain)) < 0 {
			return err
		}
		if err := notice(tx, escalate.KindRehearse, day); err != nil {
			return err
		}
		return tx.Register().SetSetting("rehearsal_reminded", day)
	})
	if ran {
		a.wake()
	}
	return err
}
