package record

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// PlanDoc is a care plan as the console writes it and the store keeps it: the
// schedule's plan, what the review needs beside it, and the practitioner's
// remarks.
type PlanDoc struct {
	review.PlanFacts
	Right  *LensParameters `json:"right,omitempty"`
	Left   *LensParameters `json:"left,omitempty"`
	Remark string          `json:"remark,omitempty"`
	Why    string          `json:"why,omitempty"`
	// Base is the version a save began from, 0 for the first plan; a save that
	// began from another than the newest is a conflict. It is not stored.
	Base      int        `json:"base,omitempty"`
	Sure      bool       `json:"sure,omitempty"` // what is unlikely was asked about; not stored
	Yes       string     `json:"yes,omitempty"`  // of the reading of the remark that was shown; not stored
	ChangedBy string     `json:"changed_by,omitempty"`
	ChangedAt *time.Time `json:"changed_at,omitempty"`
	ReadAt    *time.Time `json:"read_at,omitempty"` // by the family's log; of a version that is sent it says nothing
}

// LensParameters are one eye's lens, free of any brand.
type LensParameters struct {
	BaseCurveMM *float64 `json:"base_curve_mm"`
	DiameterMM  *float64 `json:"diameter_mm"`
	Power       *float64 `json:"power"`
	Design      string   `json:"design"`
	Supplied    string   `json:"supplied"`
}

// PlanDocs returns every version of a wearer's plan, oldest first.
func PlanDocs(tx *store.Tx, w care.WearerID) ([]PlanDoc, error) {
	records, err := tx.Chart().Plans(w)
	if err != nil {
		return nil, err
	}
	out := make([]PlanDoc, 0, len(records))
	for _, r := range records {
		var d PlanDoc
		if err := json.Unmarshal(r.Plan, &d); err != nil {
			return nil, err
		}
		at := r.At
		d.Version, d.ChangedBy, d.ChangedAt, d.ReadAt = r.Version, Name(tx, r.By), &at, nil
		out = append(out, d)
	}
	return out, nil
}

// Words are a lens as the trade writes it: base curve / diameter / power, design
// and since when.
func (l *LensParameters) Words() string {
	if l == nil {
		return ""
	}
	var numbers []string
	for _, n := range []struct {
		value  *float64
		format string
	}{{l.BaseCurveMM, "%.2f"}, {l.DiameterMM, "%.1f"}, {l.Power, "%+.2f"}} {
		if n.value != nil {
			numbers = append(numbers, strings.ReplaceAll(fmt.Sprintf(n.format, *n.value), "-", "−"))
		}
	}
	parts := []string{strings.Join(numbers, " / "), l.Design}
	if l.Supplied != "" {
		parts = append(parts, "supplied "+l.Supplied)
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
}

// StorePlan checks a plan whole and stores it as the next version.
func StorePlan(tx *store.Tx, w care.Wearer, by care.PersonID, d PlanDoc) (PlanDoc, error) {
	d.Version, d.ReadAt = max(1, d.Version), nil
	if err := d.Check(); err != nil {
		field, _, _ := strings.Cut(err.Error(), ":")
		return d, care.Refuse("bad-plan", field, "%s", strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	raw, err := json.Marshal(d)
	if err != nil {
		return d, err
	}
	r, err := tx.Chart().PutPlan(w.ID, by, raw)
	if err != nil {
		return d, err
	}
	d.Version, d.ChangedBy, d.ChangedAt = r.Version, Name(tx, by), &r.At
	if err := tx.Duty().SetDue(w.ID, tx.Now); err != nil {
		return d, err
	}
	return d, tx.Audit().Append(by, "stored plan", string(w.ID))
}
