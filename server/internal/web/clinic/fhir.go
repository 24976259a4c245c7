package clinic

import (
	"bytes"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

func (c *call) exportDictionary() error {
	var b bytes.Buffer
	if err := interop.DictionaryCSV(&b, interop.NightColumns); err != nil {
		return err
	}
	return c.Attach(transport.CSVType, "nights-columns.csv", b.Bytes())
}

// fhir answers with one wearer's file; from and to bound what comes from the
// log, and plans, visits and alerts are always whole.
func (c *call) fhir() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	from, err := c.QueryDate("from")
	if err != nil {
		return err
	}
	to, err := c.QueryDate("to")
	if err != nil {
		return err
	}
	if !to.IsZero() && to.Before(from) {
		return care.Refuse("bad-range", "to", "want a last date that is not before the first")
	}
	var r interop.Record
	err = c.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if r, err = fileRecord(tx, w, from, to); err != nil {
			return err
		}
		r.Base, r.By, r.Now = c.Srv.BaseURL, c.Caller.Person.Named(), tx.Now
		return nil
	})
	if err != nil {
		return err
	}
	raw, err := interop.FHIR(r)
	if err != nil {
		return err
	}
	if err := c.Audit("exported file", string(r.Wearer.ID)+" fhir"); err != nil {
		return err
	}
	return c.Attach("application/fhir+json; charset=utf-8", "bundle.json", raw)
}

// fileRecord reads one wearer's file.
func fileRecord(tx *store.Tx, w care.Wearer, from, to civil.Date) (interop.Record, error) {
	r := interop.Record{Wearer: w, People: map[care.PersonID]care.Person{}}
	in, err := reviewInput(tx, w, from, to)
	if err != nil {
		return r, err
	}
	r.Visits, r.Alerts = in.Visits, in.Alerts
	in.From, in.To = cmpDate(from, firstNight(in)), cmpDate(to, in.Today)
	for _, e := range in.Entries {
		if !e.Night.Before(in.From) && !e.Night.After(in.To) {
			r.Entries = append(r.Entries, e)
		}
	}
	r.Nights, r.Acuity = derived(in)
	r.Wear = intake.WearNow(tx, w.ID)
	practice, err := tx.Register().Practice()
	if err != nil {
		return r, err
	}
	r.Practice = practice.Name
	for id := range in.People {
		if r.People[id], err = tx.Register().Person(id); err != nil && care.KindOf(err) != care.NotFound {
			return r, err
		}
	}
	r.Plans, err = planVersions(tx, w.ID)
	return r, err
}

// cmpDate returns d, or other when d is zero.
func cmpDate(d, other civil.Date) civil.Date {
	if d.IsZero() {
		return other
	}
	return d
}

// firstNight returns the first night with an entry, or today.
func firstNight(in review.Input) civil.Date {
	first := in.Today
	for _, e := range in.Entries {
		if e.Night.Before(first) {
			first = e.Night
		}
	}
	return first
}

// reviewNights is how many nights one look of the review takes at once, well
// under its own limit.
const reviewNights = 365

// derived returns the hours in lenses and the scored runs of a range.
func derived(in review.Input) (nights []review.NightRow, runs []review.AcuityRow) {
	seen := map[care.EntryID]bool{}
	last := in.To
	for start := in.From; !start.After(last); start = start.AddDays(reviewNights) {
		in.From, in.To = start, start.AddDays(reviewNights-1)
		if in.To.After(last) {
			in.To = last
		}
		s := review.Summarise(in)
		for _, n := range s.Nights {
			if !n.Night.Before(in.From) && !n.Night.After(in.To) {
				nights = append(nights, n)
			}
		}
		for _, r := range s.Acuity { // today's runs come with every stretch
			if !seen[r.Entry] && !r.Night.After(last) {
				seen[r.Entry] = true
				runs = append(runs, r)
			}
		}
	}
	return nights, runs
}

func planVersions(tx *store.Tx, w care.WearerID) ([]interop.PlanVersion, error) {
	docs, err := record.PlanDocs(tx, w)
	out := make([]interop.PlanVersion, 0, len(docs))
	for _, d := range docs {
		v := interop.PlanVersion{PlanFacts: d.PlanFacts, Right: lensOf(d.Right), Left: lensOf(d.Left), Remark: d.Remark, By: d.ChangedBy}
		if d.ChangedAt != nil {
			v.At = *d.ChangedAt
		}
		out = append(out, v)
	}
	return out, err
}

func lensOf(l *record.LensParameters) *interop.Lens {
	if l == nil {
		return nil
	}
	return &interop.Lens{BaseCurveMM: l.BaseCurveMM, DiameterMM: l.DiameterMM, Power: l.Power, Design: l.Design}
}
