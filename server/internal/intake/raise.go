package intake

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// NotAssessed is the rule name of an alert about a symptom report in which no
// sign was reported but questions that matter stayed unanswered. It is raised
// so that a person looks; silence is never taken for "no".
const NotAssessed = "not-assessed"

// recordNights is how many nights the rules about the record look at: their
// longest window, and the baseline of evening sight before it.
const recordNights = 45

// raise evaluates the rules after an entry was appended, and opens or changes
// alerts. It reports whether anything changed.
func raise(tx *store.Tx, family care.FamilyID, e *care.Entry, before map[string]bool) (bool, error) {
	if e.Kind == care.Symptoms {
		if changed, err := raiseSymptoms(tx, family, e); err != nil || changed {
			return changed, err
		}
	}
	if !touchesRecord(e.Kind) {
		return false, nil
	}
	after, err := recordFindings(tx, e.Wearer)
	if err != nil {
		return false, err
	}
	changed := false
	for _, f := range after {
		if before[f.Rule] {
			continue // it held before this entry, and somebody was told then
		}
		err := apply(tx, family, e, f.Rule, f.Level, "", time.Time{}, func(a escalate.Alert) bool { return a.Rule == f.Rule })
		if err != nil {
			return false, err
		}
		changed = true
	}
	return changed, nil
}

// touchesRecord reports whether an entry can change a rule about the record.
func touchesRecord(k care.EntryKind) bool {
	return k != care.Note && k != care.PlanAck && k != care.Supply && k != care.AcuityRun
}

// firedBefore returns the rules about the record that hold already.
func firedBefore(tx *store.Tx, e *care.Entry) (map[string]bool, error) {
	if !touchesRecord(e.Kind) {
		return nil, nil
	}
	list, err := recordFindings(tx, e.Wearer)
	out := map[string]bool{}
	for _, f := range list {
		out[f.Rule] = true
	}
	return out, err
}

// recordFindings evaluates the rules about the record for a wearer now, and
// returns those that a person must hear of at once. The less pressing ones are
// read from the log when the console shows its day.
func recordFindings(tx *store.Tx, w care.WearerID) ([]alerts.Finding, error) {
	plan, err := planOf(tx, w)
	if err != nil {
		return nil, err
	}
	loc, err := time.LoadLocation(plan.Zone)
	if err != nil {
		loc = time.UTC
	}
	today := civil.NightOf(tx.Now, loc)
	nights, err := tx.Nights(w, today.AddDays(-recordNights), today)
	if err != nil {
		return nil, err
	}
	in := alerts.Input{Today: today, Nights: care.AlertNights(nights, plan), Facts: care.AlertFacts(nights, plan, today)}
	var settings map[string]int
	if err := tx.Setting("rule_settings", &settings); err != nil {
		return nil, err
	}
	in.Settings = settings
	var out []alerts.Finding
	for _, f := range alerts.Default().Evaluate(in) {
		if f.State == alerts.Fired && f.Level >= alerts.Urgent {
			out = append(out, f)
		}
	}
	return out, nil
}

func planOf(tx *store.Tx, w care.WearerID) (schedule.Plan, error) {
	var p schedule.Plan
	r, err := tx.Plan(w)
	if care.KindOf(err) == care.NotFound {
		return p, nil
	}
	if err != nil {
		return p, err
	}
	err = json.Unmarshal(r.Plan, &p)
	return p, err
}

// report reads the body of a symptom entry.
func report(e *care.Entry) (alerts.Report, error) {
	var r alerts.Report
	err := json.Unmarshal(e.Body, &r)
	return r, err
}

// raiseSymptoms triages a report. All reports of one episode make one alert,
// named by the worst rule, so that the clinic deals with a child, not with a
// list of signs.
func raiseSymptoms(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	r, err := report(e)
	if err != nil {
		return false, err
	}
	table := alerts.Default()
	out := table.Triage(r)
	rule, eye := worstOf(out)
	level := out.Level
	if level < alerts.Routine && out.Unknown && out.CouldBe >= alerts.Urgent {
		rule, level = NotAssessed, alerts.Routine
	}
	same := func(a escalate.Alert) bool {
		def := table.Rule(a.Rule)
		return a.Rule == NotAssessed || def != nil && def.About == "symptoms"
	}
	if level < alerts.Routine {
		return improved(tx, e, same)
	}
	return true, apply(tx, family, e, rule, level, eye, r.Began, same)
}

// worstOf returns the first rule of the outcome's level that fired, and the
// eye or eyes in which a rule of that level did.
func worstOf(out alerts.Outcome) (rule, eye string) {
	for _, f := range out.Findings {
		if f.State != alerts.Fired || f.Level != out.Level {
			continue
		}
		if rule == "" {
			rule, eye = f.Rule, f.Eye
		} else if f.Eye != eye {
			eye = "both"
		}
	}
	return rule, eye
}

// apply raises an alert: the one of the same episode when there is one, else
// a new one.
func apply(tx *store.Tx, family care.FamilyID, e *care.Entry, rule string, level alerts.Level, eye string, began time.Time, same func(escalate.Alert) bool) error {
	have, err := tx.WearerAlerts(e.Wearer)
	if err != nil {
		return err
	}
	rules, err := tx.EscalationRules()
	if err != nil {
		return err
	}
	event := escalate.Event{
		Kind: escalate.Raised, Level: escalate.Level(level.String()), Eye: eye, Entry: e.ID, Began: began, RuleVersion: alerts.Default().Version,
	}
	a := escalate.Alert{ID: care.AlertID(access.NewID()), Wearer: e.Wearer, Family: family, Rule: rule}
	if i := slices.IndexFunc(have, func(x escalate.Alert) bool { return same(x) && x.Continues(tx.Now) }); i >= 0 {
		a = have[i]
		if event.Level.Worse(a.Level) {
			a.Rule = rule
		}
	}
	_, err = tx.ApplyAlert(rules, a, event)
	return err
}

// improved notes a report without signs on the live alerts of the episode. It
// closes nothing: only the clinic does.
func improved(tx *store.Tx, e *care.Entry, same func(escalate.Alert) bool) (bool, error) {
	have, err := tx.WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	changed := false
	for _, a := range have {
		if same(a) && a.Live() {
			if _, err := tx.ApplyAlert(escalate.Rules{}, a, escalate.Event{Kind: escalate.Improved, Entry: e.ID}); err != nil {
				return false, err
			}
			changed = true
		}
	}
	return changed, nil
}

// --- what the family sees ---

// FamilyAlert is an alert as the family sees it: where it stands and who has
// seen it, never what the clinic wrote.
type FamilyAlert struct {
	ID       care.AlertID   `json:"id"`
	Wearer   care.WearerID  `json:"wearer"`
	Level    escalate.Level `json:"level"`
	State    escalate.State `json:"state"`
	Opened   time.Time      `json:"opened"`
	Began    *time.Time     `json:"began,omitempty"`
	SeenBy   string         `json:"seen_by,omitempty"`
	SeenAt   *time.Time     `json:"seen_at,omitempty"`
	ClosedAt *time.Time     `json:"closed_at,omitempty"`
	Lapsed   bool           `json:"lapsed"` // nobody answered in time: phone
	Entry    care.EntryID   `json:"entry"`
	Entries  []care.EntryID `json:"entries"` // every entry that raised it
}

// closedFor is how long a family sees an alert after it was closed.
const closedFor = 14 * 24 * time.Hour

func familyAlerts(tx *store.Tx, f care.FamilyID) ([]FamilyAlert, error) {
	out := []FamilyAlert{}
	wearers, err := tx.Wearers(f)
	if err != nil {
		return nil, err
	}
	for _, w := range wearers {
		list, err := tx.WearerAlerts(w.ID)
		if err != nil {
			return nil, err
		}
		for _, a := range list {
			if a.Live() || tx.Now.Sub(a.ClosedAt) < closedFor {
				out = append(out, familyAlert(a))
			}
		}
	}
	return out, nil
}

func familyAlert(a escalate.Alert) FamilyAlert {
	f := FamilyAlert{ID: a.ID, Wearer: a.Wearer, Level: a.Level, State: a.State, Opened: a.Opened, Began: some(a.Began),
		SeenBy: a.AckName, SeenAt: some(a.AckAt), ClosedAt: some(a.ClosedAt), Lapsed: a.Lapsed(), Entry: a.Entry, Entries: []care.EntryID{}}
	for _, e := range a.History {
		if e.Entry != "" {
			f.Entries = append(f.Entries, e.Entry)
		}
	}
	return f
}

func some(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
