package app

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// supplyMemory is how far back the log is read for what is in use, in nights:
// a lens is commonly kept a year.
const supplyMemory = 400

// routineMemory is how many nights of the routine are read: those of the last
// month decide, because a rule goes quieter and a pause lasts at most so long.
const routineMemory = 35

// readCase reads what decides what is due for a wearer. A wearer without a
// plan gives a zero case.
func readCase(tx *store.Tx, w care.WearerID) (remind.Case, error) {
	record, err := tx.Chart().Plan(w)
	if care.KindOf(err) == care.NotFound {
		return remind.Case{}, nil
	}
	if err != nil {
		return remind.Case{}, err
	}
	wearer, err := tx.Register().Wearer(w)
	if err != nil {
		return remind.Case{}, err
	}
	c := remind.Case{Family: wearer.Family}
	if err := json.Unmarshal(record.Plan, &c.Input.Plan); err != nil {
		return c, err
	}
	c.Input.Plan.Version = record.Version
	today := civil.DateOf(tx.Now).AddDays(1)
	nights, err := remindNights(tx, w, &c.Input.Plan, today)
	if err != nil {
		return c, err
	}
	visits, err := register.Visits[course.Visit](tx.Chart(), w)
	if err != nil {
		return c, err
	}
	c.Input.Plan = wearer.Reminders.Over(c.Input.Plan)
	c.Input.Log = care.ScheduleLog(nights, course.ScheduleVisits(visits))
	c.Input.Snoozes = care.Snoozes(nights)
	if c.Input.Loc, err = lastZone(tx, w, c.Input.Plan.Zone); err == nil && tx.Log().HasWear(w) {
		hold(tx, w, &c.Input)
	}
	c.Input.Log.Holds = append(c.Input.Log.Holds, care.NoLens(nights)...)
	return c, err
}

// hold tells the schedule which lenses are held back, on the earlier of the
// nights at home and where the wearer is, so that a journey frees nothing early.
func hold(tx *store.Tx, w care.WearerID, in *schedule.Input) {
	night := intake.Tonight(tx, w)
	if here := civil.NightOf(tx.Now, in.Loc); here.Before(night) {
		night = here
	}
	facts := tx.Log().WearFacts(w)
	wear, before := care.WearOf(facts, night, false, nil), care.WearOf(facts, night.AddDays(-1), true, nil)
	in.Log.Holds = append(wear.Holds(), wear.Kept(&before, night)...)
	in.Log.Ended = !care.OverSince(facts, &wear).IsZero()
}

// remindNights reads the nights that decide what is due, so that a wearer of
// many years costs what one of a few months does: of old ones only those with a
// supply. What the plan asks for every so many days is looked for through that
// time and a month more; longer ago it is overdue all the same.
func remindNights(tx *store.Tx, w care.WearerID, p *schedule.Plan, today civil.Date) ([]care.Night, error) {
	from := today.AddDays(-routineMemory - max(p.DepositRemovalDays, p.AcuityEveryDays))
	old, err := tx.Log().SupplyNights(w, today.AddDays(-supplyMemory), from.AddDays(-1))
	if err != nil {
		return nil, err
	}
	nights, err := tx.Log().Nights(w, from, today)
	return append(old, nights...), err
}

// lastZone is the zone of the wearer's newest entry of the last week, so that
// a wearer who travels is reminded by the clock of the place; else home.
func lastZone(tx *store.Tx, w care.WearerID, home string) (*time.Location, error) {
	name := home
	var entries []care.Entry
	today := civil.DateOf(tx.Now).AddDays(1)
	err := tx.Log().WearerEntries(w, today.AddDays(-7), today, func(e care.Entry) bool { entries = append(entries, e); return true })
	if err != nil {
		return nil, err
	}
	if len(entries) > 0 {
		newest := slices.MaxFunc(entries, func(a, b care.Entry) int {
			if a.After(&b) {
				return 1
			}
			return -1
		})
		name = newest.Zone
	}
	loc, err := civil.LoadZone(name)
	if err != nil {
		return time.UTC, nil
	}
	return loc, nil
}
