package care

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// EntryKind says what an entry is about.
type EntryKind string

// The kinds of version 1. The list is closed.
const (
	Insertion    EntryKind = "insertion"
	Removal      EntryKind = "removal"
	NotWorn      EntryKind = "not-worn"
	Care         EntryKind = "care"
	Morning      EntryKind = "morning"
	EveningSight EntryKind = "evening-sight"
	AcuityRun    EntryKind = "acuity-run"
	Symptoms     EntryKind = "symptoms"
	Supply       EntryKind = "supply"
	Note         EntryKind = "note"
	PlanAck      EntryKind = "plan-ack"
	Retraction   EntryKind = "retraction"
)

// The kinds that version 2 added. Both are about reminders only: neither says
// anything of wear, of an eye, or of being in touch.
const (
	Pause  EntryKind = "pause"  // the family's own: no reminders from the entry's night to a last one
	Snooze EntryKind = "snooze" // the night's reminders put off until a clock time
)

// The kinds that version 3 added: what the practice says to a family about
// wearing, and what the family answers. See [WearOf].
const (
	Cease     EntryKind = "cease"      // no lens in these eyes, by the practice
	Resume    EntryKind = "resume"     // lenses again, by a clinician; lists the causes it answers
	WearStart EntryKind = "wear-start" // which entries of before schema 3 still hold; by the migration
	Word      EntryKind = "word"       // a message of the practice
	Visit     EntryKind = "visit"      // a visit that was booked
	Reply     EntryKind = "reply"      // the family's answer to one of these
	Read      EntryKind = "read"       // somebody of the family has read one of these
	CheckOpen EntryKind = "check-open" // the check of a sore eye was begun because of what was logged
	Elsewhere EntryKind = "elsewhere"  // examined outside the practice; changes nothing by itself
	Taught    EntryKind = "taught"     // what the practice has seen the family do; the newest says all of it
	Learnt    EntryKind = "learnt"     // what the family says it can do by itself, or not yet
)

// Clinical reports whether a kind is written by the practice only.
func (k EntryKind) Clinical() bool {
	return k == Cease || k == Resume || k == WearStart || k == Word || k == Visit || k == Taught
}

// AboutWearer reports whether an entry of this kind is word of how a wearer is.
// What the practice writes, that it was read, and reminders are not.
func (k EntryKind) AboutWearer() bool {
	return !k.Clinical() && !k.AboutReminders() && k != Read && k != Learnt
}

// Limits of what the practice writes.
const (
	MaxResumeDays = 90  // a resume begins at most so many nights after its own
	MaxAnswers    = 100 // causes that one resume can answer; more need another
)

// Skills are what a family is taught before the first night, in the order in which
// a night needs it: common practice in the teaching of lens wear. The list is open
// at its end.
func Skills() []string {
	return []string{"hands", "which", "in", "comfort", "out", "drops", "care", "dry", "wrong"}
}

// MaxPauseNights is the longest pause a family can set at once; whoever is away
// for longer says so again (common practice).
const MaxPauseNights = 30

// since is the version that brought a kind; 1 for those it does not name.
var since = map[EntryKind]int{
	Pause: 2, Snooze: 2,
	Cease: 3, Resume: 3, WearStart: 3, Word: 3, Visit: 3, Reply: 3, Read: 3, CheckOpen: 3, Elsewhere: 3, Taught: 3, Learnt: 3,
}

// AboutReminders reports whether a kind speaks of reminders only, so that it
// never counts as word of how a wearer is.
func (k EntryKind) AboutReminders() bool { return k == Pause || k == Snooze }

// check says what one field accepts.
type check struct {
	want string // in words, for the error text
	ok   func(raw string) bool
}

// field is one row of a kind's table.
type field struct {
	name     string
	required bool
	check    check
}

func words(list ...string) check {
	return check{"one of " + strings.Join(list, ", "), func(raw string) bool {
		s, ok := word(raw)
		return ok && slices.Contains(list, s)
	}}
}

func number(lo, hi float64) check {
	return check{fmt.Sprintf("a number from %g to %g", lo, hi), func(raw string) bool {
		f, ok := decimal(raw)
		return ok && f >= lo && f <= hi
	}}
}

func whole(lo, hi float64) check {
	return check{fmt.Sprintf("a whole number from %g to %g", lo, hi), func(raw string) bool {
		f, ok := decimal(raw)
		return ok && f >= lo && f <= hi && f == math.Trunc(f) && allDigits(strings.TrimPrefix(raw, "-"))
	}}
}

func text(max int) check {
	return check{fmt.Sprintf("text of 1 to %d characters", max), func(raw string) bool {
		s, ok := word(raw)
		return ok && s != "" && utf8.RuneCountInString(s) <= max
	}}
}

// readable accepts a text that a function can read.
func readable[T any](want string, read func(string) (T, error)) check {
	return check{want, func(raw string) bool {
		s, ok := word(raw)
		if !ok {
			return false
		}
		_, err := read(s)
		return err == nil
	}}
}

var errCalendar = fmt.Errorf("outside the years %d to %d", FirstYear, LastYear)

func readDate(s string) (civil.Date, error) {
	d, err := civil.ParseDate(s)
	if err == nil && !inCalendar(d.Year) {
		err = errCalendar
	}
	return d, err
}

// readInstant reads as encoding/json does, which is stricter than [time.Parse]:
// every later reader goes by it.
func readInstant(s string) (t time.Time, err error) {
	if err = t.UnmarshalText([]byte(s)); err == nil && !inCalendar(t.UTC().Year()) {
		err = errCalendar
	}
	return t, err
}

var (
	yesNo   = check{"true or false", func(raw string) bool { return raw == "true" || raw == "false" }}
	clock   = readable("a time as HH:MM", civil.ParseClock)
	date    = readable(fmt.Sprintf("a date as YYYY-MM-DD, of the years %d to %d", FirstYear, LastYear), readDate)
	instant = readable(fmt.Sprintf("an instant as RFC 3339, of the years %d to %d", FirstYear, LastYear), readInstant)
	signs   = check{"an object of signs and answers", isSigns}
	trials  = check{"1 to 200 pairs of [logMAR from -1 to 2, 0 or 1]", isTrials}
	anEye   = words("right", "left")
	anID    = check{"the id of an entry", func(raw string) bool { s, ok := word(raw); return ok && isUUID(s) }}
	ids     = check{fmt.Sprintf("1 to %d ids of entries", MaxAnswers), func(raw string) bool { n := len(entryIDs(raw)); return n >= 1 && n <= MaxAnswers }}
	skills  = check{fmt.Sprintf("a list of some of %v, each once", Skills()), isSkills}
	opens   = check{"an object of ids and marks", func(raw string) bool {
		return json.Unmarshal([]byte(raw), &map[EntryID]Marks{}) == nil && raw[0] == '{'
	}}
	eyes = words("both", "right", "left")
)

// SignAnswers lists the answers to each sign of a symptom report, from harmless
// to worst, as the rule table has them. An absent sign means "don't know".
var SignAnswers = alerts.Default().Answers(alerts.OfEye)

func isSigns(raw string) bool {
	var m map[string]json.RawMessage
	if json.Unmarshal([]byte(raw), &m) != nil || m == nil {
		return false
	}
	for sign, answer := range m {
		answers, known := SignAnswers[sign]
		if s, isWord := word(string(answer)); known && (!isWord || !slices.Contains(answers, s)) {
			return false
		}
	}
	return true
}

// A trial is the size of a letter in logMAR, and whether it was named rightly.
var letterSize, letterSeen = number(-1, 2), whole(0, 1)

func isTrials(raw string) bool {
	var list [][]json.RawMessage
	if json.Unmarshal([]byte(raw), &list) != nil || len(list) < 1 || len(list) > 200 {
		return false
	}
	for _, pair := range list {
		if len(pair) != 2 || !letterSize.ok(string(pair[0])) || !letterSeen.ok(string(pair[1])) {
			return false
		}
	}
	return true
}

// careSystems accepts what a plan may name.
var careSystems = func() check {
	var list []string
	for _, s := range schedule.CareSystems() {
		list = append(list, string(s))
	}
	return words(list...)
}()

// bodies is the closed table of all versions. The order of fields is the order
// in which faults are reported.
var bodies = map[EntryKind][]field{
	// planned: the time is the plan's, shown beforehand and left as it stood
	Insertion: {{"at", true, clock}, {"eyes", true, eyes}, {"planned", false, yesNo}},
	Removal:   {{"at", true, clock}, {"eyes", true, eyes}, {"slept_minutes", false, whole(0, 960)}, {"on", false, date}, {"planned", false, yesNo}},
	NotWorn: {
		{"reason", true, words("forgot", "tired", "ill", "sore-eye", "lens-problem", "soak-not-ready", "away", "told-to-stop", "other")},
		{"eyes", true, eyes},
	},
	Care: {
		{"hand_wash", false, yesNo}, {"rub", false, yesNo}, {"rinse", false, words("solution", "saline", "tap-water", "none")},
		{"system", false, careSystems}, {"closed_at", false, clock},
		{"case_emptied", false, yesNo}, {"case_wiped", false, yesNo}, {"case_dried", false, yesNo},
		{"deposit_removal", false, yesNo}, {"topping_off", false, yesNo}, {"tap_water", false, yesNo}, {"water_contact", false, yesNo},
	},
	Morning: {
		{"moved", false, words("freely", "stuck-came-off", "stuck")}, {"drops", false, yesNo},
		{"comfort", false, whole(0, 4)}, {"redness", false, whole(0, 3)},
	},
	EveningSight: {
		{"rating", true, whole(1, 5)}, {"hours_since_removal", false, number(0, 24)},
		{"halos", false, words("none", "some", "troublesome")}, {"spectacles", false, yesNo},
		{"scale", false, whole(1, MaxScale)},
	},
	AcuityRun: {
		{"eye", true, anEye}, {"distance_m", true, number(0.3, 10)}, {"px_per_mm", true, number(0.5, 50)},
		{"trials", true, trials}, {"practice", false, yesNo}, {"stopped_early", false, yesNo},
		{"distance_by", false, words("tape", "feet")},
	},
	Symptoms: {
		{"right", false, signs}, {"left", false, signs}, {"began", false, instant},
		{"began_about", false, words("now", "hours", "night", "yesterday", "days")}, // the span that was chosen
		{"ill", false, words("no", "yes")}, {"now", false, words(alerts.Default().Answers(alerts.OfReport)["now"]...)},
		{"water", false, words("no", "yes")}, {"other", false, words("usual", "not-usual", "unknown")}, {"note", false, text(MaxNoteRunes)},
		{"unfinished", false, yesNo},               // the check was left before its end
		{"form", false, words("morning", "where")}, // what was on the screen, where that was not the check
	},
	Supply: {
		{"item", true, words("case", "solution", "lens", "holder", "drops")}, {"action", true, words("started", "discarded", "kept")},
		{"on", true, date}, {"eye", false, eyes}, {"discard_after_days", false, whole(1, 730)}, {"label", false, text(60)},
		{"why", false, words("finished", "lost")}, // of what is discarded
		{"of", false, anID},                       // the entry of that very thing: a spare that is started, what is discarded
	},
	Note:       {{"text", true, text(MaxNoteRunes)}},
	PlanAck:    {{"plan", true, whole(1, 1e6)}},
	Retraction: {{"reason", false, text(200)}},
	Pause:      {{"reason", true, words("away", "ill")}, {"to", true, date}},
	Snooze:     {{"until", true, clock}},

	// Why the practice stops wear, in the words that the screens have.
	Cease: {{"eyes", true, eyes}, {"reason", true, words("report", "examination", "treatment", "lens", "other", "ended")}, {"review_by", true, date}, {"from", false, date}, {"text", false, text(500)}, {"alert", false, text(64)},
		{"lens", false, words("out", "in", "unknown")}}, // where a lens is that was stuck or not found, as the practice knows
	Resume: {
		{"eyes", true, eyes}, {"answers", true, ids}, {"from", true, date},
		{"basis", true, words("examined", "examined-elsewhere", "by-telephone", "in-error")},
		{"check", false, yesNo}, {"hours", false, number(0, 24)}, {"new_lens", false, yesNo}, {"new_case", false, yesNo},
		{"text", false, text(500)}, {"alert", false, text(64)},
	},
	WearStart: {{"opens", true, opens}},
	Word:      {{"text", true, text(1000)}, {"about", false, anID}, {"answer_wanted", false, yesNo}, {"phrase", false, text(40)}, {"eyes", false, eyes}, {"withdraws", false, anID}, {"alert", false, text(64)}},
	Visit:     {{"on", true, date}, {"at", false, clock}, {"moves", false, anID}, {"cancelled", false, yesNo}},
	Reply:     {{"text", true, text(1000)}, {"to", true, anID}},
	Read:      {{"of", true, anID}},
	CheckOpen: {{"eyes", true, eyes}, {"left", false, yesNo}}, // left: by whoever began it, with nothing said yet that a rule heeds
	Taught:    {{"skills", true, skills}},
	Learnt:    {{"skill", true, words(Skills()...)}, {"done", true, yesNo}},
	Elsewhere: {{"on", true, date}, {"who", true, text(120)}, {"said", true, text(1000)}, {"eyes", true, eyes}, {"phone", false, text(40)}},
}

// Known returns an object with those members of a body that the table of its
// kind names, in that spelling. Readers decode it instead of the body itself:
// encoding/json takes a name in any case, so that a member this program does not
// know could stand for one it does, and be of another type.
func Known(kind EntryKind, body json.RawMessage) json.RawMessage {
	m, err := readMembers(body)
	if err != nil {
		return json.RawMessage("{}")
	}
	out := make(members, 0, len(bodies[kind]))
	for _, f := range bodies[kind] {
		if v := m.get(f.name); v != "" {
			out = append(out, member{f.name, v})
		}
	}
	return out.object()
}

// Report reads the body of a symptom report. A sign whose answer is of another
// type than text is one this program does not know, and left out; what it knows
// was checked when the entry came. It never fails: of a body that is no report
// nothing is known.
func (e *Entry) Report() alerts.Report {
	body := e.bodyParts()
	r := alerts.Report{Right: signsIn(body.get("right")), Left: signsIn(body.get("left"))}
	if at, ok := word(body.get("began")); ok {
		if began, err := readInstant(at); err == nil {
			r.Began = began
		}
	}
	for name, into := range map[string]*string{"ill": &r.Ill, "now": &r.Now, "water": &r.Water, "other": &r.Other} {
		*into, _ = word(body.get(name))
	}
	r.Table = askedBy(body, &r)
	return r
}

// askedBy returns the version of the rule table by which a report's questions
// were asked: the one it names beside what it was told; else the first, unless it
// was asked how bad it is right now, which came with the second.
func askedBy(body members, r *alerts.Report) int {
	var told struct{ Table int }
	switch {
	case json.Unmarshal([]byte(body.get("told")), &told) == nil && told.Table > 0:
		return told.Table
	case r.Now != "":
		return 2
	}
	return 1
}

// signsIn reads the answers of one eye; nil when nothing is said of it.
func signsIn(raw string) map[string]string {
	var all map[string]json.RawMessage
	if raw == "" || json.Unmarshal([]byte(raw), &all) != nil || all == nil {
		return nil
	}
	said := map[string]string{}
	for sign, value := range all {
		if answer, ok := word(string(value)); ok {
			said[sign] = answer
		}
	}
	return said
}

// Kinds returns the kinds that a version of the log knows, in alphabetical
// order.
func Kinds(version int) []EntryKind {
	out := make([]EntryKind, 0, len(bodies))
	for k := range bodies {
		if since[k] <= version {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// CheckBody checks the body against the table of its kind. Fields the table
// does not name are kept and not looked at.
func (e *Entry) CheckBody() error {
	fields, ok := bodies[e.Kind]
	if !ok || since[e.Kind] > e.V {
		return Refuse("unknown-kind", "kind", "unknown entry kind %q; version %d knows %v", e.Kind, e.V, Kinds(e.V))
	}
	if (e.Kind == Retraction) != (e.Retracts != "") {
		return Refuse("bad-reference", "retracts", "a retraction names the entry it retracts; no other kind does")
	}
	body := e.parts
	if body == nil {
		var err error
		if body, err = readMembers(e.Body); err != nil {
			return errNotObject
		}
		e.parts = body
	}
	for _, f := range fields {
		switch raw := body.get(f.name); {
		case raw == "" && f.required:
			return Refuse("missing-field", "body."+f.name, "%s needs %s: %s", e.Kind, f.name, f.check.want)
		case raw != "" && !f.check.ok(raw):
			return Refuse("bad-field", "body."+f.name, "%s: want %s", f.name, f.check.want)
		}
	}
	switch e.Kind {
	case Pause:
		return e.checkPause(body.get("to"))
	case Resume:
		return e.checkResume(body.get("from"))
	}
	if e.Kind == Symptoms && body.get("right") == "" && body.get("left") == "" && body.get("now") == "" {
		return Refuse("missing-field", "body.right", "a symptom report names at least one eye, right or left, or says in now how bad it is")
	}
	return nil
}

// checkPause wants a last night that is not before the first, which is the
// entry's own, and not too far after it.
func (e *Entry) checkPause(to string) error {
	text, _ := word(to)
	last, err := civil.ParseDate(text)
	if nights := last.DaysSince(e.Night) + 1; err != nil || nights < 1 || nights > MaxPauseNights {
		return Refuse("bad-pause", "body.to", "want a last night from %s on, at most %d nights in all; say it again for a longer time", e.Night, MaxPauseNights)
	}
	return nil
}

// checkResume wants lenses again from the entry's own night on, at most 90
// nights later.
func (e *Entry) checkResume(from string) error {
	text, _ := word(from)
	first, err := civil.ParseDate(text)
	if nights := first.DaysSince(e.Night); err != nil || nights < 0 || nights > MaxResumeDays {
		return Refuse("bad-from", "body.from", "want a first night from %s on, at most %d nights later", e.Night, MaxResumeDays)
	}
	return nil
}

// isSkills wants a list of skills, each once; an empty one takes all back.
func isSkills(raw string) bool {
	var list []string
	if json.Unmarshal([]byte(raw), &list) != nil || list == nil {
		return false
	}
	for i, s := range list {
		if !slices.Contains(Skills(), s) || slices.Contains(list[:i], s) {
			return false
		}
	}
	return true
}

// entryIDs reads a list of ids of entries; what is none gives none.
func entryIDs(raw string) []EntryID {
	var list []EntryID
	if json.Unmarshal([]byte(raw), &list) != nil || slices.ContainsFunc(list, func(id EntryID) bool { return !isUUID(string(id)) }) {
		return nil
	}
	return list
}

// Since returns the version of the log that brought a kind, 1 for one it does
// not know.
func Since(k EntryKind) int { return max(1, since[k]) }
