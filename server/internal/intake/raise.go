package intake

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
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

// WornUnplanned is the rule name of an alert about a lens that went in, of tonight or last
// night, in an eye whose plan has none. Nothing stops that eye, so it is routine (ours).
const WornUnplanned = "worn-unplanned"

// WornUnmet is the rule name of an alert about a lens that went in, of tonight or last
// night, although the release of its eye asks for a new lens or case first and nobody has
// said that one is in use: the family's phone says to take it out. Nothing stops that eye,
// so it is routine (ours).
const WornUnmet = "worn-unmet"

// CheckNotDone is the rule name of an alert about an eye that was said to be sore,
// or a check that was begun, of which no report has come.
const CheckNotDone = "check-not-done"

// ToldOnly is the rule name of an alert about an entry by which a family's phone said that
// no lens may be worn, where nothing that can be read here says why.
const ToldOnly = "told-only"

// recordNights is how many nights the rules about the record look at: their
// longest window, and the baseline of evening sight before it.
const recordNights = care.RecordNights

// comparison follows one request: what held before it, and what holds after.
type comparison struct {
	tx     *store.Tx
	family care.FamilyID
	noted  map[care.WearerID][]*care.Entry       // entries that can change a rule about the record
	system map[care.WearerID]schedule.CareSystem // of the plans that were asked for
	raised bool
}

func newComparison(tx *store.Tx, family care.FamilyID) (*comparison, error) {
	return &comparison{tx: tx, family: family, noted: map[care.WearerID][]*care.Entry{}, system: map[care.WearerID]schedule.CareSystem{}}, tx.Log().SetBaseline()
}

// begin comes before an entry is appended. Before one that corrects or
// retracts, what the request said so far is told: a concern that was written
// down is raised, although the same request takes it back.
func (w *comparison) begin(e *care.Entry) error {
	if w.noted[e.Wearer] == nil || len(e.Supersedes)+len(e.Retracts) == 0 {
		return nil
	}
	if err := w.end(); err != nil {
		return err
	}
	return w.tx.Log().SetBaseline()
}

// added evaluates a symptom report at once, and notes other entries for end.
func (w *comparison) added(e *care.Entry) error {
	if may, err := w.mayRaise(e); err != nil {
		return err
	} else if may {
		w.noted[e.Wearer] = append(w.noted[e.Wearer], e)
	}
	changed, err := raiseEntry(w.tx, w.family, e)
	if err == nil && !changed && e.Told().Worst() == care.Stop && e.Judged.Worst() < care.Stop {
		changed, err = raiseTold(w.tx, w.family, e)
	}
	w.raised = w.raised || changed
	if err != nil || e.Judged.Worse(e.Told()).Worst() < care.Stop || e.Wearer == care.DrillWearer || !stopsAnew(WearNow(w.tx, e.Wearer), e.ID) {
		return err
	}
	w.raised = true // so that the outbox is looked at
	return dispatch.NotifyStop(w.tx, w.family, e)
}

// stopsAnew reports whether an entry alone stops an eye.
func stopsAnew(w care.Wear, id care.EntryID) bool {
	for _, eye := range []care.EyeWear{w.Right, w.Left} {
		if eye.State >= care.Stop && len(eye.Causes) > 0 && !slices.ContainsFunc(eye.Causes, func(c care.Cause) bool { return c.ID != id }) {
			return true
		}
	}
	return false
}

// raiseEntry raises what one entry says by itself.
func raiseEntry(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	switch e.Kind {
	case care.Symptoms:
		return raiseSymptoms(tx, family, e)
	case care.Insertion:
		if e.Judged.Worse(e.Told()).Worst() >= care.Stop {
			return raiseWorn(tx, family, e)
		}
		return raiseIn(tx, family, e)
	case care.Morning:
		if e.Answer("moved") == `"stuck"` { // as a report of it: the lens is still on the eye
			return apply(tx, family, e, "lens-not-out", said(e, stuckLevel(e), "", time.Time{}, []string{"stuck"}), ofEpisode)
		}
	case care.NotWorn, care.CheckOpen:
		if e.Judged.Worst() >= care.Rest && !left(e) {
			return apply(tx, family, e, CheckNotDone, said(e, alerts.Routine, eyeOf(e.Judged, care.Rest), time.Time{}, []string{CheckNotDone}), ofEpisode)
		}
	}
	return false, nil
}

// raiseIn tells that a lens of tonight or last night went in where nothing stops it and it
// was not to be in all the same.
func raiseIn(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	if last := Tonight(tx, e.Wearer).AddDays(-1); e.Night.Before(last) && e.ServerNight().Before(last) {
		return false, nil
	}
	eye, err := unmet(tx, e)
	rule := WornUnmet
	if err == nil && eye == "" {
		rule = WornUnplanned
		eye, err = unplanned(tx, e)
	}
	if err != nil || eye == "" {
		return false, err
	}
	// It joins what is open, and opens no episode again that was decided about.
	own := func(a escalate.Alert) bool { return a.Rule == rule }
	return apply(tx, family, e, rule, said(e, alerts.Routine, eye, time.Time{}, []string{rule}), own)
}

// raiseTold tells that a phone said "no lens" by an entry of which nothing here says why: a
// stop is urgent, a rest routine, as far as anybody can know (ours).
func raiseTold(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	level, mark := alerts.Routine, e.Told().Worst()
	if mark == care.Stop {
		level = alerts.Urgent
	}
	return apply(tx, family, e, ToldOnly, said(e, level, eyeOf(e.Told(), mark), time.Time{}, []string{ToldOnly}), ofEpisode)
}

// unplanned is the eye that an insertion puts a lens in although
// the plan is for the other alone; empty for none.
func unplanned(tx *store.Tx, e *care.Entry) (string, error) {
	plan, err := tx.Chart().PlanInForce(e.Wearer)
	other := map[string]string{"right": "left", "left": "right"}[plan.Eyes]
	into := strings.Trim(e.Answer("eyes"), `"`)
	if err != nil || other == "" || into != "both" && into != other {
		return "", err
	}
	return other, nil
}

// eyeOf names the eyes with at least a mark.
func eyeOf(m care.Marks, least care.Mark) string {
	switch {
	case m.Right < least:
		return "left"
	case m.Left < least:
		return "right"
	}
	return "both"
}

// end raises what the request made true about the record.
func (w *comparison) end() error {
	for wearer := range w.noted {
		if err := w.tell(wearer); err != nil {
			return err
		}
	}
	return nil
}

// tell raises what is true about a wearer's record as of tonight and as of the
// night of each entry, so that a morning which arrives days late is judged by its
// own night. A finding is told when an entry of the request takes part in it, of
// which the alert then knows whether it is new; any other when it did not hold
// before.
func (w *comparison) tell(wearer care.WearerID) error {
	entries := w.noted[wearer]
	delete(w.noted, wearer)
	rec, err := openRecord(w.tx, wearer)
	if err != nil {
		return err
	}
	told := map[string]bool{}
	for _, night := range nightsOf(entries, rec.today) {
		if err := w.tellAsOf(wearer, rec, night, entries, told); err != nil {
			return err
		}
	}
	return nil
}

// nightsOf returns tonight and the nights of entries, latest first: also those to come,
// of a phone whose clock is ahead.
func nightsOf(entries []*care.Entry, tonight civil.Date) []civil.Date {
	out := []civil.Date{tonight}
	for _, e := range entries {
		if !slices.Contains(out, e.Night) {
			out = append(out, e.Night)
		}
	}
	slices.SortFunc(out, func(a, b civil.Date) int { return b.Compare(a) })
	return out
}

func (w *comparison) tellAsOf(wearer care.WearerID, rec record, night civil.Date, entries []*care.Entry, told map[string]bool) error {
	ahead := night.After(rec.today)
	rec.today = night
	after, err := rec.nights(w.tx, wearer)
	if err != nil {
		return err
	}
	now := pressing(rec.evaluate(after))
	if len(now) == 0 {
		return nil // nearly always; what held before need not be worked out
	}
	before, err := w.tx.Log().BaselineSigns(wearer, night.AddDays(-recordNights), night)
	if err != nil {
		return err
	}
	held := pressing(rec.evaluate(before))
	judging := care.Judging{Plan: rec.plan, Settings: rec.settings}
	for _, f := range now {
		e := entries[len(entries)-1]
		at := slices.IndexFunc(entries, func(x *care.Entry) bool { return judging.Part(x, f, night) })
		if at >= 0 {
			e = entries[at]
		}
		if told[f.Rule] || at < 0 && ahead || at < 0 && slices.ContainsFunc(held, func(h alerts.Finding) bool { return h.Rule == f.Rule }) {
			continue
		}
		told[f.Rule] = true
		s := said(e, f.Level, "", time.Time{}, recordSigns(f.Rule, e))
		rings, err := apply(w.tx, w.family, e, f.Rule, s, func(a escalate.Alert) bool { return a.Rule == f.Rule })
		if err != nil {
			return err
		}
		w.raised = w.raised || rings
	}
	return nil
}

// recordSigns returns what an entry adds to a rule about the record, each grade
// with those below it, so that only a worse one is new.
func recordSigns(rule string, e *care.Entry) []string {
	out := []string{rule}
	if e.Kind != care.Morning {
		return out
	}
	if n, err := strconv.Atoi(e.Answer("redness")); err == nil {
		for i := 1; i <= n; i++ {
			out = append(out, fmt.Sprint("redness ", i))
		}
	}
	if n, err := strconv.Atoi(e.Answer("comfort")); err == nil {
		for i := 1; i >= n; i-- {
			out = append(out, fmt.Sprint("comfort ", i))
		}
	}
	return out
}

// mayRaise reports whether an entry can make a rule about the record hold that
// is urgent or worse or holds a lens back. Those rules look at [UrgentSigns] only, which a test
// holds against the table, and where entries differ the worse value counts: an
// entry that gives the best answer to each of those signs, or none, cannot.
// Most entries of a night are such. With peroxide, when a lens went in and when
// the case was closed say whether the soak was cut short.
func (w *comparison) mayRaise(e *care.Entry) (bool, error) {
	if len(e.Supersedes) > 0 {
		return true, nil
	}
	switch e.Kind {
	case care.Symptoms, care.Retraction, care.CheckOpen:
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
func (w *comparison) peroxide(wearer care.WearerID) (bool, error) {
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
// record look at when they are urgent or worse or hold a lens back.
func UrgentSigns() []alerts.Sign {
	return []alerts.Sign{"check_left_nights", "comfort", "felt", "halos", "peroxide_short", "redness", "sign_after_water_days", "sore_after_flag_days", "stuck", "symptoms_last_14"}
}

// pressing returns what a person must hear of: what is urgent, and what holds a
// lens back. The other findings are read from the log when the console shows its
// day.
func pressing(all []alerts.Finding) []alerts.Finding {
	return slices.DeleteFunc(all, func(f alerts.Finding) bool {
		return f.State != alerts.Fired || f.Level < alerts.Urgent && alerts.Default().Rule(f.Rule).Mark < alerts.MarkRest
	})
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
func (r *record) nights(tx *store.Tx, w care.WearerID) ([]care.NightSigns, error) {
	return tx.Log().NightSigns(w, r.today.AddDays(-recordNights), r.today)
}

// evaluate evaluates every rule about the record.
func (r *record) evaluate(nights []care.NightSigns) []alerts.Finding {
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
	signs := signsOf(out)
	if eye == "" { // said first, of no eye: of the one that was named beside it
		eye = r.Eye()
	}
	level := out.Level
	if out.Unsure {
		rule, level = NotAssessed, alerts.Urgent
		if e.Judged.Worst() >= care.Stop { // beside an emergency that nobody has examined: as the phone says
			level = alerts.Emergency
		}
	}
	if level < alerts.Routine {
		return improved(tx, e)
	}
	if signs, err = withoutFreed(tx, e, signs); err != nil {
		return false, err
	}
	return apply(tx, family, e, rule, said(e, level, eye, r.Began, signs), ofEpisode)
}

// withoutFreed leaves out of the signs of a report that a lens came off of which the
// wearer's live alert knows that it was stuck: that it is out is no worsening.
func withoutFreed(tx *store.Tx, e *care.Entry, signs []string) ([]string, error) {
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	return slices.DeleteFunc(signs, func(sign string) bool {
		eye, off := strings.CutPrefix(sign, "lens-came-off ")
		return off && slices.ContainsFunc(have, func(a escalate.Alert) bool {
			return a.Live() && slices.Contains(a.Signs, "lens-not-out "+eye)
		})
	}), err
}

// ofEpisode reports whether an alert is that of a wearer's episode of symptoms.
func ofEpisode(a escalate.Alert) bool {
	def := alerts.Default().Rule(a.Rule)
	return a.Rule == NotAssessed || a.Rule == WornStopped || a.Rule == WornStill || a.Rule == WornUnplanned || a.Rule == WornUnmet || a.Rule == CheckNotDone || a.Rule == ToldOnly || a.Rule == StopReview || def != nil && def.About == "symptoms"
}

// raiseWorn tells that a lens went in under a stop. Saying so must never cost a
// family more than it helps: the first is an alert, or joins that of the episode;
// later ones are counted and page nobody.
func raiseWorn(tx *store.Tx, family care.FamilyID, e *care.Entry) (bool, error) {
	s := said(e, alerts.Urgent, eyeOf(e.Judged.Worse(e.Told()), care.Stop), time.Time{}, []string{WornStopped})
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	for _, a := range have {
		if a.Live() && slices.Contains(a.Signs, WornStopped) {
			return false, tx.Duty().PutAlert(a.Again(s, tx.Now))
		}
		if a.Live() {
			s.Eye = "" // a lens that went in is no sign of an eye
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

// apply raises an alert: the wearer's live one when there is any, else the one that was
// closed before this came and after it was written, else, for a red flag, the one of the
// same episode that was closed just now, else a new one. What the alert knows already is counted and rings nobody, see
// [escalate.Alert.Repeats]. It reports whether anybody may have to be told.
func apply(tx *store.Tx, family care.FamilyID, e *care.Entry, rule string, s escalate.Said, same func(escalate.Alert) bool) (bool, error) {
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	event := escalate.Event{
		Kind: escalate.Raised, Level: s.Level, Eye: s.Eye, Entry: e.ID, Began: s.Began, Rule: rule, RuleVersion: alerts.Default().Version,
	}
	a := escalate.Alert{ID: care.AlertID(access.NewID()), Wearer: e.Wearer, Family: family, Rule: rule, Drill: e.Wearer == care.DrillWearer}
	if i := taking(have, e, s.Level, same, tx.Now); i >= 0 {
		a = have[i]
		if a.Repeats(s) {
			return false, tx.Duty().PutAlert(a.Again(s, tx.Now))
		}
		if (a.New(s) || a.NewNight(s)) && e.Kind != care.Insertion {
			event.Kind = escalate.Worsened
		}
		if event.Level.Worse(a.Level) || a.Rule == CheckNotDone && event.Level == a.Level {
			a.Rule = rule // what was found leads, not that the check was not finished
		}
	}
	rules, err := dispatch.Rules(tx)
	if err != nil {
		return false, err
	}
	a.Learn(s, tx.Now)
	_, err = dispatch.Apply(tx, rules, a, event)
	return true, err
}

// taking returns which alert of a wearer takes a finding of an entry, -1 for none: of live
// ones, of which there is one since all findings join it, the most pressing. What is routine
// opens no red flag again about which the practice has decided.
func taking(have []escalate.Alert, e *care.Entry, level escalate.Level, same func(escalate.Alert) bool, now time.Time) int {
	best := -1
	for i, a := range have {
		if a.Live() && (best < 0 || a.Level.Worse(have[best].Level)) {
			best = i
		}
	}
	if best >= 0 {
		return best
	}
	wrote, err := e.ServerTime()
	if err == nil && !e.Kind.Clinical() && (level.RedFlag() || e.Kind == care.Symptoms) {
		for i, a := range have {
			if a.Missed(wrote, e.Received()) && (best < 0 || a.ClosedAt.After(have[best].ClosedAt)) {
				best = i
			}
		}
	}
	if best >= 0 || !level.RedFlag() {
		return best
	}
	return slices.IndexFunc(have, func(a escalate.Alert) bool { return same(a) && a.Continues(now) })
}

// improved notes a report without signs on the wearer's live alerts. It closes
// nothing: only the clinic does.
func improved(tx *store.Tx, e *care.Entry) (bool, error) {
	have, err := tx.Duty().WearerAlerts(e.Wearer)
	if err != nil {
		return false, err
	}
	changed := false
	for _, a := range have {
		if !a.Live() {
			continue
		}
		if a.ImprovedBefore() {
			err = tx.Duty().PutAlert(a.ImprovedAgain(e.ID, tx.Now))
		} else {
			_, err = dispatch.Apply(tx, escalate.Rules{}, a, escalate.Event{Kind: escalate.Improved, Entry: e.ID})
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
	Level    escalate.Level `json:"level" enum:"emergency,urgent,routine,note"`
	State    escalate.State `json:"state" enum:"open,acknowledged,closed"`
	Opened   time.Time      `json:"opened"` // while it is open, the last time it was opened
	Began    *time.Time     `json:"began,omitempty"`
	SeenBy   string         `json:"seen_by,omitempty"`
	SeenAt   *time.Time     `json:"seen_at,omitempty"`
	Spoken   *time.Time     `json:"spoken_at,omitempty"` // when somebody of the practice last spoke to the family about it
	DeskAt   *time.Time     `json:"desk_at,omitempty"`   // of an open red flag: the desk has phoned the family; no clinician has it
	TriedAt  *time.Time     `json:"tried_at,omitempty"`  // of a live one: the practice phoned then and did not reach the family, and has not since
	ClosedAt *time.Time     `json:"closed_at,omitempty"`
	Lapsed   bool           `json:"lapsed"` // nobody answered in time: phone
	// LapsesAt is from when on that holds for a phone that hears nothing more, by the
	// practice's minutes; of an open alert.
	LapsesAt *time.Time     `json:"lapses_at,omitempty"`
	Entry    care.EntryID   `json:"entry"`
	Entries  []care.EntryID `json:"entries"`           // the entries that raised it; of those that said nothing new, the last
	Decided  []care.EntryID `json:"decided,omitempty"` // of an alert that is open again: the entries that the clinic decided about
	// Kept are entries behind it that hold a lens back and that no other phone gets from
	// the log: the server could not read them.
	Kept []KeptEntry `json:"kept,omitempty"`
}

// KeptEntry is what the phones of a family read of an entry that the server could not.
type KeptEntry struct {
	ID    care.EntryID   `json:"id"`
	Kind  care.EntryKind `json:"kind"`
	Night civil.Date     `json:"night"`
	Body  struct {
		Told care.Marks `json:"told"`
	} `json:"body"`
}

// closedFor is how long a family sees an alert after it was closed.
const closedFor = 14 * 24 * time.Hour

// familyAlerts are the live alerts of a family and those closed lately. To an app
// that cannot show a decision an alert of which an entry still stops wear is
// never closed: it would offer lenses.
func familyAlerts(tx *store.Tx, f care.FamilyID, schema int) ([]FamilyAlert, error) {
	out := []FamilyAlert{}
	for _, w := range tx.Register().WearersOf(f) {
		list, err := tx.Duty().WearerAlerts(w)
		if err != nil {
			return nil, err
		}
		holds, holdsKept := none, none
		kept := tx.Log().KeptWear(w)
		if old := schema < care.Since(care.Cease); len(kept) > 0 || old && tx.Log().HasWear(w) {
			if holdsKept = holding(tx, w); old {
				holds = holdsKept
			}
		}
		for _, a := range list {
			if schema >= care.Since(care.Cease) && clinicsOwn(tx, a) {
				continue
			}
			v := familyAlert(a)
			if a.State == escalate.Open {
				at, err := lapses(tx, a)
				if err != nil {
					return nil, err
				}
				v.LapsesAt = &at
			}
			still := v.keep(kept, holdsKept)
			if !a.Live() && slices.ContainsFunc(v.Entries, holds) {
				v.State, v.SeenBy, v.SeenAt, v.ClosedAt = escalate.Acknowledged, a.ClosedName, some(a.ClosedAt), nil
				out = append(out, v)
			} else if a.Live() || still || tx.Now.Sub(a.ClosedAt) < closedFor {
				out = append(out, v)
			}
		}
	}
	return out, nil
}

func none(care.EntryID) bool { return false }

// keep adds which entries behind an alert are kept unread, and reports whether any of them
// still holds a lens back.
func (v *FamilyAlert) keep(kept []*care.Entry, holds func(care.EntryID) bool) (still bool) {
	for _, e := range kept {
		if !slices.Contains(v.Entries, e.ID) {
			continue
		}
		k := KeptEntry{ID: e.ID, Kind: e.Kind, Night: e.Night}
		k.Body.Told = e.KeptMarks()
		v.Kept, still = append(v.Kept, k), still || holds(e.ID)
	}
	return still
}

// clinicsOwn says whether an alert only asks the practice to look again at a decision of
// its own, and nobody has yet: the family reported nothing, so nothing of theirs waits
// unread. The decision and the date that has passed stand on the phone without it.
func clinicsOwn(tx *store.Tx, a escalate.Alert) bool {
	if a.State != escalate.Open || a.Rule != StopReview || !a.Tried().IsZero() {
		return false
	}
	if slices.ContainsFunc(a.Signs, func(sign string) bool { return !strings.HasPrefix(sign, StopReview) }) {
		return false
	}
	return !slices.ContainsFunc(a.Entries(), func(id care.EntryID) bool {
		e, err := tx.Log().Entry(a.Family, id)
		return err != nil || e.Kind != care.Cease
	})
}

// holding returns which entries hold back a lens of a wearer: every one where the file
// is too damaged to know.
func holding(tx *store.Tx, w care.WearerID) func(care.EntryID) bool {
	var causes []care.EntryID
	err := tx.Try(func() error { causes = CausesOf(WearNow(tx, w)); return nil })
	return func(id care.EntryID) bool { return err != nil || slices.Contains(causes, id) }
}

// lapses is when an alert lapses that nobody answers.
func lapses(tx *store.Tx, a escalate.Alert) (time.Time, error) {
	rules, err := dispatch.Rules(tx)
	return a.Since.Add(time.Duration(rules.Policy.Lapse) * time.Minute), err
}

func familyAlert(a escalate.Alert) FamilyAlert {
	f := FamilyAlert{ID: a.ID, Wearer: a.Wearer, Level: a.Level, State: a.State, Opened: a.Opened, Began: some(a.Began),
		SeenBy: a.AckName, SeenAt: some(a.AckAt), Spoken: some(a.Spoken()), DeskAt: some(a.DeskAt), ClosedAt: some(a.ClosedAt), Lapsed: a.Lapsed(), Entry: a.Entry, Entries: a.Entries()}
	if a.Live() {
		f.Decided, f.TriedAt = a.Decided, some(a.Tried())
	}
	if a.State == escalate.Open && a.Since.After(a.Opened) {
		f.Opened = a.Since // nobody has had it since then
	}
	return f
}

func some(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
