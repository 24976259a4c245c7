package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store/log"
)

// Before layout 6 no entry was judged, and closing an alert freed the lenses
// whatever it was closed with. wear-start says of each wearer what still holds;
// everything else of before is done with, for good.

// opensFor is how long ago an alert may have been closed for its cause to hold
// still, when it was closed with one of opensWith: nobody had said that lenses may
// be worn again.
const opensFor = 60 * 24 * time.Hour

var opensWith = []string{"not-reached", "referred", "seen-treated", "infiltrate", "infection", "other"}

// wearStart is the step of layout 6 that lists what has a part in the wear state
// and writes a wear-start for every wearer of whom anything is logged.
func wearStart(tx *Tx) error {
	logged := map[care.WearerID]care.FamilyID{}
	err := tx.log.EachEntry(func(family care.FamilyID, e *care.Entry) error {
		logged[e.Wearer] = family
		return errors.Join(tx.log.ListWear(family, e), tx.log.ListWords(family, e), tx.readBefore(e))
	})
	if err != nil {
		return err
	}
	ids := make([]care.WearerID, 0, len(logged))
	for w := range logged {
		ids = append(ids, w)
	}
	slices.Sort(ids)
	for _, w := range ids {
		opens, err := tx.stillOpen(w)
		if err != nil {
			return err
		}
		if err := tx.startWear(logged[w], w, opens); err != nil {
			return err
		}
	}
	return nil
}

// wroteLately is how far back the words of a family counted as not dealt with
// before anybody could mark them as read.
const wroteLately = 14 * 24 * time.Hour

// readBefore marks what a family wrote before that as read, by nobody: a list of
// all the words of years would hide those of yesterday.
func (tx *Tx) readBefore(e *care.Entry) error {
	if e.OwnWords() == "" || tx.Now.Sub(e.Recv) < wroteLately {
		return nil
	}
	return tx.chart.MarkRead(e.Wearer, e.ID, "")
}

// stillOpen returns the entries of a wearer that go on holding: those of alerts
// that live, or were closed lately without anybody saying that lenses may be
// worn, and the insertions written since such an alert began.
func (tx *Tx) stillOpen(w care.WearerID) (map[care.EntryID]care.Marks, error) {
	opens := map[care.EntryID]care.Marks{}
	all, err := tx.duty.WearerAlerts(w)
	if err != nil {
		return nil, err
	}
	var since time.Time // the first of them that stops
	for _, a := range all {
		if !a.Live() && (tx.Now.Sub(a.ClosedAt) > opensFor || !slices.Contains(opensWith, a.Outcome)) {
			continue
		}
		mark := care.Marks{}.With(eyeOr(a.Eye), care.Rest)
		if a.Level.RedFlag() {
			mark = care.Marks{}.With("both", care.Stop)
			if since.IsZero() || a.Opened.Before(since) {
				since = a.Opened
			}
		}
		for _, id := range raisedBy(a) {
			opens[id] = opens[id].Worse(mark)
		}
	}
	if since.IsZero() {
		return opens, nil
	}
	first := civil.DateOf(since.UTC()).AddDays(-1)
	return opens, tx.log.WearerEntries(w, first, civil.DateOf(tx.Now.UTC()).AddDays(1), func(e care.Entry) bool {
		if at, err := e.Instant(); err == nil && e.Kind == care.Insertion && !at.Before(since) {
			var which string
			_ = json.Unmarshal([]byte(e.Answer("eyes")), &which)
			opens[e.ID] = care.Marks{}.With(eyeOr(which), care.Stop)
		}
		return true
	})
}

func eyeOr(eye string) string {
	if eye == "" {
		return "both"
	}
	return eye
}

// raisedBy returns the entries that raised an alert.
func raisedBy(a escalate.Alert) (out []care.EntryID) {
	for _, e := range a.History {
		if e.Entry != "" && (e.Kind == escalate.Raised || e.Kind == escalate.Worsened) {
			out = append(out, e.Entry)
		}
	}
	return append(out, a.Recent...)
}

// startWear writes a wearer's wear-start.
func (tx *Tx) startWear(family care.FamilyID, w care.WearerID, opens map[care.EntryID]care.Marks) error {
	zone := "UTC"
	if f, err := tx.register.Family(family); err == nil && f.Zone != "" {
		zone = f.Zone
	}
	loc, err := civil.LoadZone(zone)
	if err != nil {
		loc, zone = time.UTC, "UTC"
	}
	now := tx.Now.In(loc)
	_, offset := now.Zone()
	body, err := json.Marshal(map[string]any{"opens": opens})
	if err != nil {
		return err
	}
	e := care.Entry{
		ID: log.NewEntryID(tx.Now), Wearer: w, Author: "practice", Kind: care.WearStart, Night: civil.NightOf(tx.Now, loc),
		Wall: now.Format("2006-01-02T15:04:05"), Zone: zone, Offset: offset / 60, HLC: fmt.Sprintf("%013d-0000", tx.Now.UnixMilli()),
		V: care.Since(care.WearStart), Body: body,
	}
	return tx.log.AppendFromPractice(family, &e)
}
