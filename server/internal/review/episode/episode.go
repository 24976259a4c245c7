// Package episode puts the symptom reports behind one alert together, in the order
// in which a clinician reads them, beside what the log of the nights has to do with
// it, and lists how an alert can end. It is pure. It leaves out no report for one
// that came later: what got better is said beside what was worse.
package episode

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
)

// Episode is what the reports behind one alert say together, in the order in
// which a clinician reads it: the worst and newest sign, what else was seen
// and when, what was denied, what nobody answered.
type Episode struct {
	Level    alerts.Level  `json:"level,omitempty"` // of the headline
	Headline string        `json:"headline"`        // the worst rule that fired, see [Episode.leads]; empty without one
	Eye      string        `json:"eye"`             // of the headline: right, left, both or empty
	At       time.Time     `json:"at"`              // when the report of the headline was written; zero without one
	Reached  time.Time     `json:"reached"`         // when the server had that report, UTC; zero without one
	Seen     []EpisodeSign `json:"seen"`            // positive signs, worst report first, then newest
	Denied   []string      `json:"denied"`          // signs last answered with the harmless answer, never otherwise
	// DeniedBefore is the same of answers that are older than [deniedFor], or that the
	// practice has decided about since: they say nothing of now. Newest first.
	DeniedBefore []EpisodeDenied `json:"denied_before,omitempty"`
	Open         []string        `json:"open"`   // signs no report of the episode answered
	Told         []EpisodeTold   `json:"told"`   // what the phone said for each report, newest first
	Began        string          `json:"began"`  // of the headline's own report, see [EpisodeSign]; empty without one
	Notes        []FamilyWords   `json:"notes"`  // words of the family, newest first
	Logged       []EpisodeLog    `json:"logged"` // what the log of the nights has to do with it, newest first

	BeganAt *time.Time `json:"began_at,omitempty"` // of the headline's own report, see [EpisodeSign]
	// ClockOff is the phone's clock minus the server's, in milliseconds, when the report of
	// the headline came, from [care.SkewLimit] on; 0: that clock can be gone by.
	ClockOff int64 `json:"clock_off_ms,omitempty"`

	// Earlier are red flags reported before the headline's, oldest first, about which the
	// practice has not decided: the one that has waited longest, and all of its level.
	Earlier []EpisodeHead `json:"earlier"`
	// Later are those of the headline's level reported since, oldest first: none but where
	// the headline is to be rinsed.
	Later []EpisodeHead `json:"later"`

	Anew     bool `json:"-"` // open again, and the headline is of a report about which nobody has decided
	Finished bool `json:"-"` // the newest report is of a check that was done to its end

	newest  time.Time // when the newest entry was written
	decided bool      // the practice has decided about some report
	rinse   bool      // the headline's report asks for a rinse, and the practice has not decided about it
}

// EpisodeHead is the worst finding of one report.
type EpisodeHead struct {
	Level    alerts.Level `json:"level"`
	Headline string       `json:"headline"`
	Eye      string       `json:"eye"`     // right, left, both or empty
	At       time.Time    `json:"at"`      // when it was written
	Reached  time.Time    `json:"reached"` // when the server had it, UTC
}

// EpisodeSign is one sign answered otherwise than harmless.
type EpisodeSign struct {
	Eye    string    `json:"eye"` // right or left; empty for the whole report
	Sign   string    `json:"sign"`
	Answer string    `json:"answer"`
	At     time.Time `json:"at"`
	// When it began, as the report of At says and no other: words where the family
	// chose words, which are no clock time, or "not said"; empty where it set an instant.
	Began   string     `json:"began,omitempty"`
	BeganAt *time.Time `json:"began_at,omitempty"` // the instant it set, in the zone of the report
	Since   string     `json:"since,omitempty"`    // the milder or harmless answer of a later report, which settles nothing
	SinceAt *time.Time `json:"since_at,omitempty"` // when that was written
}

// EpisodeDenied are signs that a report answered with the harmless answer.
type EpisodeDenied struct {
	At   time.Time `json:"at"`
	Text string    `json:"text"`
}

// deniedFor is for how long a "no" is said of now: the answers of an evening are none of
// the next morning, when the lenses were worn between (ours).
const deniedFor = 6 * time.Hour

// EpisodeTold is what the phone said at once for one report.
type EpisodeTold struct {
	At    time.Time    `json:"at"`
	Level alerts.Level `json:"level"`
	Steps []string     `json:"steps"` // what headed the advice first, then the actions
	// Table is the version of the rules by which the phone advised, Here the one by
	// which Steps were worked out: where they differ the words may have been others.
	Table int `json:"table"`
	Here  int `json:"here"`
}

// EpisodeLog is what was logged of a night, in the words of the log.
type EpisodeLog struct {
	At    time.Time    `json:"at"` // when it was written
	Text  string       `json:"text"`
	Leads bool         `json:"leads,omitempty"` // a lens is in, or may be: read before any sign
	Entry care.EntryID `json:"entry,omitempty"` // of a lens that is in
}

// began are the choices of the check for when something began.
var began = map[string]string{
	"now": "just before the report", "hours": "a few hours before the report", "night": "the night before the report",
	"yesterday": "the day before the report", "days": "two days or more before the report",
}

// beginning is when what a report says began: a choice of words, or an instant.
type beginning struct {
	words string
	at    *time.Time
}

// beginningOf reads it; about is the choice of words the report names.
func beginningOf(e *care.Entry, r *alerts.Report, about string) beginning {
	switch words := began[about]; {
	case words != "":
		return beginning{words: words}
	case r.Began.IsZero():
		return beginning{words: "not said"}
	default:
		at := r.Began.In(e.Location())
		return beginning{at: &at}
	}
}

// notASign are questions whose harmless answer denies no sign.
var notASign = []alerts.Sign{"lens", "now"}

type eyeSign struct{ eye, sign string }

type answerAt struct {
	answer string
	at     time.Time
	since  beginning
	form   string // what was on the screen where that was not the check, see [care.Symptoms]
	both   bool   // of a morning, which names no eye
	past   bool   // the practice has decided about it
}

// Of puts the symptom reports among some entries together. Entries of
// other kinds, and reports that cannot be read, are passed over. Times are in
// the zone each report was written in. Of a report that came after the practice
// decided about earlier ones the phone says what it comes to without those.
func Of(entries []care.Entry, decided ...care.EntryID) Episode {
	reports := slices.DeleteFunc(slices.Clone(entries), func(e care.Entry) bool { return e.Kind != care.Symptoms })
	slices.SortStableFunc(reports, func(a, b care.Entry) int { return WrittenAt(&a).Compare(WrittenAt(&b)) })
	ep := Episode{Seen: []EpisodeSign{}, Denied: []string{}, Open: []string{}, Told: []EpisodeTold{}, Notes: []FamilyWords{}, Logged: []EpisodeLog{}, Earlier: []EpisodeHead{}, Later: []EpisodeHead{}}
	ep.decided = len(decided) > 0
	ep.logged(entries, reports)
	answers := map[eyeSign][]answerAt{}
	of := map[bool][]*care.Entry{} // reports by whether they are decided about
	for i := range reports {
		e := &reports[i]
		var said map[string]any
		if json.Unmarshal(e.Body, &said) != nil {
			continue
		}
		at, report := WrittenAt(e), e.Report()
		about, _ := said["began_about"].(string)
		since := beginningOf(e, &report, about)
		past := slices.Contains(decided, e.ID)
		collectAll(answers, said, answerAt{at: at, since: since, both: report.Eye() == "both", past: past})
		out := alerts.Default().Triage(report)
		of[past] = append(of[past], e)
		ep.told(asOfThen(of[past], entries, at), at, report.Table)
		if note, _ := said["note"].(string); note != "" {
			ep.Notes = slices.Insert(ep.Notes, 0, FamilyWords{Entry: e.ID, At: at, Text: note})
		}
		now, _ := said["now"].(string)
		head := headOf(out, report, now)
		if out.Unsure && !past && ep.decided && head.Level < alerts.Urgent {
			head = EpisodeHead{Level: alerts.Urgent, Headline: Unassessed, Eye: report.Eye()}
		}
		head.At, head.Reached = at, e.Received()
		if head.Level >= alerts.Urgent && !past {
			ep.Earlier = append(ep.Earlier, head.named())
		}
		if rinse := !past && slices.Contains(out.Actions, "rinse-eye"); ep.leads(&head, rinse, past) {
			ep.rinse, ep.Anew = rinse, !past && ep.decided
			ep.Level, ep.Headline, ep.Eye, ep.At, ep.Reached = head.Level, head.Headline, head.Eye, at, head.Reached
			ep.Began, ep.BeganAt, ep.ClockOff = since.words, since.at, clockOff(e)
		}
	}
	ep.end(reports, answers)
	return ep
}

// end says what is only known of all reports together.
func (ep *Episode) end(reports []care.Entry, answers map[eyeSign][]answerAt) {
	ep.longest()
	ep.Finished = len(reports) > 0 && reports[len(reports)-1].Answer("unfinished") != "true"
	ep.nameLater(reports)
	ep.sort(answers)
}

// named is a head without the words for an eye that nobody named.
func (h EpisodeHead) named() EpisodeHead {
	h.Headline = strings.TrimSuffix(h.Headline, noEye)
	return h
}

// clockOff returns how far the phone's clock was ahead when it sent an entry, in
// milliseconds, where that is more than [care.SkewLimit]; else 0.
func clockOff(e *care.Entry) int64 {
	if off := e.SkewMS; off > care.SkewLimit.Milliseconds() || -off > care.SkewLimit.Milliseconds() {
		return off
	}
	return 0
}

// leads reports whether a report written after the headline's takes its place: a worse
// one, and the newest of a level. But a chemical leads until the practice has decided
// about it, as on the phone: each minute without water costs (NHS, Eye injuries, page
// reviewed 7 June 2022: rinse at once, then go).
//
// Of an episode that is open again, what the practice has not decided about leads, also
// when it is milder than what was decided: that stands among the signs, with its time.
func (ep *Episode) leads(head *EpisodeHead, rinse, past bool) bool {
	if ep.Anew && past || head.Level <= alerts.None {
		return false
	}
	return !ep.Anew && !past && ep.decided || head.Level >= ep.Level && (rinse || !ep.rinse || head.Level > ep.Level)
}

// logged lists what the log says beside the reports, the newest first.
func (ep *Episode) logged(entries, reports []care.Entry) {
	for i := range entries {
		if at := WrittenAt(&entries[i]); at.After(ep.newest) {
			ep.newest = at
		}
		if text := loggedAs(&entries[i], finishedAfter(reports, &entries[i])); text != "" {
			ep.Logged = append(ep.Logged, EpisodeLog{At: WrittenAt(&entries[i]), Text: text})
		}
	}
	slices.SortStableFunc(ep.Logged, func(a, b EpisodeLog) int { return b.At.Compare(a.At) })
}

// Unassessed heads a report that could not be assessed.
const Unassessed = "Symptom report with unanswered questions: could not be assessed, may be an emergency"

const noEye = "; the eye was not named"

// nameLater adds to a headline that names no eye which eye a later report is about,
// where that is one.
func (ep *Episode) nameLater(reports []care.Entry) {
	eye := ""
	for i := range reports {
		if r := reports[i].Report(); WrittenAt(&reports[i]).After(ep.At) && r.Eye() != "" {
			if eye != "" && eye != r.Eye() {
				return
			}
			eye = r.Eye()
		}
	}
	if strings.HasSuffix(ep.Headline, noEye) && (eye == "right" || eye == "left") {
		ep.Headline += ", a later report is about the " + eye + " eye"
	}
}

// WrittenAt is when an entry was written, in its own zone; the zero time for a
// wall clock that cannot be read.
func WrittenAt(e *care.Entry) time.Time {
	at, err := e.Instant()
	if err != nil {
		return time.Time{}
	}
	return at.In(e.Location())
}

// collectAll takes the answers of a report.
func collectAll(into map[eyeSign][]answerAt, said map[string]any, of answerAt) {
	of.form, _ = said["form"].(string)
	all := map[string]any{"right": said["right"], "left": said["left"]}
	if of.form == "" { // else nobody was asked about the whole
		all[""] = said
	}
	for eye, body := range all {
		collect(into, eye, body, of)
	}
}

// collect takes the answers about one eye; what is no object of words says nothing.
func collect(into map[eyeSign][]answerAt, eye string, body any, of answerAt) {
	signs, _ := body.(map[string]any)
	for sign, v := range signs {
		if answer, ok := v.(string); ok {
			k := eyeSign{eye, sign}
			of.answer = answer
			into[k] = append(into[k], of)
		}
	}
}

// headOf is the worst finding of a report; of what was said first, now, that answer
// alone. Without one it is zero.
func headOf(out alerts.Outcome, r alerts.Report, now string) (head EpisodeHead) {
	rule := ""
	for _, f := range out.Findings {
		if f.State != alerts.Fired || f.Level != out.Level {
			continue
		}
		if rule == "" {
			rule, head.Eye = f.Rule, f.Eye
		} else if f.Rule == rule && f.Eye != head.Eye {
			head.Eye = "both"
		}
	}
	if rule == "" {
		return head
	}
	head.Level, head.Headline = out.Level, alerts.English().Say("rule."+rule+".clinic")
	if rule == "pain-persists" && onTheEye(r, head.Eye) { // pain that nobody saw stop: not "after removal"
		head.Headline = alerts.English().Say("rule.stuck-and-sore.clinic")
	}
	if strings.HasPrefix(rule, "now-") {
		head.Headline, head.Eye = alerts.English().Say("answer.now."+now)+": said first", r.Eye()
		if head.Eye == "" {
			head.Headline += noEye
		}
	}
	return head
}

// longest leaves of the other red flags the one that has waited longest and those of
// the headline's level, each once, and not what the headline says itself.
func (ep *Episode) longest() {
	kept := []EpisodeHead{}
	for _, h := range ep.Earlier {
		same := func(k EpisodeHead) bool { return k.Headline == h.Headline && k.Eye == h.Eye }
		if same(EpisodeHead{Headline: strings.TrimSuffix(ep.Headline, noEye), Eye: ep.Eye}) || slices.ContainsFunc(kept, same) {
			continue
		}
		switch {
		case h.At.After(ep.At) && h.Level == ep.Level && !slices.ContainsFunc(ep.Later, same):
			ep.Later = append(ep.Later, h)
		case h.At.Before(ep.At) && (len(kept) == 0 || h.Level == ep.Level):
			kept = append(kept, h)
		}
	}
	ep.Earlier = kept
}

// told says what the phone showed for the last of some reports: what they come to
// together.
func (ep *Episode) told(all []alerts.Outcome, at time.Time, table int) {
	out := alerts.Default().Foremost(all)
	t := EpisodeTold{At: at, Level: out.Level, Table: table, Here: alerts.Default().Version}
	t.Steps = saidOf(all, &out)
	ep.Told = slices.Insert(ep.Told, 0, t)
}

// saidOf are the words of the phone for what some reports come to: what to do about the
// lens, of each eye where it is not the same, whom to see, and the steps. Where a rinse
// is of one eye, whose it is, and then what is not to be done to the other.
func saidOf(all []alerts.Outcome, out *alerts.Outcome) (steps []string) {
	table, say := alerts.Default(), alerts.English()
	right, left := table.EyeSteps(all)
	var heads, eyes, guarded []string
	rinsed := ""
	for _, e := range []struct{ eye, name, step string }{{"right", "Right eye: ", right}, {"left", "Left eye: ", left}} {
		if e.step != "" {
			eyes = append(eyes, e.name+say.Say("told."+e.step))
		}
		if e.step == "rinse-eye" {
			rinsed = e.name
		}
		for _, a := range table.Guarded(all, e.eye) {
			guarded = append(guarded, e.name+say.Say("action."+a))
		}
	}
	keys := out.Headline()
	for _, head := range keys {
		if head != "told."+right && head != "told."+left { // else said of each eye
			heads = append(heads, say.Say(head))
		}
	}
	if len(heads) < len(keys) {
		steps = slices.Concat(eyes, heads)
	} else {
		steps = slices.Concat(heads, eyes)
	}
	for _, a := range out.Actions {
		if a != "rinse-eye" {
			steps = append(steps, say.Say("action."+a))
			continue
		}
		steps = append(steps, rinsed+say.Say("action."+a))
		steps = append(steps, guarded...)
	}
	return steps
}

// sort puts each sign of each eye where it belongs. An eye no report is about
// is one line, not a line for each sign.
func (ep *Episode) sort(answers map[eyeSign][]answerAt) {
	if len(ep.Told) == 0 {
		return
	}
	say := alerts.English()
	for _, eye := range []string{"right", "left", ""} {
		var denied, open []string
		before := map[time.Time][]string{}
		asked := false
		for _, s := range alerts.Default().Signs {
			order := s.Answers
			if len(order) == 0 || s.Scope != alerts.OfEye && eye != "" || s.Scope != alerts.OfReport && eye == "" {
				continue
			}
			given := answers[eyeSign{eye, string(s.Name)}]
			asked = asked || len(given) > 0
			at := slices.IndexFunc(given, func(a answerAt) bool { return a.answer != order[0] })
			switch {
			case len(given) == 0:
				open = append(open, s.Label)
			case at < 0 && slices.Contains(notASign, s.Name):
			case at < 0 && ep.ofNow(given[len(given)-1]):
				denied = append(denied, s.Label)
			case at < 0:
				at := given[len(given)-1].at
				before[at] = append(before[at], s.Label)
			default:
				ep.Seen = append(ep.Seen, seenSigns(say, s, eye, given)...)
			}
		}
		if !asked && eye != "" {
			ep.unasked(eye, answers[eyeSign{"", "other"}])
			continue
		}
		ep.deniedBefore(eye, before)
		ep.Denied = append(ep.Denied, of(eye, denied)...)
		ep.Open = append(ep.Open, of(eye, open)...)
	}
	slices.SortStableFunc(ep.Seen, func(a, b EpisodeSign) int { return b.At.Compare(a.At) })
}

// deniedBefore adds what was answered harmlessly about an eye, by when.
func (ep *Episode) deniedBefore(eye string, before map[time.Time][]string) {
	for at, labels := range before {
		for _, text := range of(eye, labels) {
			ep.DeniedBefore = append(ep.DeniedBefore, EpisodeDenied{at, text})
		}
	}
	slices.SortStableFunc(ep.DeniedBefore, func(a, b EpisodeDenied) int {
		return cmp.Or(b.At.Compare(a.At), strings.Compare(b.Text, a.Text))
	})
}

// ofNow reports whether a harmless answer still says something of now.
func (ep *Episode) ofNow(a answerAt) bool { return !a.past && ep.newest.Sub(a.at) <= deniedFor }

// unasked says what is known of an eye that no report is about: the worst word of
// the question about the other eye, at the latest time it was given.
func (ep *Episode) unasked(eye string, given []answerAt) {
	order := []string{"usual", "unknown", "not-usual"}
	worst := answerAt{}
	for _, a := range given {
		if slices.Index(order, a.answer) >= slices.Index(order, worst.answer) {
			worst = a
		}
	}
	switch worst.answer {
	case "not-usual":
		ep.Seen = append(ep.Seen, EpisodeSign{Eye: eye, Sign: "not checked", Answer: "said to be not as usual", At: worst.at, Began: worst.since.words, BeganAt: worst.since.at})
	case "usual":
		ep.Open = append(ep.Open, eye+" eye: said to be as usual, not checked")
	case "unknown":
		ep.Open = append(ep.Open, eye+" eye: not checked, nobody knows whether it is as usual")
	default:
		ep.Open = append(ep.Open, eye+" eye: nothing asked")
	}
}

func of(eye string, labels []string) []string {
	if len(labels) == 0 {
		return nil
	}
	if eye == "" {
		return labels
	}
	return []string{eye + " eye: " + strings.ToLower(strings.Join(labels, ", "))}
}

// ofTheirOwn are questions whose answers are no grades of one thing: one says nothing
// about another, and each is listed with its own time.
var ofTheirOwn = []alerts.Sign{"now", "injury"}

// seenSigns is what was answered to a question that was answered otherwise than
// harmlessly.
func seenSigns(say *alerts.Texts, s alerts.SignDef, eye string, given []answerAt) []EpisodeSign {
	if !slices.Contains(ofTheirOwn, s.Name) {
		return []EpisodeSign{seenSign(say, s, s.Answers, eye, given)}
	}
	var out []EpisodeSign
	for _, answer := range s.Answers[1:] {
		of := slices.DeleteFunc(slices.Clone(given), func(a answerAt) bool { return a.answer != answer && a.answer != s.Answers[0] })
		if slices.ContainsFunc(of, func(a answerAt) bool { return a.answer == answer }) {
			out = append(out, seenSign(say, s, s.Answers, eye, of))
		}
	}
	return out
}

// seenSign is the worst answer to a sign, at the latest time it was given, and
// what was answered later.
func seenSign(say *alerts.Texts, s alerts.SignDef, order []string, eye string, given []answerAt) EpisodeSign {
	worst := given[0]
	for _, a := range given[1:] {
		if slices.Index(order, a.answer) >= slices.Index(order, worst.answer) {
			worst = a
		}
	}
	word := func(a answerAt) string {
		if s.Name == "now" && a.answer == order[0] {
			return "none of these" // its button says what happens next, which is no answer
		}
		return inWordsOf(say, s.Name, a)
	}
	out := EpisodeSign{Eye: eye, Sign: s.Label, Answer: word(worst), At: worst.at, Began: worst.since.words, BeganAt: worst.since.at}
	where := s.Name == "lens" && !strings.HasPrefix(worst.answer, "stuck")
	if s.Name == water || where { // when the eye began says nothing of the water, or of where the lens is
		out.Began, out.BeganAt = "", nil
	}
	if last := given[len(given)-1]; last.at.After(worst.at) {
		out.Since, out.SinceAt = word(last), &last.at
	}
	return out
}

// inWordsOf says an answer as it was given: of a log that was no check, in the words of
// that log.
func inWordsOf(say *alerts.Texts, sign alerts.Sign, a answerAt) string {
	text := strings.ToLower(say.Say("answer." + string(sign) + "." + a.answer))
	if a.form == "" || a.form == "where" && sign == "lens" {
		return text
	}
	if sign == "pain" && a.answer == "persists" {
		text = "sore, with the lens still in the eye" // of an eye with the lens out nobody said anything
	}
	text += ", by the morning log"
	if a.form == "morning" && a.both {
		text += "; which eye was not said"
	}
	return text
}

// Who did a check to its end after an entry: nobody, whoever wrote the entry, or
// somebody else alone, who answers for nobody but himself.
const (
	nobody = iota
	themself
	another
)

// finishedAfter says who did a check to its end after an entry.
func finishedAfter(reports []care.Entry, e *care.Entry) int {
	by := nobody
	for i := range reports {
		r := &reports[i]
		switch {
		case r.Answer("unfinished") == "true" || WrittenAt(r).Before(WrittenAt(e)):
		case r.Author == e.Author:
			return themself
		default:
			by = another
		}
	}
	return by
}

// loggedAs says what an entry of a night has to do with an alert; empty for a
// report of a check that was done to its end, which says more, and for one that was no
// check.
func loggedAs(e *care.Entry, finished int) string {
	var b struct {
		Moved, Reason, Eyes, At string
		Redness, Comfort        *int
	}
	_ = json.Unmarshal(e.Body, &b)
	var parts []string
	switch e.Kind {
	case care.Morning:
		if b.Moved == "stuck" || b.Moved == "stuck-came-off" {
			parts = append(parts, map[string]string{"stuck": "lens stuck, does not move", "stuck-came-off": "lens stuck, came off"}[b.Moved])
		}
		if b.Redness != nil {
			parts = append(parts, fmt.Sprintf("redness %d of 3", *b.Redness)+inWords(rednessWords, *b.Redness))
		}
		if b.Comfort != nil {
			parts = append(parts, fmt.Sprintf("comfort %d of 4", *b.Comfort)+inWords(comfortWords, *b.Comfort))
		}
		return "Morning: " + strings.Join(parts, ", ")
	case care.NotWorn:
		return "Not worn: " + strings.ReplaceAll(b.Reason, "-", " ") + ofEyes(b.Eyes)
	case care.CheckOpen:
		return [...]string{
			nobody:   "The check was begun and not finished",
			themself: "A check was begun, and finished later",
			another:  "A check was begun and not finished; somebody else did one later",
		}[finished]
	case care.Symptoms:
		if e.Answer("unfinished") != "true" || e.Answer("form") != "" {
			return "" // what no check was is the morning, which has its own line
		}
		return [...]string{
			nobody:   "The check was left before its end: what was answered by then stands here",
			themself: "A check was left before its end, and finished later",
			another:  "A check was left before its end; somebody else did one later",
		}[finished]
	case care.Insertion:
		return "Lenses in at " + b.At + ofEyes(b.Eyes)
	case care.Removal:
		return "Lenses out at " + b.At + ofEyes(b.Eyes)
	case care.EveningSight, care.Care:
		return "Logged: " + strings.ReplaceAll(string(e.Kind), "-", " ")
	}
	return ""
}

// What the family's answers of a morning say, from 0 on, as their page words them.
var (
	comfortWords = []string{"very sore", "sore", "scratchy", "slightly scratchy", "comfortable"}
	rednessWords = []string{"not red", "a little", "clearly red", "very red"}
)

func inWords(words []string, n int) string {
	if n < 0 || n >= len(words) {
		return ""
	}
	return " (" + words[n] + ")"
}

// ofEyes names an eye; both need no word.
func ofEyes(eyes string) string {
	if eyes == "right" || eyes == "left" {
		return ", " + eyes + " eye"
	}
	return ""
}
