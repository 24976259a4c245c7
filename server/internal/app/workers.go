package app

import (
	"context"
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/app/courier"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/mail"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// ladderEvery is how often live alerts are looked at; the ladder counts in
// minutes.
const ladderEvery = 5 * time.Second

func newWorker(db *store.DB, c escalate.Deliverer, opt Options) *escalate.Worker {
	return &escalate.Worker{
		Outbox: dispatch.Outbox{DB: db}, Deliverer: c, Now: opt.Now,
		Fault: func(err error) { opt.Log.Error("outbox", "err", err) },
	}
}

func newMailer(cfg config.Config) (courier.Mailer, error) {
	if cfg.SMTP == "" {
		return nil, nil
	}
	return mail.New(mail.Config{Addr: cfg.SMTP, User: cfg.SMTPUser, Password: cfg.SMTPPass, From: cfg.MailFrom})
}

// rollEvery is how often the lists of the whole practice are brought up to date
// ahead of being asked for. They are right without it; it only saves the first
// who asks after midnight or after many writes from waiting.
const rollEvery = time.Minute

func (a *App) refreshRoll(ctx context.Context) {
	tick := time.NewTicker(rollEvery)
	defer tick.Stop()
	for {
		if err := a.Server.RefreshLists(); err != nil {
			a.opt.Log.Error("lists of the practice", "err", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// deliver empties the outbox, climbs the ladder of unanswered alerts and sends
// the daily canary, until ctx ends.
func (a *App) deliver(ctx context.Context) {
	worked := make(chan struct{})
	go func() {
		defer close(worked)
		a.SendOutbox(ctx)
	}()
	tick := time.NewTicker(ladderEvery)
	defer tick.Stop()
	for {
		err := a.Climb()
		a.noteClimb(err)
		if err != nil {
			a.opt.Log.Error("ladder", "err", err)
		}
		select {
		case <-ctx.Done():
			<-worked
			return
		case <-tick.C:
		}
	}
}

// Climb applies every step of the ladder that is due, and puts in the outbox
// what is sent once a day: the canary, and a notice of gaps in the rota. An alert
// that cannot be climbed holds up no other.
func (a *App) Climb() error {
	var due []care.AlertID
	err := a.DB.View(func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		live, err := tx.Duty().LiveAlerts()
		for i := range live {
			if live[i].Due(tx.Now) || rules.OffDuty(&live[i], tx.Now) {
				due = append(due, live[i].ID)
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	for _, id := range due {
		err = errors.Join(err, a.DB.WriteFirst(func(tx *store.Tx) error { return climb(tx, id) }))
	}
	if len(due) > 0 {
		a.wake()
	}
	return errors.Join(err, a.canary(), a.checkRota(), a.checkRehearsal(), a.checkStops(), a.checkLenses(), a.eraseDue(), a.giveRoles(), a.monthlyDrill())
}

// eraseDue erases for good the families whose day to be put back is over.
func (a *App) eraseDue() error {
	due := false
	err := a.DB.View(func(tx *store.Tx) error {
		all, err := tx.Archive().Leaving()
		due = len(all) > 0 && !tx.Now.Before(all[0].Until)
		return err
	})
	if err != nil || !due {
		return err
	}
	return a.DB.Write(func(tx *store.Tx) error { _, err := tx.Archive().EraseDue(); return err })
}

// giveRoles gives the roles whose time of waiting for a second person is over.
func (a *App) giveRoles() error {
	due := false
	err := a.DB.View(func(tx *store.Tx) error {
		all, err := tx.Register().StaffChanges()
		due = slices.ContainsFunc(all, func(c register.StaffChange) bool { return c.Due(tx.Now) })
		return err
	})
	if err != nil || !due {
		return err
	}
	return a.DB.Write(dispatch.GiveRoles)
}

// climb takes the step of one alert, if it is still due.
func climb(tx *store.Tx, id care.AlertID) error {
	rules, err := dispatch.Rules(tx)
	if err != nil {
		return err
	}
	for _, o := range episode.Outcomes() {
		rules.Outcomes = append(rules.Outcomes, o.Key)
	}
	x, err := tx.Duty().Alert(id)
	if err != nil || !x.Due(tx.Now) && !rules.OffDuty(&x, tx.Now) {
		return err
	}
	_, err = dispatch.Apply(tx, rules, x, escalate.Event{Kind: escalate.StepDue})
	return err
}

// SendOutbox sends what the outbox holds until ctx ends.
func (a *App) SendOutbox(ctx context.Context) { a.Worker.Run(ctx, a.kick) }
