package intake

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// What a family's device sends as a symptom report is never only refused. What cannot
// be taken of it, whatever the reason, is kept as it came, counts as a stop of both
// eyes, and is told to the practice at once.

// Unread is the sign of an alert that says: a report could not be read.
const Unread = "unread"

// toldWords end what a phone is told of a report that could not be taken.
const toldWords = "; it is kept as it came, and the practice has been told to phone about it at once: wear no lens, and phone the practice yourself"

// parseOne takes an entry apart as far as it goes without the store.
func parseOne(raw []byte) parsed {
	e, err := care.DecodeEnvelope(raw)
	p := parsed{raw: raw, entry: &e, err: err, id: string(e.ID), report: e.Kind == care.Symptoms}
	if err == nil && (p.report || !e.Extra() && !care.MeansReport(string(e.Kind))) || care.Held(err) {
		return p // as nearly all are
	}
	g := care.GistOf(raw)
	p.report = g.Report
	switch {
	case err != nil:
		p.id = g.ID
	case g.Report:
		p.err = care.Refuse("bad-kind", "kind", "a symptom report is of the kind symptoms, written so and said once")
	}
	return p
}

// Unreadable returns a request in the place of one that could not be read, with all of
// it as one symptom report; ok when it speaks of symptoms at all.
func Unreadable(body []byte, why error) (req Request, ok bool) {
	if !care.MeansReport(string(body)) {
		return req, false
	}
	return Request{list: []parsed{{raw: slices.Clone(body), entry: &care.Entry{}, err: why, report: true}}}, true
}

// unread keeps a report that cannot be taken as it is, because of why. One whose
// wearer is not known is kept for every wearer of the family: it may be of any of them,
// each is stopped by it, and each stop wants an alert of its own that leads to whoever
// decides about it.
func (m membership) unread(caller register.Caller, p parsed, why error) (v Verdict, raised bool, err error) {
	v = Verdict{ID: p.id}
	v.refuse("refused", why)
	tx := m.tx
	if have, err := tx.Log().Entry(m.family, p.entry.ID); err == nil && p.err == nil && p.entry.SameContent(&have) {
		return Verdict{ID: p.id, Verdict: "duplicate"}, false, nil // heard before, by another phone
	}
	g := care.GistOf(p.raw)
	wearers, err := m.wearersOf(g)
	if err != nil || len(wearers) == 0 {
		v.Message += "; nobody wears lenses in this family any more, so nobody was told: phone the practice"
		return v, false, err
	}
	for i, w := range wearers {
		e, raw, err := m.unreadEntry(g, p, caller, w, i == 0)
		if err != nil {
			return v, false, err
		}
		told, err := keep(tx, m.family, &e, raw)
		if err != nil {
			return v, false, err
		}
		raised = raised || told
	}
	v.Code, v.Message = "report-unread", v.Message+toldWords
	return v, raised, nil
}

// saysNoLens reports whether an entry that cannot be taken for its kind or its body is one
// by which a phone of the family said that no lens may be worn.
func (m membership) saysNoLens(caller register.Caller, p parsed) bool {
	e := p.entry
	if p.err == nil || e.CheckEnvelope() != nil || e.KeptMarks().Worst() < care.Rest || m.check(e, caller.Device.ID, true) != nil {
		return false
	}
	_, err := m.tx.Log().Entry(m.family, e.ID)
	return err != nil
}

// wearersOf returns whom an unread report may be about.
func (m membership) wearersOf(g care.Gist) ([]care.WearerID, error) {
	if w, ok := g.Wearer(); ok {
		own, err := m.owns(w)
		if own || err != nil {
			return []care.WearerID{w}, err
		}
	}
	return m.tx.Register().WearersOf(m.family), nil
}

// unreadEntry makes of an unread report what is kept of it for a wearer. One that is
// whole but for its body stays as it came.
func (m membership) unreadEntry(g care.Gist, p parsed, caller register.Caller, w care.WearerID, first bool) (care.Entry, []byte, error) {
	_, unreadable := care.ParseEntry(p.raw)
	if unreadable == nil && p.entry.Kind == care.Symptoms && p.entry.CheckEnvelope() == nil && m.check(p.entry, caller.Device.ID, true) == nil {
		if _, err := m.tx.Log().Entry(m.family, p.entry.ID); err != nil {
			return *p.entry, p.raw, nil
		}
	}
	rec, err := openRecord(m.tx, w)
	if err != nil {
		return care.Entry{}, nil, err
	}
	now := m.tx.Now.In(rec.loc)
	_, offset := now.Zone()
	e := g.Unread(p.raw, care.Entry{
		Wearer: w, Device: caller.Device.ID, Author: caller.Person.ID, Night: rec.today, Zone: rec.zone, Offset: offset / 60,
		Wall: now.Format("2006-01-02T15:04:05"), HLC: fmt.Sprintf("%013d-0000", m.tx.Now.UnixMilli()),
	})
	if _, err := m.tx.Log().Entry(m.family, e.ID); err == nil || !first {
		e.ID = care.MarkedID(p.raw, w)
	}
	return e, e.AppendJSON(nil), nil
}

// keep keeps an entry as it came, unread. What it says of wearing, see
// [care.Entry.KeptMarks], holds a lens back and is told to the practice at once: nobody
// can say what it would have raised. One that is kept already says nothing new.
func keep(tx *store.Tx, family care.FamilyID, e *care.Entry, raw []byte) (raised bool, err error) {
	if have, err := care.ParseEntry(tx.Log().HeldRaw(family, e.ID)); err == nil && e.Kind == have.Kind && bytes.Equal(have.Body, e.Body) && have.Wearer == e.Wearer {
		return false, nil
	}
	marks := e.KeptMarks()
	if err := tx.Log().KeepHeld(family, e, raw); err != nil || marks.Worst() < care.Rest {
		return false, err
	}
	if e.Kind != care.Symptoms {
		return raiseTold(tx, family, e)
	}
	s := said(e, alerts.Emergency, "", time.Time{}, []string{Unread})
	s.Blind = true
	return apply(tx, family, e, NotAssessed, s, ofEpisode)
}
