package schedule

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"sync"
)

// Rule is one row of rules.json: when a reminder is said, how long it is of
// use, and how it is repeated. What makes it due is code, by id.
type Rule struct {
	ID          string `json:"id"`
	Each        string `json:"each"` // night: dates are nights; day: calendar dates
	At          string `json:"at"`   // the clock of the plan: insertion_at, removal_at or evening_sight_at
	PlusMinutes int    `json:"plus_minutes"`
	Until       string `json:"until"`          // night-end, full-night or minutes
	Useful      int    `json:"useful_minutes"` // for until minutes: after At, 1 to 720
	To          string `json:"to"`             // first, parent or all
	Group       string `json:"group"`          // morning, evening or bedtime
	Key         string `json:"key"`
	Basis       string `json:"basis"` // source, or "common practice"

	// Quieter is for the nightly routine: the row with the largest After that
	// is reached applies.
	Quieter []Quieter `json:"quieter"`
	// BeforeDays, AgainAfterDays and ThenEveryDays are for what has a due date:
	// days ahead, days overdue, and from the last of these on every so many.
	BeforeDays     []int `json:"before_days"`
	AgainAfterDays []int `json:"again_after_days"`
	ThenEveryDays  int   `json:"then_every_days"`
}

// Quieter says how a rule backs off: after After unanswered reminders in a
// row, only every Every nights.
type Quieter struct {
	After int `json:"after"`
	Every int `json:"every"`
}

type ruleFile struct {
	Version int    `json:"version"`
	About   string `json:"about"`
	// CareSystems are those a plan may name and a log may say, the usual first.
	CareSystems []CareSystem `json:"care_systems"`
	Rules       []Rule       `json:"rules"`
}

// ruleIDs are the reminders this program knows. The table must hold each once.
var ruleIDs = []string{
	"removal", "care", "spectacles", "deposit-removal", "evening-sight", "acuity",
	"case", "bottle", "drops", "lens", "holder", "recall", "sync", "insertion",
}

// ReadRules reads a rule table strictly: an unknown field, a missing, doubled
// or unknown rule, or a value out of range is an error that names the rule.
func ReadRules(raw []byte) ([]Rule, error) {
	f, err := readFile(raw)
	return f.Rules, err
}

func readFile(raw []byte) (ruleFile, error) {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	var f ruleFile
	if err := dec.Decode(&f); err != nil {
		return ruleFile{}, fmt.Errorf("rules: %w", err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return ruleFile{}, fmt.Errorf("rules: more than one JSON value")
	}
	if err := f.check(); err != nil {
		return ruleFile{}, fmt.Errorf("rules: %w", err)
	}
	return f, nil
}

func (f *ruleFile) check() error {
	if f.Version != 1 {
		return fmt.Errorf("version %d; want 1", f.Version)
	}
	for _, known := range []CareSystem{Multipurpose, Peroxide, OtherSystem} {
		if !slices.Contains(f.CareSystems, known) {
			return fmt.Errorf("care_systems: %s is missing", known)
		}
	}
	seen := map[string]bool{}
	for _, r := range f.Rules {
		if seen[r.ID] {
			return fmt.Errorf("%s appears twice", r.ID)
		}
		seen[r.ID] = true
		if fault := r.fault(); fault != "" {
			return fmt.Errorf("%s: %s", r.ID, fault)
		}
	}
	for _, id := range ruleIDs {
		if !seen[id] {
			return fmt.Errorf("%s is missing", id)
		}
	}
	return nil
}

// fault returns what is wrong with a rule, or nothing.
func (r *Rule) fault() string {
	one := func(s string, of ...string) bool { return slices.Contains(of, s) }
	switch {
	case !one(r.ID, ruleIDs...):
		return fmt.Sprintf("unknown id; want one of %v", ruleIDs)
	case !one(r.Each, "night", "day"):
		return "each: want night or day"
	case !one(r.At, "insertion_at", "removal_at", "evening_sight_at"):
		return "at: want insertion_at, removal_at or evening_sight_at"
	case r.Each == "day" && r.At != "evening_sight_at":
		return "at: a rule by day is said at evening_sight_at"
	case r.PlusMinutes < 0 || r.PlusMinutes > 240:
		return "plus_minutes: want 0 to 240"
	case !one(r.Until, "night-end", "full-night", "minutes"):
		return "until: want night-end, full-night or minutes"
	case r.Until == "minutes" && (r.Useful < 1 || r.Useful > 720):
		return "useful_minutes: want 1 to 720"
	case r.Until != "minutes" && r.Useful != 0:
		return "useful_minutes: only with until minutes"
	case !one(r.To, "first", "parent", "all"):
		return "to: want first, parent or all"
	case !one(r.Group, "morning", "evening", "bedtime"):
		return "group: want morning, evening or bedtime"
	case r.Key == "" || r.Basis == "":
		return "key and basis: want both"
	case (r.Quieter == nil) == (r.ThenEveryDays == 0):
		return "want either quieter, or again_after_days and then_every_days"
	case r.ThenEveryDays < 0 || !rising(r.AgainAfterDays):
		return "again_after_days: want rising days, each 1 or more"
	}
	for _, q := range r.Quieter {
		if q.After < 1 || q.Every < 2 {
			return "quieter: want after 1 or more and every 2 or more"
		}
	}
	return ""
}

func rising(days []int) bool {
	last := 0
	for _, d := range days {
		if d <= last {
			return false
		}
		last = d
	}
	return true
}

// Rules returns the built-in table in the order of the day. The slice is
// shared and must not be changed.
func Rules() []Rule { return builtin().Rules }

// CareSystems returns the care systems of the built-in table, the usual first:
// those a plan may name and a log may say. The slice is shared.
func CareSystems() []CareSystem { return builtin().CareSystems }

var builtin = sync.OnceValue(func() ruleFile {
	raw, err := Web.ReadFile("rules.json")
	if err == nil {
		var f ruleFile
		if f, err = readFile(raw); err == nil {
			return f
		}
	}
	panic(err) // a fault of the build: the table is embedded and tested
})

// speaks reports whether a rule with a due date speaks so many days after the
// date it is about: negative days are before it.
func (r *Rule) speaks(days int) bool {
	if days < 0 {
		return slices.Contains(r.BeforeDays, -days)
	}
	last := 0
	if n := len(r.AgainAfterDays); n > 0 {
		last = r.AgainAfterDays[n-1]
	}
	return days == 0 || slices.Contains(r.AgainAfterDays, days) ||
		days > last && (days-last)%r.ThenEveryDays == 0
}

// every returns how many nights apart a nightly rule speaks after so many
// unanswered reminders.
func (r *Rule) every(ignored int) int {
	n, reached := 1, 0
	for _, q := range r.Quieter {
		if ignored >= q.After && q.After > reached {
			n, reached = q.Every, q.After
		}
	}
	return n
}
