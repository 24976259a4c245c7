package app

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// supplyMemory is how far back the log is read for what is in use, in nights:
// a lens is commonly kept a year.
const supplyMemory = 400

// readCase reads what decides what is due for a wearer. A wearer without a
// plan gives a zero case.
func readCase(tx *store.Tx, w care.WearerID) (remind.Case, error) {
	record, err := tx.Plan(w)
	if care.KindOf(err) == care.NotFound {
		return remind.Case{}, nil
	}
	if err != nil {
		return remind.Case{}, err
	}
	wearer, err := tx.Wearer(w)
	if err != nil {
		return remind.Case{}, err
	}
	c := remind.Case{Family: wearer.Family}
	if err := json.Unmarshal(record.Plan, &c.Input.Plan); err != nil {
		return c, err
	}
	c.Input.Plan.Version = record.Version
	today := civil.DateOf(tx.Now).AddDays(1)
	nights, err := tx.Nights(w, today.AddDays(-supplyMemory), today)
	if err != nil {
		return c, err
	}
	visits, err := store.Visits[review.Visit](tx, w)
	if err != nil {
		return c, err
	}
	c.Input.Plan = wearer.Reminders.Over(c.Input.Plan)
	c.Input.Log = care.ScheduleLog(nights, scheduleVisits(visits))
	c.Input.Snoozes = care.Snoozes(nights)
	c.Input.Loc, err = lastZone(tx, w, c.Input.Plan.Zone)
	return c, err
}

func scheduleVisits(list []review.Visit) []schedule.Visit {
	out := make([]schedule.Visit, 0, len(list))
	for _, v := range list {
		out = append(out, schedule.Visit{ID: v.ID, Kind: v.Kind, Date: v.Date, Due: v.Due, State: v.State, ShiftLater: v.ShiftLater})
	}
	return out
}

// lastZone is the zone of the wearer's newest entry of the last week, so that
// a wearer who travels is reminded by the clock of the place; else home.
func lastZone(tx *store.Tx, w care.WearerID, home string) (*time.Location, error) {
	name := home
	var entries []care.Entry
	today := civil.DateOf(tx.Now).AddDays(1)
	err := tx.WearerEntries(w, today.AddDays(-7), today, func(e care.Entry) bool { entries = append(entries, e); return true })
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
