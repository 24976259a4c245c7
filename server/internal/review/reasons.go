package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/episode"
)

// washOutDue is the reason to call about a refraction after the end of wear.
const washOutDue = "wash-out"

// How long a check of the wash-out is asked for (common practice).
const (
	washOutGrace = 7   // days after its usual date, from which
	washOutAsked = 120 // days after the end, until which
)

// washOutLate holds when a check of the wash-out is a week late and the refraction
// is not steady, up to four months after the end.
func washOutLate(in *CallInput, today civil.Date) *Reason {
	courses := in.courses()
	if len(courses) == 0 {
		return nil
	}
	c := courses[len(courses)-1]
	if c.Stopped.IsZero() || c.Stopped.After(today) || today.DaysSince(c.Stopped) > washOutAsked {
		return nil
	}
	w := course.WashOutOf(c, civil.Date{}, in.Plan.eyes(), in.Visits, today)
	var late []string
	var since civil.Date
	for _, d := range w.Due {
		if today.DaysSince(d) >= washOutGrace {
			late = append(late, d.String())
			if since.IsZero() {
				since = d
			}
		}
	}
	if len(late) == 0 || slices.ContainsFunc(in.Visits, func(v course.Visit) bool { return v.State == "booked" && !v.Date.Before(today) }) {
		return nil
	}
	return &Reason{Text: "Lenses have been out for some weeks now. May we measure your eyes again, and see whether the spectacles fit?",
		Evidence: fmt.Sprintf("wear ended %s; no refraction on or after %s", c.Stopped, list(late)), Since: since}
}

// wornHeldRule is the reason of a lens that is in an eye which may have none.
const wornHeldRule = "lens-in-held"

// wornHeld holds while a lens is in, by the last word of the log, in an eye that may have
// none: from the minute it is known until it is logged out, whatever was decided since.
func wornHeld(c *callState) *Reason {
	in := care.LensesHeld(c.LensesIn)
	if len(in) == 0 {
		return nil
	}
	var said []string
	var since civil.Date
	went := func(l care.LensIn) string { return strings.TrimSpace(cmp.Or(l.On, l.Night).String() + " " + l.At) }
	for _, l := range in {
		if since.IsZero() || l.Night.Before(since) {
			since = l.Night
		}
		said = append(said, l.Eye+" eye: a lens went in on "+went(l)+" and is not logged out")
	}
	if len(in) == 2 && went(in[0]) == went(in[1]) { // one piece, as a list shows the first alone
		said = []string{"both eyes: lenses went in on " + went(in[0]) + " and are not logged out"}
	}
	return &Reason{Text: "Is a lens still in? Please take it out now, with clean hands, and log that it is out. How is the eye?",
		Evidence: strings.Join(said, "; "), Since: since}
}

// claimed is the reason of a decision that only a phone of the family holds.
const claimed = "claimed"

// claimedReason holds while a phone holds a decision that this data file does not know,
// until the practice decides about wear, or a clinician puts it away.
func claimedReason(c *callState) *Reason {
	if len(c.Claims) == 0 {
		return nil
	}
	var said []string
	since := c.Claims[0].On
	for _, x := range c.Claims {
		what := "no lens"
		if x.Kind == care.Resume {
			what = "lenses again from " + x.From.String()
		}
		eye := "both"
		if len(x.Eyes) == 1 {
			eye = x.Eyes[0]
		}
		said = append(said, "held by a phone and not in this data file: "+what+", "+eyesOf(eye)+", written "+x.On.String())
		if x.On.Before(since) {
			since = x.On
		}
	}
	return &Reason{Text: "Your phone shows a decision of ours that we no longer have. What does it say, and is a lens worn?", Evidence: strings.Join(said, "; "), Since: since}
}

// The reasons of a stop that a visit decided and nobody wrote, of lenses worn after the
// end of wear, and of those that no plan asks for yet.
const (
	stopUnwritten  = "stop-unwritten"
	eventUnstopped = "event-unstopped"
	afterEnd       = "worn-after-end"
	noPlan         = "worn-without-plan"
)

// NoStop reports whether a stop is owed and not written.
func (c *Call) NoStop() bool {
	return slices.ContainsFunc(c.Reasons, func(r Reason) bool { return r.Rule == stopUnwritten || r.Rule == eventUnstopped })
}

// asksForLenses reports whether the plan has begun and wear has not ended.
func (c *callState) asksForLenses() bool {
	p := c.Plan
	return !p.FirstNight.IsZero() && !p.FirstNight.After(c.today) && (p.Stopped.IsZero() || p.Stopped.After(c.today))
}

// unwrittenStop holds while the newest kept visit that decided about an eye stops its
// lens and nobody of the practice has written of wear of that eye since. The visit is
// changed to take it back.
func unwrittenStop(c *callState) *Reason {
	if !c.asksForLenses() {
		return nil
	}
	eyes, on := stopsUnwritten(c.Visits, c.Wear, c.Tonight)
	if len(eyes) == 0 {
		return nil
	}
	return &Reason{Text: "At the visit we decided that a lens stays out for now. Please wear none in that eye until we tell you.",
		Evidence: list(eyes) + "; the family's phones still ask for lenses until the stop is written, or the visit is changed", Since: on}
}

// unstoppedEvent holds while no stop holds in an eye of an adverse event that is not
// settled, or of an alert that was closed as a disease of the cornea and of which none is
// written down: until one is written the phones may ask for a lens.
func unstoppedEvent(c *callState) *Reason {
	if !c.asksForLenses() {
		return nil
	}
	wear := care.WearOf(c.Wear, c.Tonight, false, nil)
	free := func(of string) bool {
		return slices.ContainsFunc([]string{"right", "left"}, func(eye string) bool {
			return (of == eye || of == "both" || of == "") && wear.Eye(eye).State != care.Stop
		})
	}
	var since civil.Date
	var said []string
	say := func(on civil.Date, words string) {
		if said = append(said, words); since.IsZero() || on.Before(since) {
			since = on
		}
	}
	for _, e := range c.Events {
		if e.Unsettled() && free(e.Eye) {
			words, _, _ := strings.Cut(course.UnsettledSaid([]course.AdverseEvent{e})[0], ". ") // without what it asks
			say(e.Began, words)
		}
	}
	for _, a := range ClosedAsEvent(c.Closed, c.written) {
		if on := civil.DateOf(a.ClosedAt); disease(a.Outcome) && free(a.Eye) {
			say(on, fmt.Sprintf("closed %s as “%s”, %s, and no adverse event is written down", on, outcomeTitle(a.Outcome), eyesOf(a.Eye)))
		}
	}
	if len(said) == 0 {
		return nil
	}
	return &Reason{Text: "Please wear no lens in that eye until we tell you.", Since: since,
		Evidence: strings.Join(said, "; ") + "; no stop is written, and the family's phones may ask for lenses"}
}

// ClosedAsEvent leaves of alerts those closed with an outcome that is an adverse event,
// of which none was written down.
func ClosedAsEvent(alerts []AlertFact, written func(care.AlertID) bool) (out []AlertFact) {
	for _, a := range alerts {
		if o, ok := episode.OutcomeOf(a.Outcome); ok && o.Event && !written(a.ID) {
			out = append(out, a)
		}
	}
	return out
}

func disease(outcome string) bool {
	o, ok := episode.OutcomeOf(outcome)
	return ok && o.Disease
}

// written reports whether an adverse event was written down of an alert.
func (in *CallInput) written(id care.AlertID) bool {
	return slices.ContainsFunc(in.Events, func(e course.AdverseEvent) bool { return e.Alert == id })
}

func eyesOf(eye string) string {
	if eye == "right" || eye == "left" {
		return eye + " eye"
	}
	return "both eyes"
}

// stopsUnwritten says for which eyes a visit stopped the lens without a stop that holds
// tonight or was written from the night of the visit on, and the date of that visit.
func stopsUnwritten(visits []course.Visit, facts []care.WearFact, tonight civil.Date) (eyes []string, on civil.Date) {
	wear := care.WearOf(facts, tonight, false, nil)
	kept := slices.DeleteFunc(slices.Clone(visits), func(v course.Visit) bool { return v.State != "kept" })
	slices.SortStableFunc(kept, func(a, b course.Visit) int { return b.Date.Compare(a.Date) })
	for _, eye := range []string{"right", "left"} {
		i := slices.IndexFunc(kept, func(v course.Visit) bool { return v.Eye(eye).Wear != "" })
		if i < 0 || kept[i].Eye(eye).Wear != course.WearStops || wear.Eye(eye).State == care.Stop {
			continue
		}
		written := func(f care.WearFact) bool {
			return f.Kind == care.Cease && slices.Contains(f.Eyes, eye) && !f.Night.Before(kept[i].Date.AddDays(-1))
		}
		if !slices.ContainsFunc(facts, written) {
			eyes, on = append(eyes, eye+" lens: a stop was decided on "+kept[i].Date.String()+" and is not written"), kept[i].Date
		}
	}
	return eyes, on
}

// wornAfterEnd holds when a night after the end of wear is logged with a lens.
func wornAfterEnd(c *callState) *Reason {
	if c.Plan.Stopped.IsZero() {
		return nil
	}
	var since, last civil.Date
	n := 0
	for i := range c.Nights {
		on := c.Nights[i].Date
		if WornIn(&c.Nights[i]) && !on.Before(c.Plan.Stopped) && !on.After(c.Tonight) {
			if since.IsZero() {
				since = on
			}
			last, n = on, n+1
		}
	}
	if n == 0 {
		return nil
	}
	return &Reason{Text: "Wear of the lenses has ended, and your log has nights with lenses since. Please wear none. How are the eyes?",
		Evidence: fmt.Sprintf("wear ended %s; nights logged with lenses since: %d, last %s", c.Plan.Stopped, n, last), Since: since, Fresh: last}
}

// unplanned returns the nights of the last 14 that are logged with a lens while there is
// no plan, or its first night is still to come; those of an earlier stretch of wear are
// not among them.
func (in *CallInput) unplanned(tonight civil.Date) (nights []civil.Date) {
	if first := in.Plan.FirstNight; !first.IsZero() && !first.After(tonight) {
		return nil
	}
	from := tonight.AddDays(-callNights)
	for _, c := range in.courses() {
		if !c.First.After(tonight) && c.Stopped.After(from) {
			from = c.Stopped
		}
	}
	for i := range in.Nights {
		if on := in.Nights[i].Date; WornIn(&in.Nights[i]) && !on.Before(from) && !on.After(tonight) {
			nights = append(nights, on)
		}
	}
	return nights
}

// wornNoPlan holds when lenses are logged as worn that no plan asks for.
func wornNoPlan(c *callState) *Reason {
	nights := c.unplanned(c.Tonight)
	if len(nights) == 0 {
		return nil
	}
	since, last := slices.MinFunc(nights, civil.Date.Compare), slices.MaxFunc(nights, civil.Date.Compare)
	why := "no plan is written"
	if first := c.Plan.FirstNight; !first.IsZero() {
		why = "the first night of the plan is " + first.String()
	}
	return &Reason{Text: "Your log has nights with lenses, and no plan asks for them yet. Please wear none. How are the eyes?",
		Evidence: fmt.Sprintf("nights logged with lenses all the same: %d, last %s; %s", len(nights), last, why), Since: since, Fresh: last}
}

// WornIn reports whether a night is logged with a lens in either eye.
func WornIn(n *care.Night) bool {
	return slices.ContainsFunc([]string{"right", "left"}, func(eye string) bool { return n.In(eye) || n.Item("removal/"+eye) != nil })
}

// lensInDays is how many nights a lens that nobody logged out may be back before the
// practice calls: from the second noon after the night, once the reminders to the
// wearer and to the parents brought no word (our choice, no published figure).
const lensInDays = 2

// lensIn holds when a lens was logged in two nights ago or earlier and nobody has
// logged since that it came out, wrote of another night in lenses, or of one without.
func lensIn(c *callState) *Reason {
	if held := len(care.LensesHeld(c.LensesIn)); held > 0 && held == len(c.LensesIn) {
		return nil // said already, and sooner
	}
	for _, n := range slices.Backward(c.Nights) {
		in, over := stillIn(&n)
		if n.Date.After(c.Tonight) || !in && !over {
			continue
		}
		if over || n.Date.After(c.Tonight.AddDays(-lensInDays)) {
			return nil
		}
		return &Reason{Text: "Lenses were logged in and not out. Are they out of both eyes, and are the eyes comfortable?",
			Evidence: "logged in on the night of " + n.Date.String() + ", no word since that they came out", Since: n.Date}
	}
	return nil
}

// lensLost holds while a lens was logged as lost and none was taken into use since.
func lensLost(c *callState) *Reason {
	var found []string
	var since civil.Date
	for _, l := range c.Lost {
		found = append(found, l.Eye+" lens logged as lost on "+l.On.String()+", none taken into use since")
		if since.IsZero() || l.On.Before(since) {
			since = l.On
		}
	}
	if len(found) == 0 {
		return nil
	}
	return &Reason{Text: "You logged a lens as lost. Is there another one, and what is worn until then?", Evidence: strings.Join(found, "; "), Since: since}
}

// stillIn reports whether a night says of an eye that a lens went in, or in again, and
// not that it came out after; over, that it ended in another way or had none.
func stillIn(n *care.Night) (in, over bool) {
	for _, eye := range []string{"right", "left"} {
		still := n.In(eye)
		out := !still && n.Item("removal/"+eye) != nil
		in = in || still
		over = over || out || n.Item("not-worn/"+eye) != nil
	}
	return in, over && !in
}

// wroteDays is for how many days the words of a family ask for a call after they
// were read, from when the practice received them; common practice.
const wroteDays = 14

// wrote holds while the family wrote something in its own words that nobody of the
// practice has read, or that nobody called about since. The evidence has all of it,
// newest first.
func wrote(c *callState) *Reason {
	waiting := slices.DeleteFunc(slices.Clone(c.Wrote), func(w episode.FamilyWords) bool {
		return w.Read != nil && (c.today.DaysSince(w.On) > wroteDays || c.answered(w))
	})
	if len(waiting) == 0 {
		return nil
	}
	slices.SortStableFunc(waiting, func(a, b episode.FamilyWords) int { return b.At.Compare(a.At) })
	var said []string
	for _, w := range waiting {
		text := "“" + w.Text + "”"
		if w.Read == nil {
			text += " (nobody has read it)"
		}
		said = append(said, w.On.String()+": "+text)
	}
	return &Reason{Text: "You wrote to us. How is it now?", Evidence: strings.Join(said, "; "), Since: waiting[len(waiting)-1].On, Words: waiting}
}

// answered reports whether somebody dealt with the words after they came: for
// good when the family was spoken to or needs no call, else until the day named.
func (c *callState) answered(w episode.FamilyWords) bool {
	return slices.ContainsFunc(c.Done, func(f FollowUp) bool {
		done := slices.Contains([]string{"spoken-to", "visit-booked", "not-needed"}, f.Outcome) || c.today.Before(f.Until)
		return f.Rule == "wrote" && !w.At.After(f.At) && done
	})
}

// words are those of the family, newest first.
func (s *state) words() []episode.FamilyWords {
	out := []episode.FamilyWords{}
	if s.in.Call == nil {
		return out
	}
	for _, w := range slices.Backward(s.in.Call.Wrote) {
		out = append(out, w)
	}
	return out
}

// WearBefore is the reason to look at a red flag that was closed before decisions
// about wear were kept: then closing freed the lenses, whatever it was closed with.
// A clinician confirms once, by a follow-up of this reason.
const WearBefore = "wear-before"

func closedBefore(c *callState) *Reason {
	if c.Before == nil {
		return nil
	}
	on := civil.DateOf(c.Before.ClosedAt)
	return &Reason{
		Text: "Before you last had trouble with an eye we stopped the lenses. Who told you that they may be worn again?",
		Evidence: fmt.Sprintf("%s, %s, closed %s with “%s”; for a clinician to confirm here that lenses may be worn, or to stop them on the wearer's page",
			c.Before.Title, c.Before.Level, on, outcomeTitle(c.Before.Outcome)),
		Since: on,
	}
}

func outcomeTitle(key string) string {
	if o, ok := episode.OutcomeOf(key); ok {
		return o.Title
	}
	return key
}
