package retention_test

import (
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/retention"
)

func date(s string) civil.Date {
	if s == "" {
		return civil.Date{}
	}
	return civil.MustDate(s)
}

// The first due day, counted on a calendar by hand; the day before it, nothing
// is due.
func TestDue(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		rule   retention.Rule
		last   string
		births []string
		live   bool
		due    string // first due day; "" for never
	}{
		{"no rule", retention.Rule{}, "1990-01-01", nil, false, ""},
		{"ten years", retention.Rule{Years: 10}, "2016-03-28", nil, false, "2026-03-29"},
		{"a year over a leap day", retention.Rule{Years: 1}, "2027-03-01", nil, false, "2028-03-02"},
		{"a year from a leap day", retention.Rule{Years: 1}, "2028-02-29", nil, false, "2029-03-01"},
		{"four years from a leap day", retention.Rule{Years: 4}, "2028-02-29", nil, false, "2032-03-01"},
		{"a year from New Year's Eve", retention.Rule{Years: 1}, "2026-12-31", nil, false, "2028-01-01"},
		{"the 25th birthday is later", retention.Rule{Years: 10, UntilAge: 25}, "2016-03-28", []string{"2008-07-01"}, false, "2033-07-02"},
		{"the youngest counts", retention.Rule{Years: 10, UntilAge: 25}, "2016-03-28", []string{"1980-01-01", "2010-05-05"}, false, "2035-05-06"},
		{"the 25th birthday is past", retention.Rule{Years: 10, UntilAge: 25}, "2016-03-28", []string{"1980-01-01"}, false, "2026-03-29"},
		{"born on a leap day", retention.Rule{Years: 1, UntilAge: 25}, "2016-03-28", []string{"2008-02-29"}, false, "2033-03-01"},
		{"one birth unknown", retention.Rule{Years: 10, UntilAge: 25}, "2016-03-28", []string{"1980-01-01", ""}, false, ""},
		{"births unknown and no matter", retention.Rule{Years: 10}, "2016-03-28", []string{""}, false, "2026-03-29"},
		{"an alert is open", retention.Rule{Years: 1}, "2016-03-28", nil, true, ""},
		{"last activity unknown", retention.Rule{Years: 1}, "", nil, false, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			x := retention.Record{Last: date(tc.last), Live: tc.live}
			for _, b := range tc.births {
				x.Births = append(x.Births, date(b))
			}
			if tc.due == "" {
				if tc.rule.Due(x, date("2999-12-31")) {
					t.Error("due, want never")
				}
				return
			}
			if on := date(tc.due); !tc.rule.Due(x, on) || tc.rule.Due(x, on.AddDays(-1)) {
				t.Errorf("kept until %v; want due from %s on and not before", tc.rule.KeptUntil(x), tc.due)
			}
		})
	}
}

// A rule is taken within its bounds and refused just beyond.
func TestBounds(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		rule retention.Rule
		ok   bool
	}{
		{retention.Rule{}, true}, {retention.Rule{Years: 1}, true}, {retention.Rule{Years: 100, UntilAge: 40}, true},
		{retention.Rule{Years: -1}, false}, {retention.Rule{Years: 101}, false}, {retention.Rule{UntilAge: -1}, false}, {retention.Rule{Years: 1, UntilAge: 41}, false},
	} {
		if err := tc.rule.Check(); (err == nil) != tc.ok || err != nil && care.KindOf(err) != care.Invalid {
			t.Errorf("%+v: %v, want accepted %v", tc.rule, err, tc.ok)
		}
	}
}

// Lines and entries kept unread: the last day they must be kept, counted on a
// calendar by hand, and the first day they need not.
func TestLinesAndHeldEntries(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		years     int
		from      string
		kept, due string // "" for never
	}{
		{0, "1990-01-01", "2026-03-28", ""},
		{10, "2016-03-28", "2026-03-28", "2026-03-29"},
		{1, "2028-02-29", "2029-02-28", "2029-03-01"},
		{4, "2028-02-29", "2032-02-29", "2032-03-01"},
		{1, "", "2026-03-28", ""}, // written nobody knows when
	} {
		line, held := retention.Rule{AuditYears: tc.years}, retention.Rule{HeldYears: tc.years}
		from := date(tc.from)
		if line.LineDue(from, date(tc.kept)) || held.HeldDue(from, date(tc.kept)) {
			t.Errorf("%d years from %q: due on %s", tc.years, tc.from, tc.kept)
		}
		if tc.due != "" && (!line.LineDue(from, date(tc.due)) || !held.HeldDue(from, date(tc.due))) {
			t.Errorf("%d years from %q: not due on %s", tc.years, tc.from, tc.due)
		}
		if held.LineDue(from, date("2100-01-01")) || line.HeldDue(from, date("2100-01-01")) {
			t.Error("one rule acts on the other's things")
		}
	}
}
