// Package retention says whose time of keeping is over. It owns the rule and
// its bounds; it erases nothing: an administrator does that, family by family.
//
// Invariant: in doubt a record is kept. Local law decides how long; records of
// minors are commonly kept longest, so without a rule nothing is ever due.
package retention

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// Bounds of a rule, our choice: at least a year, so that nobody who only missed
// a recall is listed, and no more than a long life.
const (
	MaxYears = 100
	MaxAge   = 40
)

// Rule is how long a family's record, the audit log and what could not be read
// are kept. The zero rule keeps everything.
type Rule struct {
	Years    int `json:"years"`     // whole calendar years after the last activity, 1 to MaxYears; 0: for good
	UntilAge int `json:"until_age"` // and at least until the youngest wearer has had this birthday, 0 to MaxAge; 0: whatever the age

	AuditYears int `json:"audit_years"` // whole calendar years for a line of the audit log, 1 to MaxYears; 0: for good
	HeldYears  int `json:"held_years"`  // for an entry of a newer app that is kept unread, after it was written, 1 to MaxYears; 0: for good
}

// Check refuses a rule out of bounds; the error names the field.
func (r Rule) Check() error {
	for _, f := range []struct {
		field string
		years int
	}{{"years", r.Years}, {"audit_years", r.AuditYears}, {"held_years", r.HeldYears}} {
		if f.years < 0 || f.years > MaxYears {
			return care.Refuse("bad-retention", f.field, "want 0 to keep for good, or 1 to %d years", MaxYears)
		}
	}
	if r.UntilAge < 0 || r.UntilAge > MaxAge {
		return care.Refuse("bad-retention", "until_age", "want an age from 0 to %d", MaxAge)
	}
	return nil
}

// Record is what the rule looks at of a family.
type Record struct {
	Last   civil.Date   // the last day on which anything was written or seen; zero: unknown
	Births []civil.Date // of every wearer; zero: unknown
	Live   bool         // somebody still has to deal with an alert
}

// KeptUntil returns the last day of keeping; the zero date when there is none,
// because the rule keeps for good or because something it needs is unknown. A
// year from 29 February ends on 28 February.
func (r Rule) KeptUntil(x Record) civil.Date {
	if r.Years == 0 || x.Last.IsZero() || x.Live {
		return civil.Date{}
	}
	until := x.Last.AddMonths(12 * r.Years)
	for _, birth := range x.Births {
		if r.UntilAge == 0 {
			break
		}
		if birth.IsZero() {
			return civil.Date{}
		}
		if of := birth.AddMonths(12 * r.UntilAge); of.After(until) {
			until = of
		}
	}
	return until
}

// Due reports whether the time of keeping is over: from the day after the last
// day of keeping.
func (r Rule) Due(x Record, today civil.Date) bool {
	until := r.KeptUntil(x)
	return !until.IsZero() && today.After(until)
}

// LineDue reports whether a line of the audit log from that day need not be kept
// any more.
func (r Rule) LineDue(from, today civil.Date) bool { return over(from, r.AuditYears, today) }

// HeldDue reports whether an entry kept unread and written on that day need not
// be kept any more; the zero date is an unknown day.
func (r Rule) HeldDue(written, today civil.Date) bool { return over(written, r.HeldYears, today) }

// over reports whether whole calendar years from a day are over: from the day
// after the same day of that year. 0 years are never over.
func over(from civil.Date, years int, today civil.Date) bool {
	return years > 0 && !from.IsZero() && today.After(from.AddMonths(12*years))
}
