package clinic

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// describe adds what the reports behind an alert say, and how old the wearer
// is today where the practice is.
func (v *alertView) describe(tx *store.Tx, a escalate.Alert, w care.Wearer) error {
	var entries []care.Entry
	for _, id := range reportsOf(a) {
		e, err := tx.Log().Entry(a.Family, id)
		if err != nil {
			continue // erased, not handed in again since a restore, or set aside as unreadable
		}
		entries = append(entries, e)
		if id == a.Entry {
			v.Zone = e.Zone
		}
	}
	v.Episode = episode.Of(withRemovals(tx, entries), a.Decided...)
	if err := v.addWater(tx, entries); err != nil {
		return err
	}
	v.sayNow(entries)
	v.sayOut(tx, a, entries)
	// What an order of before the last decision said is no longer what the phone says.
	open := slices.ContainsFunc(entries, func(e care.Entry) bool { return undecided(a, &e) })
	opener := openedBy(a, entries)
	if t, ok := toldOfLog(a, opener, open); ok && (!open || len(v.Episode.Told) > 0 && t.Level > v.Episode.Told[0].Level && logHolds(tx, a)) {
		v.Episode.Told = slices.Insert(v.Episode.Told, 0, t)
	}
	v.head(a, opener, entries)
	p, err := tx.Register().Practice()
	if err != nil {
		return err
	}
	loc, err := civil.LoadZone(p.Zone)
	if err == nil {
		v.Birth, v.Age = w.Birth, age(w.Birth, civil.DateOf(tx.Now.In(loc)))
		v.addWords(tx, a, w, loc)
		if a.Live() {
			v.addLensIn(tx, w, loc)
			v.Said = said(tx, a)
			wear := intake.WearNow(tx, a.Wearer)
			right, left := intake.Reads(&wear)
			v.Right, v.Left = &right, &left
		}
	}
	return nil
}

// checkAsked reports whether a rule is about a check that was not done to its end.
func checkAsked(rule string) bool { return rule == intake.CheckNotDone || rule == intake.CheckLeft }

// ruleOf is the rule by which an alert is open, by what opened it again, if anything of
// the log did.
func ruleOf(a escalate.Alert, opener *escalate.Event) string {
	if opener != nil {
		return opener.Rule
	}
	return a.Rule
}

// openedBy is the finding of the log of the nights that opened an alert again, the worst
// and of those the newest; nil where only reports did, or where that was not kept.
func openedBy(a escalate.Alert, entries []care.Entry) (out *escalate.Event) {
	if !a.Live() || len(a.Decided) == 0 {
		return nil
	}
	for i := range a.History {
		e := &a.History[i]
		of := slices.IndexFunc(entries, func(x care.Entry) bool { return x.ID == e.Entry })
		if e.Rule == "" || of < 0 || entries[of].Kind == care.Symptoms || slices.Contains(a.Decided, e.Entry) {
			continue
		}
		if out == nil || !out.Level.Worse(e.Level) {
			out = e
		}
	}
	return out
}

// head says what the card is about. The worst leads: a report that is milder than what
// the log says does not, nor what was decided about before the log, by opener, opened the
// alert again.
func (v *alertView) head(a escalate.Alert, opener *escalate.Event, entries []care.Entry) {
	ofReports := escalate.Level(v.Episode.Level.String())
	// A check was asked for, or begun, and done since.
	done := checkAsked(ruleOf(a, opener)) && v.Episode.Finished && (opener == nil || slices.ContainsFunc(entries, func(e care.Entry) bool {
		return undecided(a, &e) && e.Answer("unfinished") != "true"
	}))
	switch {
	case opener != nil && !done && (!v.Episode.Anew || opener.Level.Worse(ofReports)):
		v.headedBy(opener, entries)
	case v.Episode.Headline != "" && (v.Episode.Anew || opener == nil && !a.Level.Worse(ofReports)):
		v.Title, v.Eye = v.Episode.Headline, v.Episode.Eye
	case done:
		v.Title = "An eye was said to be sore, or a check was begun: it was done since, see what was answered"
	default:
		if e := leader(a, entries); e != nil && e.Kind.Clinical() {
			v.ReviewDue = e.ReviewBy() // nobody reported it: the practice asks itself
		} else if e != nil {
			v.Episode.Headline, v.Episode.Eye = v.Title, v.Eye
			v.Episode.At, v.Episode.Reached = writtenAt(e), e.Received()
			v.Episode.Began, v.Episode.BeganAt = "", nil // the log of a night says no beginning
		}
	}
}

// headedBy heads the card by a finding of the log, with its own time and eye, and puts
// what was logged above the signs.
func (v *alertView) headedBy(found *escalate.Event, entries []care.Entry) {
	e := &entries[slices.IndexFunc(entries, func(x care.Entry) bool { return x.ID == found.Entry })]
	v.Title, v.Eye = title(found.Rule), found.Eye
	v.Episode.Headline, v.Episode.Eye, v.Episode.Level = v.Title, v.Eye, alerts.None
	v.Episode.At, v.Episode.Reached = writtenAt(e), e.Received()
	v.Episode.Began, v.Episode.BeganAt, v.Episode.ClockOff = "", nil, 0
}

// addWater says on the card when the family last said "water", in the log or in an
// eye check, within the watch before the newest entry of the alert.
func (v *alertView) addWater(tx *store.Tx, entries []care.Entry) error {
	if len(entries) == 0 {
		return nil
	}
	newest := slices.MaxFunc(entries, func(a, b care.Entry) int { return a.Night.Compare(b.Night) })
	var limits map[string]int
	if err := tx.Register().Setting("rule_settings", &limits); err != nil {
		return err
	}
	watch := alerts.Default().Limit("water_watch_days", limits)
	nights, err := tx.Log().NightSigns(newest.Wearer, newest.Night.AddDays(-watch), newest.Night)
	if err != nil {
		return nil // set aside as unreadable: the alert itself must be shown
	}
	for _, n := range slices.Backward(nights) {
		if !n.Water && !n.WetSaid {
			continue
		}
		var all []*care.Entry
		err := tx.Log().WearerEntries(newest.Wearer, n.Date, n.Date, func(e care.Entry) bool {
			all = append(all, &e)
			return true
		})
		if err == nil {
			v.Episode.WaterSaid(episode.WetAt(care.Live(newest.Wearer, n.Date, all)))
		}
		return nil
	}
	return nil
}

// withRemovals adds what was logged of lenses that came out since a report called one
// stuck, or not found; nothing for an alert without such a report, or where that cannot
// be read: the alert itself must be shown.
func withRemovals(tx *store.Tx, entries []care.Entry) []care.Entry {
	if !episode.LensMissing(entries) {
		return entries
	}
	var out []care.Entry
	first := slices.MinFunc(entries, func(a, b care.Entry) int { return a.Night.Compare(b.Night) })
	last := slices.MaxFunc(entries, func(a, b care.Entry) int { return a.Night.Compare(b.Night) })
	nights := map[civil.Date][]*care.Entry{}
	err := tx.Log().WearerEntries(first.Wearer, first.Night, last.Night.AddDays(1), func(e care.Entry) bool {
		nights[e.Night] = append(nights[e.Night], &e)
		return true
	})
	if err != nil {
		return entries
	}
	for night, all := range nights {
		for _, e := range care.Live(first.Wearer, night, all) {
			if e.Kind == care.Removal && !episode.WrittenAt(e).Before(episode.WrittenAt(&first)) {
				out = append(out, *e)
			}
		}
	}
	slices.SortFunc(out, func(a, b care.Entry) int { return strings.Compare(a.HLC, b.HLC) })
	return slices.Concat(entries, out)
}

// sayNow says of reports with open answers what the phone said while an emergency of
// before that nobody had examined held a lens back: phone now, not today, and no lens. Such
// a report is judged a stop for good, so nothing that comes later changes what was told
// (emergency in care/judge.go, pressing in pwa/app/views/wear.js).
func (v *alertView) sayNow(entries []care.Entry) {
	say := alerts.English()
	for i := range v.Episode.Told {
		t := &v.Episode.Told[i]
		stopped := func(e care.Entry) bool {
			return e.Kind == care.Symptoms && episode.WrittenAt(&e).Equal(t.At) && e.WearFact().Marked() >= care.Stop
		}
		if t.Steps[0] != say.Say("level.unsure.told") || !slices.ContainsFunc(entries, stopped) {
			continue
		}
		steps := []string{say.Say("told.lenses-out"), say.Say("told.call-now")}
		for _, step := range t.Steps[1:] {
			switch step {
			case say.Say("action.watch"):
			case say.Say("action.call-today"):
				steps = append(steps, say.Say("action.call-now"))
			case say.Say("action.no-lens-tonight"):
				steps = append(steps, say.Say("action.no-lens"))
			default:
				steps = append(steps, step)
			}
		}
		t.Steps, t.Level = steps, max(t.Level, alerts.Emergency)
	}
}

// logHolds reports whether something of the log holds a lens back of which the practice has
// not decided: else a finding about the log heads no phone (ofLog in pwa/app/views/wear.js).
func logHolds(tx *store.Tx, a escalate.Alert) bool {
	wear := intake.WearNow(tx, a.Wearer)
	return slices.ContainsFunc(slices.Concat(wear.Right.Causes, wear.Left.Causes), func(c care.Cause) bool {
		ours := c.Kind == care.Symptoms || c.Kind == care.Cease || c.Kind == care.WearStart
		return !ours && c.From.IsZero() && !slices.Contains(a.Decided, c.ID)
	})
}

// outOrStay is said where the phone's first words hung on what that phone knew of the lens.
const outOrStay = "Lenses out now. Or, where that phone knew that they were out: Leave the lenses out."

// sayOut says of lenses what the phone said when it was written, whatever was logged since
// or on another phone. A report that says itself that they are out was answered that they
// stay out (orders in pwa/app/views/wear.js); of any other, what that phone knew did not
// come with it, and both first words are given.
func (v *alertView) sayOut(tx *store.Tx, a escalate.Alert, entries []care.Entry) {
	planned := ""
	if plan, err := tx.Chart().PlanInForce(a.Wearer); err == nil {
		planned = plan.Eyes
	}
	for i := range v.Episode.Told {
		t := &v.Episode.Told[i]
		at := slices.Index(t.Steps, alerts.English().Say("told.lenses-out"))
		if at < 0 {
			continue
		}
		t.Steps[at] = outOrStay
		if slices.ContainsFunc(entries, func(e care.Entry) bool {
			return e.Kind == care.Symptoms && episode.WrittenAt(&e).Equal(t.At) && episode.OutSince([]care.Entry{e}, planned, t.At)
		}) {
			t.Steps[at] = alerts.English().Say("told.lenses-stay-out")
		}
	}
}

// undecided reports whether an entry is a report about which no closing has decided.
func undecided(a escalate.Alert, e *care.Entry) bool {
	return e.Kind == care.Symptoms && (!a.Live() || !slices.Contains(a.Decided, e.ID))
}

// toldOfLog is what the phone shows of an alert that the log of the nights raised by
// itself: its worst finding, or what stands while a check is not done and while a lens
// is in against a stop. beside says that a report is there too, whose own rules are
// not the log's.
func toldOfLog(a escalate.Alert, opener *escalate.Event, beside bool) (episode.EpisodeTold, bool) {
	rule, eye := ruleOf(a, opener), a.Eye
	if opener != nil {
		eye = opener.Eye
	}
	ids, at := append([]string{rule}, a.Signs...), a.Opened
	again := a.Live() && len(a.Decided) > 0 // open again by the log: its first rule was a report's
	if again {
		at = a.Since
	}
	if again || beside {
		ids = slices.DeleteFunc(ids, func(id string) bool {
			r := alerts.Default().Rule(id)
			return r == nil || r.About != "record"
		})
	}
	if t, ok := episode.ToldOfRules(ids, at); ok {
		if i := slices.Index(t.Steps, alerts.English().Say("told.lenses-out")); i >= 0 {
			t.Steps[i] = outOrStay
		}
		return t, true
	}
	steps := map[string][]string{
		intake.CheckNotDone: {"action.no-lens-tonight", "action.check-eye"},
		intake.WornStopped:  {"told.lenses-out"}, // what holds of each eye stands beside it, see [alertView.Right]
	}[rule]
	t := episode.EpisodeTold{At: at, Level: alerts.Routine}
	of := ""
	if rule == intake.WornStopped {
		of = map[string]string{"right": "Right eye: ", "left": "Left eye: "}[eye]
	}
	for _, key := range steps {
		t.Steps = append(t.Steps, of+alerts.English().Say(key))
	}
	return t, len(steps) > 0
}

// addWords gives a live alert what the family wrote since it was raised, beside its
// reports too, and whatever nobody has read, newest first.
func (v *alertView) addWords(tx *store.Tx, a escalate.Alert, w care.Wearer, loc *time.Location) {
	if a.State == escalate.Closed {
		return
	}
	words, err := record.Words(tx, w, loc)
	if err != nil {
		return // set aside as unreadable: the alert itself must be shown
	}
	v.Episode.Notes = []episode.FamilyWords{}
	for _, said := range slices.Backward(words) {
		said.At = said.At.In(loc)
		if said.Read == nil || !said.At.Before(a.Opened) {
			v.Episode.Notes = append(v.Episode.Notes, said)
		}
	}
}

// saidShown is how many entries of the practice a card shows.
const saidShown = 12

// said returns what the practice told a family about a wearer since an alert was raised,
// and its last decision about wear whenever that was, newest first: whoever phones from
// the card says the same. What was withdrawn is left out.
func said(tx *store.Tx, a escalate.Alert) (out []json.RawMessage) {
	list := tx.Log().WearEntries(a.Wearer)
	gone := map[care.EntryID]bool{}
	var decided time.Time // when the last decision was written: all of one saying has that time
	for _, e := range list {
		var of care.EntryID
		if e.Kind == care.Word && json.Unmarshal([]byte(e.Answer("withdraws")), &of) == nil {
			gone[of], gone[e.ID] = true, true
		}
		if e.Kind == care.Visit && json.Unmarshal([]byte(e.Answer("moves")), &of) == nil {
			gone[of] = true
		}
		if e.Kind == care.Cease || e.Kind == care.Resume {
			decided = e.Received()
		}
	}
	for _, e := range slices.Backward(list) {
		voice := slices.Contains([]care.EntryKind{care.Cease, care.Resume, care.Word, care.Visit}, e.Kind)
		if voice && !gone[e.ID] && len(out) < saidShown && (!e.Received().Before(a.Opened) || e.Received().Equal(decided)) {
			out = append(out, e.AppendJSON(nil))
		}
	}
	return out
}

// leader is the entry that made an alert as grave as it is, when no report did: of
// the log of the nights, the newest of its level; nil when there is none.
func leader(a escalate.Alert, entries []care.Entry) *care.Entry {
	for _, e := range slices.Backward(a.History) {
		if e.Kind != escalate.Raised && e.Kind != escalate.Worsened || e.Level != a.Level {
			continue
		}
		for i := range entries {
			if entries[i].ID == e.Entry && entries[i].Kind != care.Symptoms {
				return &entries[i]
			}
		}
	}
	return nil
}

// writtenAt is when an entry was written, in its own zone; zero for a clock that
// cannot be read.
func writtenAt(e *care.Entry) time.Time {
	at, err := e.Instant()
	if err != nil {
		return time.Time{}
	}
	return at.In(e.Location())
}

// reportsOf returns the entries that raised, worsened or eased an alert, each
// once, oldest first.
func reportsOf(a escalate.Alert) []care.EntryID {
	var out []care.EntryID
	for _, e := range a.History {
		if e.Entry != "" && !slices.Contains(out, e.Entry) {
			out = append(out, e.Entry)
		}
	}
	for _, id := range a.Recent { // nothing new, but perhaps which eye it is, or the end of a check that was left
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// age returns whole years from a date of birth; empty when it is not known.
func age(birth string, today civil.Date) string {
	born, err := civil.ParseDate(birth)
	if err != nil || today.Before(born) {
		return ""
	}
	years := 0
	for !today.Before(born.AddMonths(12 * (years + 1))) {
		years++
	}
	return strconv.Itoa(years)
}

// addLensIn leads what the log says on the card with each lens that is in by its last
// word, also where it went in before the sign: who phones must say that it comes out.
// Above it, with the time of now, one that may still be stuck on the eye.
// Nothing where a night cannot be read: the alert itself must be shown.
func (v *alertView) addLensIn(tx *store.Tx, w care.Wearer, loc *time.Location) {
	for _, l := range slices.Backward(lensesIn(tx, w)) {
		v.Episode.Logged = slices.DeleteFunc(v.Episode.Logged, func(o episode.EpisodeLog) bool {
			less := strings.NewReplacer(" since ", " at ", " and not logged out", "").Replace(l.Text)
			return o.Text == less && o.At.Equal(l.At)
		})
		v.Episode.Logged = slices.Insert(v.Episode.Logged, 0, l)
	}
	on, err := intake.LensOn(tx, w)
	if err != nil || len(on) == 0 {
		return
	}
	text := "Lens stuck or not found, and not known to be out"
	if len(on) == 1 {
		text += ", " + on[0] + " eye"
	}
	v.Episode.Logged = slices.Insert(v.Episode.Logged, 0, episode.EpisodeLog{At: tx.Now.In(loc), Text: text, Leads: true})
}

// lensesIn are the lenses that are in by the log, right first, or both in one; none where
// a night cannot be read.
func lensesIn(tx *store.Tx, w care.Wearer) []episode.EpisodeLog {
	out := []episode.EpisodeLog{}
	in, err := intake.LensesIn(tx, w.ID)
	for i, l := range in {
		e, bad := tx.Log().Entry(w.Family, l.Entry)
		if err != nil || bad != nil || i > 0 && l.Entry == in[0].Entry {
			continue
		}
		text := "Lenses in since " + l.At + " and not logged out"
		if len(in) == 1 || in[0].Entry != in[1].Entry {
			text += ", " + l.Eye + " eye"
		}
		out = append(out, episode.EpisodeLog{At: episode.WrittenAt(&e), Text: text, Leads: true, Entry: l.Entry})
	}
	return out
}
