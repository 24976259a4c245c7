package intake

import (
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

// WornStopped is the rule name of an alert about a lens that went in while
// something stops it. The first raises one; later nights join it and page nobody.
const WornStopped = "worn-stopped"

// recordNights is how many nights the rules about the record look at: their
// longest window, and the baseline of evening sight before it.
const recordNights = care.RecordNights

// watch follows one request: what held before it, and what holds after.
type watch struct {
	tx     *store.Tx
	family care.FamilyID
	last   map[care.WearerID]*care.Entry         // newest entry that can change a rule about the record
	system map[care.WearerID]schedule.CareSystem // of the plans that were asked for
	raised bool
}

func newWatch(tx *store.Tx, family care.FamilyID) (*watch, error) {
	return &watch{tx: tx, family: family, last: map[care.WearerID]*care.Entry{}, system: map[care.WearerID]schedule.CareSystem{}}, tx.Log().SetBaseline()
}

// begin comes before an entry is appended. Before one that corrects or
// retracts, what the request said so far is told: a concern that was written
// down is raised, although the same request takes it back.
func (w *watch) begin(e *care.Entry) error {
	if w.last[e.Wearer] == nil || len(e.Supersedes)+len(e.Retracts) == 0 {
		return nil
	}
	if err := w.end(); err != nil {
		return err
	}
	return w.tx.Log().SetBaseline()
}

// added evaluates a symptom report at once, and notes other entries for end.
func (w *watch) added(e *care.Entry) error {
	if may, err := w.mayRaise(e); err != nil {
		return err
	} else if may {
		w.last[e.Wearer] = e
	}
	if e.Kind == care.Insertion && e.Judged.Worst() >= care.Stop {
		changed, err := raiseWorn(w.tx, w.family, e)
		w.raised = w.raised || changed
		return err
	}
	if e.Kind != care.Symptoms {
		return nil
	}
	changed, err := raiseSymptoms(w.tx, w.family, e)
	w.raised = w.raised || changed
	return err
}

// end raises what the request made true about the record.
func (w *watch) end() error {
	for wearer := range w.last {
		if err := w.tell(wearer); err != nil {
			return err
		}
	}
	return nil
}

// tell raises what became true about a wearer's record since the nights were
// last noted. A rule that held before was told then.
func (w *watch) tell(wearer care.WearerID) error {
	e := w.last[wearer]
	delete(w.last, wearer)
	rec, err := openRecord(w.tx, wearer)
	if err != nil {
		return err
	}
	after, err := rec.nights(w.tx, wearer)
	if err != nil {
		return err
	}
	now := urgent(rec.evaluate(after))
	if len(now) == 0 {
		return nil // nearly always; what held before need not be worked out
	}
	before, err := w.tx.Log().BaselineBriefs(wearer, rec.today.AddDays(-recordNights), rec.today)
	if err != nil {
		return err
	}
	held := urgent(rec.evaluate(before))
	for _, f := range now {
		if slices.ContainsFunc(held, func(h alerts.Finding) bool { return h.Rule == f.Rule }) {
			continue
		}
		rings, err := apply(w.tx, w.family, e, f.Rule, said(e, f.Level, "", time.Time{}, nil), func(a escalate.Alert) bool { return a.Rule == f.Rule })
		if err != nil {
			return err
		}
		w.raised = w.raised || rings
	}
	return nil
}

// mayRaise reports whether an entry can make a rule about the record hold that
// is urgent or worse. Those rules look at [UrgentSigns] only, which a test
// holds against the table, and where entries differ the worse value counts: an
// entry that gives the best answer to each of those signs, or none, cannot.
// Most entries of a night are such. With peroxide, when a lens went in and when
// the case was closed say whether the soak was cut short.
func (w *watch) mayRaise(e *care.Entry) (bool, error) {
	if len(e.Supersedes) > 0 {
		return true, nil
	}
	switch e.Kind {
	case care.Symptoms, care.Retraction:
		return true, nil
	case care.Insertion:
		return w.peroxide(e.Wearer)
	case care.Care, care.Morning, care.EveningSight:
	default:
		return false, nil
	}
	if !care.Harmless(e) {
		return true, nil
	}
	if e.Answer("closed_at") != "" {
		return w.peroxide(e.Wearer)
	}
	return false, nil
}

// peroxide reports whether a wearer's plan says that lenses lie in peroxide.
func (w *watch) peroxide(wearer care.WearerID) (bool, error) {
	system, known := w.system[wearer]
	if !known {
		plan, err := w.tx.Chart().PlanInForce(wearer)
		if err != nil {
			return false, err
		}
		system = plan.CareSystem
		w.system[wearer] = system
	}
	return system == schedule.Peroxide, nil
}

// UrgentSigns returns the signs of nights and facts that rules about the
// record look at when they are urgent or worse.
func UrgentSigns() []alerts.Sign {
	return []alerts.Sign{"comfort", "felt", "halos", "peroxide_short", "redness", "sign_after_water_days", "stuck", "symptoms_last_14"}
}

// urgent returns what a person must hear of at once. The less pressing findings
// are read from the log when the console shows its day.
func urgent(all []alerts.Finding) []alerts.Finding {
	return slices.DeleteFunc(all, func(f alerts.Finding) bool { return f.State != alerts.Fired || f.Level < alerts.Urgent })
}

// record is what the rules about the record need to know of a wearer, apart
// from the nights.
type record struct {
	plan     schedule.Plan
	settings map[string]int
	zone     string // at home
	loc      *time.Location
	today    civil.Date // the night of the transaction, by the zone at home
}

func openRecord(tx *store.Tx, w care.WearerID) (record, error) {
	plan, err := tx.Chart().PlanInForce(w)
	if err != nil {
		return record{}, err
	}
	r := record{plan: plan, zone: plan.Zone}
	if r.zone == "" { // no plan yet
		if w, err := tx.Register().Wearer(w); err == nil {
			if f, err := tx.Register().Family(w.Family); err == nil {
				r.zone = f.Zone
			}
		}
	}
	if r.loc, err = civil.LoadZone(r.zone); err != nil || r.zone == "" {
		r.loc, r.zone = time.UTC, "UTC"
	}
	r.today = civil.NightOf(tx.Now, r.loc)
	return r, tx.Register().Setting("rule_settings", &r.settings)
}

// nights reads the nights that the rules look at.
func (r *record) nights(tx *store.Tx, w care.WearerID) ([]care.Brief, error) {
	return tx.Log().Briefs(w, r.today.AddDays(-recordNights), r.today)
}

// evaluate evaluates every rule about the record.
func (r *record) evaluate(nights []care.Brief) []alerts.Finding {
	table := alerts.Default()
	seen := care.AlertNights(nights, r.plan, r.today, table.LongestWindow())
	return table.Evaluate(alerts.Input{
		Today: r.today, Back: seen, Facts: care.AlertFacts(nights, r.plan, r.today), Settings: r.settings,
	})
}

// Findings evaluates every rule about the record for a wearer now.
func Findings(tx *store.Tx, w care.WearerID) ([]alerts.Finding, error) {
	r, err := openRecord(tx, w)
	if err != nil {
		return nil, err
	}
	nights, err := r.nights(tx, w)
	if err != nil {
		return nil, err
	}
	return r.evaluate(nights), nil
}

// report reads the body of a symptom entry.
func report(e *care.Entry) (alerts.Report, error) { return e.Report(), nil }

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
	if out.Unsure {
		rule, level = NotAssessed, alerts.Urgent
	}
	same := ofEpisode
	if level < alerts.Routine {
		return improved(tx, e, same)
	}
	return apply(tx, family, e, rule, said(e, level, eye, r.Began, signsOf(out)), same)
}

// ofEpisode reports whether an alert is that of a wearer's episode of symptoms.
func ofEpisode(a escalate.Alert) bool {
	def := alerts.Default().Rule(a.Rule)
	return a.Rule == NotAssessed || a.Rule == WornStopped || def != nil && def.About == "symptoms"
}

// raiseWorn tells that a lens went in under a stop. Saying so must never cost a
// family more than it helps: the first is an alert, or joins that of the episode;
// later ones are counted and page nobody.
func raiseWorn(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	eye := "both"
	if e.Judged.Right < care.Stop {
		eye = "left"
	} else if e.Judged.Left < care.Stop {
		eye = "right"
	}
	s := said(e, alerts.Urgent, eye, time.Time{}, []string{WornStopped})
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	for _, a := range have {
		if a.Live() && ofEpisode(a) && slices.Contains(a.Signs, WornStopped) {
			return false, tx.Duty().PutAlert(a.Again(s, tx.Now))
		}
	}
	return apply(tx, family, e, WornStopped, s, ofEpisode)
}

// signsOf returns the rules about symptoms that a report fires, each with its
// eye. More of them at the same level are a worsening too.
func signsOf(out alerts.Outcome) []string {
	var signs []string
	for _, f := range out.Findings {
		if f.State == alerts.Fired && f.Level >= alerts.Routine {
			signs = append(signs, f.Rule+" "+f.Eye)
		}
	}
	return signs
}

func said(e *care.Entry, level alerts.Level, eye string, began time.Time, signs []string) escalate.Said {
	return escalate.Said{Entry: e.ID, Night: e.Night, Level: escalate.Level(level.String()), Eye: eye, Began: began, Signs: signs}
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
// a new one. What the alert knows already is counted and rings nobody, see
// [escalate.Alert.Repeats]. It reports whether anybody may have to be told.
func apply(tx *store.Tx, family care.FamilyID, e *care.Entry, rule string, s escalate.Said, same func(escalate.Alert) bool) (bool, error) {
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	event := escalate.Event{
		Kind: escalate.Raised, Level: s.Level, Eye: s.Eye, Entry: e.ID, Began: s.Began, RuleVersion: alerts.Default().Version,
	}
	a := escalate.Alert{ID: care.AlertID(access.NewID()), Wearer: e.Wearer, Family: family, Rule: rule}
	if i := slices.IndexFunc(have, func(x escalate.Alert) bool { return same(x) && x.Continues(tx.Now) }); i >= 0 {
		a = have[i]
		if a.Repeats(s) {
			return false, tx.Duty().PutAlert(a.Again(s, tx.Now))
		}
		if a.New(s) {
			event.Kind = escalate.Worsened
		}
		if event.Level.Worse(a.Level) {
			a.Rule = rule
		}
	}
	rules, err := tx.Duty().EscalationRules()
	if err != nil {
		return false, err
	}
	a.Learn(s, tx.Now)
	_, err = tx.Duty().ApplyAlert(rules, a, event)
	return true, err
}

// improved notes a report without signs on the live alerts of the episode. It
// closes nothing: only the clinic does.
func improved(tx *store.Tx, e *care.Entry, same func(escalate.Alert) bool) (bool, error) {
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	changed := false
	for _, a := range have {
		if !same(a) || !a.Live() {
			continue
		}
		if a.ImprovedBefore() {
			err = tx.Duty().PutAlert(a.ImprovedAgain(e.ID, tx.Now))
		} else {
			_, err = tx.Duty().ApplyAlert(escalate.Rules{}, a, escalate.Event{Kind: escalate.Improved, Entry: e.ID})
			changed = true
		}
		if err != nil {
			return false, err
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
	Entries  []care.EntryID `json:"entries"` // the entries that raised it; of those that said nothing new, the last
}

// closedFor is how long a family sees an alert after it was closed.
const closedFor = 14 * 24 * time.Hour

// familyAlerts are the live alerts of a family and those closed lately. To an app
// that cannot show a decision an alert of which an entry still stops wear is
// never closed: it would offer lenses.
func familyAlerts(tx *store.Tx, f care.FamilyID, schema int) ([]FamilyAlert, error) {
	out := []FamilyAlert{}
	wearers, err := tx.Register().Wearers(f)
	if err != nil {
		return nil, err
	}
	for _, w := range wearers {
		list, err := tx.Duty().WearerAlerts(w.ID)
		if err != nil {
			return nil, err
		}
		var holds []care.EntryID
		if schema < care.Since(care.Cease) && tx.Log().HasWear(w.ID) {
			holds = CausesOf(WearNow(tx, w.ID))
		}
		for _, a := range list {
			v := familyAlert(a)
			if !a.Live() && slices.ContainsFunc(v.Entries, func(id care.EntryID) bool { return slices.Contains(holds, id) }) {
				v.State, v.SeenBy, v.SeenAt, v.ClosedAt = escalate.Acknowledged, a.ClosedName, some(a.ClosedAt), nil
				out = append(out, v)
			} else if a.Live() || tx.Now.Sub(a.ClosedAt) < closedFor {
				out = append(out, v)
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
	f.Entries = append(f.Entries, a.Recent...)
	return f
}

func some(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
