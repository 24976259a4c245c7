package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/vision"
)

// Limits of the reasons to call. No body publishes them: all are common
// practice, chosen so that a call comes before a habit or a missed recall.
const (
	callNights     = 14 // the stretch looked at
	earlyNights    = 28 // the first weeks, in which silence matters most
	silentEarly    = 1  // nights without any entry in the first weeks, from which
	slipUnlogged   = 7  // not logged of the last 14
	driftUnlogged  = 5  // the same in months 3 to 9, when attendance falls
	driftDeposits  = 35 // days at most without a deposit removal in those months
	notStarted     = 14 // days from enrolment without a first night agreed
	behindNights   = 14 // worn nights by which the full effect is usual
	behindEvenings = 5  // evenings in a row with blur
	blurRating     = 3  // of 5, from which an evening counts as blurred
)

// callRule is one reason to call; rank is its place in [callRules].
type callRule struct {
	name, title, why, basis string
	find                    func(c *callState) *Reason
}

// callRules lists the reasons in order: what nobody can read, what a family wrote, then what may harm an eye, then families
// who may have stopped without saying so, then the recall, then habits, then
// what can wait until somebody has time.
func callRules() []callRule {
	return []callRule{
		{"unreadable", "Record cannot be read", "whatever this record would say of the eye, nobody sees it", "common practice", func(*callState) *Reason { return nil }},
		{wornHeldRule, "Lens in where none may be", "a lens keeps its oxygen from an eye that is to be without one, and no alert may be open that says so", "common practice", wornHeld},
		{claimed, "Decision that only a phone holds", "a phone goes by a decision of the practice that this data file does not know: it is written anew, or put away", "common practice", claimedReason},
		{"wrote", "Wrote to the clinic", "a family's own words, which no rule can weigh, wait for somebody to read them", "common practice", wrote},
		{WearBefore, "Closed before wear was decided on", "an alert was closed when closing alone let lenses in again: a clinician says once that they may be worn",
			"common practice", closedBefore},
		{stopUnwritten, "Stop decided, not written", "at a visit a lens was to stay out, and until that is written the family's phones still ask for it", "common practice", unwrittenStop},
		{eventUnstopped, "Adverse event, and no stop", "an eye to which something happened and that is not settled may still be given a lens: the family's phones ask for it", "common practice", unstoppedEvent},
		{afterEnd, "Lenses worn after the end", "nobody follows an eye that is worn on after wear ended", "common practice", wornAfterEnd},
		{noPlan, "Lenses worn before a plan asks", "no plan asks for a lens, so nobody follows the eye that has one", "common practice", wornNoPlan},
		{"water-contact", "Water on lenses or case", "water can carry germs that solution does not deal with; ask about signs within the day",
			"tap-water storage: odds of amoebic keratitis 16 in rigid-lens wearers (Cope 2016)", waterContact},
		{"lens-in", "Lens not logged out", "a lens that is still in takes the eye its oxygen and can stick; the reminders brought no word",
			"common practice", lensIn},
		{"sight-fell", "Sight fell in the test at home", "a fall that is more than the spread of the test can be an eye that is not well, or a lens that sits badly",
			"two lines or more, and more than the spread of both runs (common practice; Manny 2003 for how far readings of children differ)", sightFell},
		{"silent-early", "Silent in the first four weeks", "most problems of fit and handling show in the first weeks",
			"about a third of complications fall in the first 4 weeks (cohort quoted in Hu 2021)", silentEarlyReason},
		{"behind", "Effect behind in adaptation", "full effect is usual by 1 to 2 weeks; the fit may need a look",
			"Soni 2003; Sánchez-García 2024", behind},
		{restedOften, "Lenses rested again", "what keeps lenses out night after night is looked at, though each night is a small thing by itself",
			"a third rest in 14 nights: ours, no published figure", restedAgain},
		{"lens-lost", "Lens lost", "without a lens the effect goes back night by night, and a borrowed or old lens may be tried",
			"the effect fades within days without lenses (common practice)", lensLost},
		{"silent", "Silent", "nothing is known of this wearer at present", "common practice", silentReason},
		{"not-started", "Not started", "a family may have given up before it began", "common practice", notStartedReason},
		{"recall-overdue", "Recall overdue", "a missed visit stays missed until it is kept, booked or waived",
			"attendance falls from month 3 to month 9 (2018 study of 405 wearers)", recallOverdue},
		{washOutDue, "Refraction after the end of wear", "without it nobody knows which spectacles fit, or from which refraction a new start would begin",
			"published times to a steady refraction differ: one to eight weeks (Hiraoka 2009; Lau 2019; Kobayashi 2008)", func(c *callState) *Reason { return washOutLate(&c.CallInput, c.today) }},
		{"in-the-log", "In the log", "a rule about the log holds that the practice hears of by the next working day",
			"the table of rules, with the source of each", inTheLog},
		{"slipping", "Wear or logging slipping", "a word now is easier than after three months", "common practice; long-term wearers skip nights often (Santolaria-Sanz 2013)", slipping},
		{"deposits-slipping", "Deposit removal slipping", "care slips before visits are missed; a word now is easier",
			"deposits not removed as told is one of the three commonest lapses, and attendance falls from month 3 to month 9 (2018 study of 405 wearers)", depositsSlipping},
		{"fast-growth", "Fast growth", "to plan a measurement and a talk, not for today's haste",
			"growth classes of a trial, rapid over 0.36 mm a year (Cho and Cheung 2012, 2017)", growthReason},
		{"supply-overdue", "Supplies overdue", "a reminder at the next contact will do",
			"case at least every 3 months (CDC; Cope 2015); bottles by their printed date", suppliesOverdue},
	}
}

// Unreadable is the row of a wearer whose stored record cannot be read: nobody is
// left out of the list because a rule could not look.
func Unreadable(w care.Wearer) Call {
	r := callRules()[0]
	return Call{Wearer: w.ID, Name: w.Name, Code: w.Code, Rank: 1, Done: []FollowUp{}, Reasons: []Reason{{
		Rule: r.name, Title: r.title, Basis: r.basis, Rank: 1,
		Text:     "Part of your record cannot be read here just now. How are the eyes, and what did you log in the last days?",
		Evidence: "a part of the data file is damaged; the administrator sees which",
	}}}
}

// callState is what the rules share for one wearer.
type callState struct {
	CallInput
	today  civil.Date
	nights []night // the last 14 complete ones in which lenses were planned
	before []night // the 21 before those
	s      *state
	rules  []alerts.Finding // that hold, see [Standing]
}

// fired reports whether a rule about the record holds.
func (c *callState) fired(rule string) bool {
	return slices.ContainsFunc(c.rules, func(f alerts.Finding) bool { return f.Rule == rule })
}

// NeedsCall returns the wearers whose family needs a call today, each with
// every reason, most pressing first, and the order explained. Wearers whose
// first night is still to come or who have stopped by agreement are left out,
// unless the family wrote, water is watched, a lens was worn all the same, is in or was never logged out; whoever was enrolled and never agreed on a first night is not. Equal ranks
// are ordered by the date since which the reason holds, then by code.
func NeedsCall(today civil.Date, list []CallInput) CallList {
	calls := []Call{}
	for _, in := range list {
		if c, ok := CallOf(today, in); ok {
			calls = append(calls, c)
		}
	}
	return InOrder(calls)
}

// InOrder returns a list of what [CallOf] found, in the order of [NeedsCall];
// it sorts the slice it is given.
func InOrder(calls []Call) CallList {
	out := CallList{Calls: calls}
	for i, r := range callRules() {
		out.Order = append(out.Order, OrderRow{Rank: i + 1, Rule: r.name, Title: r.title, Why: r.why})
	}
	for _, c := range calls {
		for _, r := range c.Reasons {
			out.Order[r.Rank-1].Families++
		}
	}
	slices.SortStableFunc(out.Calls, func(a, b Call) int {
		return cmp.Or(cmp.Compare(a.Rank, b.Rank), a.Reasons[0].Since.Compare(b.Reasons[0].Since), strings.Compare(a.Code, b.Code))
	})
	return out
}

// CallOf returns one wearer's row of [NeedsCall], and false when there is no
// reason to call.
func CallOf(today civil.Date, in CallInput) (Call, bool) {
	apart := in.Plan.FirstNight.After(today) || !in.Plan.Stopped.IsZero() && !in.Plan.Stopped.After(today)
	if apart && in.Plan.FirstNight.After(today) && len(in.Wrote) == 0 && in.Before == nil && washOutLate(&in, today) == nil && in.unplanned(in.night(today)) == nil && len(care.LensesHeld(in.LensesIn)) == 0 && len(in.Claims) == 0 {
		return Call{}, false
	}
	in.Tonight = in.night(today)
	c := &callState{CallInput: in, today: today, s: in.newState(today)}
	c.rules = standing(&in, in.Tonight, statusOf(c.s))
	cut := max(0, len(c.s.nights)-callNights)
	c.before, c.nights = c.s.nights[:cut], c.s.nights[cut:]
	call := Call{Wearer: in.Wearer.ID, Name: in.Wearer.Name, Code: in.Wearer.Code, Reasons: []Reason{}, Done: []FollowUp{}}
	for i, r := range callRules() {
		words := r.name == "wrote" || r.name == wornHeldRule || r.name == claimed || r.name == stopUnwritten || r.name == eventUnstopped // settled by themselves
		if !words && !slices.Contains([]string{WearBefore, washOutDue, noPlan}, r.name) && (apart && !c.lasts(r.name) || in.Plan.FirstNight.IsZero() != (r.name == "not-started")) {
			continue // every other reason is about wear
		}
		found := r.find(c)
		if found == nil || !words && settled(r.name, cmp.Or(found.Fresh, found.Since), today, in.Done) {
			continue
		}
		found.Rule, found.Title, found.Basis, found.Rank = r.name, r.title, r.basis, i+1
		call.Reasons = append(call.Reasons, *found)
	}
	if len(call.Reasons) == 0 {
		return call, false
	}
	call.Rank = call.Reasons[0].Rank
	call.Done = append(call.Done, in.Done...)
	slices.SortStableFunc(call.Done, func(a, b FollowUp) int { return b.On.Compare(a.On) })
	return call, true
}

// lasts reports whether a reason outlives the end of wear: a sign may come weeks after
// water, and a lens that nobody logged out may still be in.
func (c *callState) lasts(rule string) bool {
	return !c.Plan.Stopped.IsZero() && (rule == "water-contact" || rule == "lens-in" || rule == afterEnd)
}

func (in *CallInput) night(today civil.Date) civil.Date {
	if in.Tonight.IsZero() {
		return today
	}
	return in.Tonight
}

func (in *CallInput) newState(today civil.Date) *state {
	return newState(Input{Wearer: in.Wearer, From: today.AddDays(-callNights - 21), Today: today, Nights: in.Nights,
		Plans: []PlanFacts{in.Plan}, Visits: in.Visits, Wear: in.Wear})
}

// PutOffMost returns for how many days at most a reason to call may be put off: 28
// for what may harm an eye or is not known, 180 for the rest; our choice, no
// published figure.
func PutOffMost(rule string) int {
	if slices.Contains([]string{"unreadable", wornHeldRule, claimed, "wrote", stopUnwritten, eventUnstopped, afterEnd, noPlan, "water-contact", "lens-in", "sight-fell", "silent-early", "behind", restedOften, "silent", "in-the-log"}, rule) {
		return 28
	}
	return 180
}

// settled reports whether somebody dealt with the reason and said when to look
// again. A reason that began after that is a new one.
func settled(rule string, since, today civil.Date, done []FollowUp) bool {
	for _, f := range done {
		if f.Rule == rule && today.Before(f.Until) && !since.After(f.On) {
			return true
		}
	}
	return false
}

// waterContact looks back as far as the practice watches for a sign after water,
// logged of a night or said in a check.
func waterContact(c *callState) *Reason {
	watch := alerts.Default().Limit("water_watch_days", c.Limits)
	var found []string
	var first, last civil.Date
	counts := map[alerts.Sign]int{}
	for ago, n := range slices.Backward(care.AlertNights(c.NightSigns, c.Plan.Plan, c.Tonight, watch+1)) {
		if n == nil {
			continue
		}
		for _, sign := range []alerts.Sign{"tap_water", "water_contact"} {
			if n.Value(sign) == alerts.Word("yes") {
				last = c.Tonight.AddDays(-ago)
				if first.IsZero() {
					first = last
				}
				counts[sign]++
				found = append(found, last.String()+" "+strings.ReplaceAll(string(sign), "_", " "))
			}
		}
	}
	for i := range c.NightSigns {
		b := &c.NightSigns[i]
		if ago := c.Tonight.DaysSince(b.Date); !b.WetSaid || ago < 0 || ago > watch {
			continue
		}
		counts["water"]++
		found = append(found, b.Date.String()+" water said in the eye check")
		if last.Before(b.Date) {
			last = b.Date
		}
		if first.IsZero() || b.Date.Before(first) {
			first = b.Date
		}
	}
	if len(found) == 0 {
		return nil
	}
	slices.Sort(found) // by date
	return &Reason{Text: "You wrote that water got to the lenses or the case. Is either eye red, sore or sensitive to light? " +
		"Please change to a fresh case and disinfect the lenses again.",
		Evidence: waterWords(counts, watch, last) + "; " + list(found), Since: first, Fresh: last}
}

// waterWords are the nights with water in plain counts.
func waterWords(counts map[alerts.Sign]int, days int, last civil.Date) string {
	var said []string
	if n := counts["tap_water"]; n > 0 {
		said = append(said, "tap water on "+plural(n, "night", "nights"))
	}
	if n := counts["water_contact"]; n > 0 {
		said = append(said, "shower or swim with lenses in on "+plural(n, "night", "nights"))
	}
	if n := counts["water"]; n > 0 {
		said = append(said, "water said in the eye check on "+plural(n, "night", "nights"))
	}
	return strings.Join(said, ", ") + fmt.Sprintf(" of the last %d days, last %s", days, last)
}

// silentNights is for how many nights nothing was written, and since when.
func (c *callState) silentNights() (nights int, since civil.Date) {
	since = c.LastNight
	if since.IsZero() || since.Before(c.Plan.FirstNight) {
		since = c.Plan.FirstNight
	}
	return SilentNights(c.Plan.FirstNight, c.LastNight, c.Tonight), since
}

// Silent reports whether a wearer who started on firstNight counts as silent
// tonight by the practice's limits: nothing written for one night in the first
// four weeks, later for as many as the setting says, as in [NeedsCall] and by the
// rule silence. It is false for whoever has not started.
func Silent(firstNight, lastNight, tonight civil.Date, limits map[string]int) bool {
	if firstNight.IsZero() || firstNight.After(tonight) {
		return false
	}
	nights := SilentNights(firstNight, lastNight, tonight)
	return nights >= silentFrom(limits) || nights >= silentEarly && inFirstWeeks(firstNight, tonight)
}

func silentFrom(limits map[string]int) int { return alerts.Default().Limit("silent_nights", limits) }

func (c *callState) early() bool { return inFirstWeeks(c.Plan.FirstNight, c.today) }

func inFirstWeeks(firstNight, today civil.Date) bool {
	return today.DaysSince(firstNight) <= earlyNights
}

func silentEarlyReason(c *callState) *Reason {
	if nights, since := c.silentNights(); c.early() && nights >= silentEarly {
		return silence(c, nights, since)
	}
	return nil
}

func silentReason(c *callState) *Reason {
	if nights, since := c.silentNights(); !c.early() && c.fired("silence") {
		return silence(c, nights, since)
	}
	return nil
}

func silence(c *callState, nights int, since civil.Date) *Reason {
	evidence := fmt.Sprintf("last entry received %s; %s without an entry since", c.LastHeard, plural(nights, "night", "nights"))
	switch {
	case c.Joined.IsZero():
		evidence = "no phone of the family has joined yet; first night " + c.Plan.FirstNight.String()
	case c.LastHeard.IsZero():
		evidence = fmt.Sprintf("joined %s, nothing written yet; first night %s", c.Joined, c.Plan.FirstNight)
	}
	if !c.PausedUntil.IsZero() {
		reason := map[string]string{"ill": "illness", "away": "away from home"}[c.PauseReason]
		evidence += fmt.Sprintf("; the family paused its reminders until %s (%s)", c.PausedUntil, reason)
	}
	return &Reason{Text: "We have not heard from you for a few days. Are both eyes comfortable, how are the nights going, and does the app work for you?",
		Evidence: evidence, Since: since}
}

// notStartedReason holds when a family was enrolled two weeks ago and no first
// night has been agreed since.
func notStartedReason(c *callState) *Reason {
	days := c.today.DaysSince(c.Enrolled)
	if c.Enrolled.IsZero() || days < notStarted {
		return nil
	}
	evidence := fmt.Sprintf("enrolled %s, %s ago; no first night agreed", c.Enrolled, plural(days, "day", "days"))
	if c.Joined.IsZero() {
		evidence += "; no phone of the family has joined yet"
	}
	return &Reason{Text: "We have not agreed on a first night yet. Would you still like to start, and what do you need for it?", Evidence: evidence, Since: c.Enrolled}
}

// behind holds when the effect model says so, or when blur is still reported
// on every one of the last 5 evenings after 14 nights worn in the first two
// months.
func behind(c *callState) *Reason {
	const text = "By now we would expect clearer days. We would like to look at how the lenses sit."
	if c.today.DaysSince(c.Plan.FirstNight) > 2*earlyNights {
		return nil
	}
	for _, e := range c.s.effect() {
		if c.fired("behind-adaptation") && e.Status == string(vision.Behind) {
			return &Reason{Text: text, Evidence: e.Eye + " eye: " + e.Why, Since: c.today}
		}
	}
	worn := 0
	var evenings []SightRow
	for _, n := range c.s.nights {
		if n.row.Counted == Worn || n.row.Counted == Short {
			worn++
		}
		if n.log != nil {
			if r, ok := sightRow(n.log); ok {
				evenings = append(evenings, r)
			}
		}
	}
	if worn < behindNights || len(evenings) < behindEvenings {
		return nil
	}
	last := evenings[len(evenings)-behindEvenings:]
	for _, r := range last {
		if r.Rating > blurRating {
			return nil
		}
	}
	return &Reason{Text: text, Since: last[0].Night,
		Evidence: fmt.Sprintf("%d nights worn; the last %d evenings rated %d or less of 5", worn, behindEvenings, blurRating)}
}

// recallOverdue holds when a visit the plan asked for is past by as many days as
// the practice allows and the wearer has not been seen since.
func recallOverdue(c *callState) *Reason {
	if !c.fired("recall-overdue") {
		return nil
	}
	open := OpenRecalls(c.Recalls, course.ScheduleVisits(c.Visits), c.today)
	last := open[len(open)-1]
	evidence := fmt.Sprintf("%s was due %s, %s ago, %s", strings.ReplaceAll(last.Kind, "-", " "), last.Due, plural(last.Overdue, "day", "days"), last.State)
	if n := len(open) - 1; n > 0 {
		evidence += fmt.Sprintf("; %s not kept before that, from %s on", plural(n, "visit", "visits"), open[0].Due)
	}
	return &Reason{Text: "A check of the eyes is due. When would suit you?", Evidence: evidence, Since: open[0].Due}
}

// elsewhere are the rules about the record that are told another way: by an
// alert at once, or by a reason of their own.
var elsewhere = []string{"tap-water", "water-contact", "missed-often", "silence", "recall-overdue", "behind-adaptation", "lens-overdue"}

// inTheLog holds while a routine rule about the log does that no other reason
// names; urgent ones are alerts.
func inTheLog(c *callState) *Reason {
	var found []string
	var text string
	var of []alerts.Finding
	for _, f := range c.rules {
		if !toldInTheLog(f) {
			continue
		}
		rule := alerts.Default().Rule(f.Rule)
		of, found = append(of, f), append(found, alerts.English().Say(rule.Clinic))
		if text == "" {
			text = "Your entries say this: " + alerts.English().Say(rule.Family) + ". How is it now?"
		}
	}
	if len(found) == 0 {
		return nil
	}
	first, fresh := c.heldFrom(of)
	return &Reason{Text: text, Evidence: list(found), Since: first, Fresh: fresh}
}

func toldInTheLog(f alerts.Finding) bool {
	return f.Level == alerts.Routine && !slices.Contains(elsewhere, f.Rule)
}

// heldFrom returns the first evenings of the runs in which some rules hold up to
// tonight, by what is known of those evenings now: the earliest and the latest of them.
// It looks [earlyNights] back.
func (c *callState) heldFrom(found []alerts.Finding) (first, last civil.Date) {
	holds, status := found, statusOf(c.s)
	first, last = c.Tonight, c.Tonight
	for back := 1; back <= earlyNights && len(holds) > 0; back++ {
		night := c.Tonight.AddDays(-back)
		then := standing(&c.CallInput, night, status)
		holds = slices.DeleteFunc(slices.Clone(holds), func(f alerts.Finding) bool {
			return !slices.ContainsFunc(then, func(g alerts.Finding) bool { return g.Rule == f.Rule })
		})
		if len(holds) > 0 {
			first = night
		}
		if len(holds) == len(found) {
			last = night
		}
	}
	return first, last
}

// slipping holds when the rule missed-often does, whose 14 nights end with tonight, or
// as many are missed of the 14 up to last night, which the list and the review show; or
// when 7 of these were not logged (5 in months 3 to 9).
func slipping(c *callState) *Reason {
	missed := wearShare(rowsOf(c.nights)).NotDone
	often := c.fired("missed-often") || missed >= alerts.Default().Limit("missed_nights", c.Limits)
	if !often && (c.fired("silence") || len(c.nights) < callNights) {
		return nil // silence has a reason of its own; too early to tell
	}
	now, was := count(rowsOf(c.nights)), wearShare(rowsOf(c.before))
	limit := slipUnlogged
	if c.drifting() {
		limit = driftUnlogged
	}
	if !often && now.NotLogged < limit {
		return nil
	}
	return &Reason{Text: "We saw a few nights without lenses or without an entry. Is something making it harder lately?",
		Evidence: fmt.Sprintf("of the last %d nights %d missed, %d not logged%s; of the %d before, %d missed, %d not logged",
			len(c.nights), missed, now.NotLogged, now.heldWords(), len(c.before), was.NotDone, was.Unknown),
		Since: firstBad(c.nights)}
}

// restedOften is the reason of lenses that rested on several nights, which restRests says.
const (
	restedOften = "rested-often"
	restRests   = 3 // of the last 14 nights, from which; ours
)

// restedAgain holds when lenses rested a third time in fourteen nights: each rest
// by itself may ring nobody.
func restedAgain(c *callState) *Reason {
	var rests int
	var since civil.Date
	for _, n := range c.nights {
		if n.row.Held != HeldRest || c.today.DaysSince(n.row.Night) > callNights {
			continue
		}
		if rests++; since.IsZero() {
			since = n.row.Night
		}
	}
	if rests < restRests {
		return nil
	}
	return &Reason{Text: "Lenses stayed out on some nights because of the eyes. How are they now? We would like to look at them.",
		Evidence: fmt.Sprintf("at rest on %d of the last %d nights", rests, callNights), Since: since}
}

// drifting reports whether the wearer is in months 3 to 9, when attendance
// falls.
func (c *callState) drifting() bool {
	months := c.today.DaysSince(c.Plan.FirstNight) / 30
	return months >= 3 && months < 9
}

// depositsSlipping holds in months 3 to 9 when a deposit removal is overdue by
// more than half of its interval. The log is looked at for 35 nights.
func depositsSlipping(c *callState) *Reason {
	interval := c.Plan.DepositRemovalDays
	if interval == 0 || !c.drifting() || c.fired("silence") {
		return nil
	}
	from := c.today.AddDays(-min(interval+interval/2, driftDeposits))
	item := careItem{field: "deposit_removal"}
	var last civil.Date
	for d, n := range c.s.all {
		if !d.After(c.today) && d.After(last) && item.answerOf(n) == done {
			last = d
		}
	}
	since, evidence := from, "none logged since "+from.String()
	switch {
	case !last.Before(from):
		return nil
	case !last.IsZero():
		since, evidence = last.AddDays(interval), "last logged "+last.String()
	}
	return &Reason{Text: "The deeper clean that removes deposits seems to be due. Shall we go through it together?", Since: since,
		Evidence: fmt.Sprintf("%s; the plan asks for one every %s", evidence, plural(interval, "day", "days"))}
}

func firstBad(nights []night) civil.Date {
	for _, n := range nights {
		if n.row.Held == "" && (n.row.Counted == Missed || n.row.Status == NotLogged) {
			return n.row.Night
		}
	}
	return civil.Date{}
}

func growthReason(c *callState) *Reason {
	rows := growth(c.Visits, c.Wearer, c.courses(), c.today)
	text, evidence := fastGrowth(rows)
	if text == "" {
		return nil
	}
	var last civil.Date
	for _, g := range rows {
		for _, r := range g.Readings {
			if r.Date.After(last) {
				last = r.Date
			}
		}
	}
	return &Reason{Text: text, Evidence: evidence, Since: last}
}

func suppliesOverdue(c *callState) *Reason {
	var found []string
	since := c.today
	for _, s := range c.Supplies {
		if s.Due.Before(c.today) {
			found = append(found, strings.TrimSpace(eyeWord(s.Eye)+" "+s.Item)+" was due "+s.Due.String())
			if s.Due.Before(since) {
				since = s.Due
			}
		}
	}
	if len(found) == 0 {
		return nil
	}
	return &Reason{Text: "Something is in use longer than planned. Do you have a new one at home?", Evidence: list(found), Since: since}
}

// SuppliesDue returns what is in use and by when it has to be replaced, from a
// wearer's whole log, for [CallInput].
func SuppliesDue(nights []care.Night, wearer care.WearerID, plans []PlanFacts, today civil.Date) []SupplyDue {
	s := newState(Input{Wearer: care.Wearer{ID: wearer}, Today: today, From: today, Nights: nights, Plans: plans})
	out := []SupplyDue{}
	for _, r := range s.supplies() {
		if !r.Due.IsZero() {
			out = append(out, SupplyDue{r.Item, r.Eye, r.Due})
		}
	}
	return out
}
