package clinic

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// doubts are things that are possible and unlikely. The first answer asks about
// all of them at once, with the code "unlikely"; the same request with "sure"
// goes through.
type doubts []string

func (d *doubts) add(format string, args ...any) { *d = append(*d, fmt.Sprintf(format, args...)) }

func (d doubts) ask(sure bool) error {
	return record.AskUnless(sure, d)
}

// oldest is the earliest date of birth taken: a person of 120 years.
func oldest(today civil.Date) civil.Date { return today.AddMonths(-120 * 12) }

// checkBirth refuses a date of birth that nobody can have.
func checkBirth(birth, field string, today civil.Date) error {
	b, err := civil.ParseDate(birth)
	switch {
	case birth == "":
		return nil
	case err != nil:
		return care.Refuse("bad-date", field, "want a date of birth as YYYY-MM-DD")
	case b.After(today):
		return care.Refuse("not-possible", field, "born on %s is in the future; want a date up to today", birth)
	case b.Before(oldest(today)):
		return care.Refuse("not-possible", field, "born on %s is more than 120 years ago", birth)
	}
	return nil
}

// checkVisit refuses numbers and dates that cannot be.
func checkVisit(v *course.Visit, w care.Wearer, today civil.Date) error {
	if v.State == "kept" && v.Date.After(today) {
		return care.Refuse("not-possible", "date", "a visit on %s has not been yet: it can be booked, not kept", v.Date)
	}
	if v.State == "missed" && v.Date.After(today) {
		return care.Refuse("not-possible", "state", "a visit on %s can still be kept: it can be booked or cancelled, not missed", v.Date)
	}
	if b, err := civil.ParseDate(w.Birth); err == nil && v.Date.Before(b) {
		return care.Refuse("not-possible", "date", "%s is before the date of birth, %s", v.Date, w.Birth)
	}
	for field, text := range map[string]string{"note": v.Note, "cycloplegia": v.Cycloplegia, "advice": v.Advice} {
		if most := map[bool]int{true: maxFinding, false: maxNote}[field == "cycloplegia"]; utf8.RuneCountInString(text) > most {
			return care.Refuse("too-long", field, "want at most %d characters", most)
		}
	}
	for eye, f := range map[string]*course.EyeFindings{"right": &v.Right, "left": &v.Left} {
		if err := record.CheckNumbers(f, record.VisitFields, eye+".", eye+" eye"); err != nil {
			return err
		}
		if err := aboveScale(eye, f, v.Scale); err != nil {
			return err
		}
		if err := cmp.Or(checkAxis(eye+".refraction", f.Refraction), checkAxis(eye+".residual", f.Residual), checkWords(eye, f), checkAcuities(eye, f)); err != nil {
			return err
		}
		for part, key := range map[string]string{"grades": record.UnknownKeys("grades", f.Grades), "staining": record.UnknownKeys("staining", f.Staining), "measures": record.UnknownKeys("measures", f.Measures)} {
			if key != "" {
				return care.Refuse("bad-finding", eye+"."+part, "%q is no finding this program knows", key)
			}
		}
	}
	return nil
}

// checkAcuities refuses a notation that says another acuity than the number beside it.
func checkAcuities(eye string, f *course.EyeFindings) error {
	for _, a := range []struct {
		field, as string
		logMAR    *float64
	}{{"unaided", f.UnaidedAs, f.Unaided}, {"best_corrected", f.BestCorrectedAs, f.BestCorrected}} {
		if a.as == "" {
			continue
		}
		n, ok := course.AcuityAs(a.as)
		if !ok || a.logMAR == nil || math.Abs(n-*a.logMAR) > 0.011 { // the last of two decimals may differ by rounding
			return care.Refuse("bad-finding", eye+"."+a.field, "want an acuity such as 6/6-2 or 0.8 decimal that says the same as its logMAR, or none")
		}
	}
	return nil
}

// wearUndecided asks what becomes of wear when the newest kept visit found something
// serious in an eye: the practitioner says stop or that it goes on, for each eye. An
// eye with a stop that holds is not asked about.
func wearUndecided(tx *store.Tx, w care.Wearer, v *course.Visit, mine []course.Visit, today civil.Date) error {
	earlier := slices.DeleteFunc(slices.Clone(mine), func(o course.Visit) bool { return o.State != "kept" || o.ID == v.ID })
	newer := func(o course.Visit) bool { return o.Date.After(v.Date) }
	if v.State != "kept" || slices.ContainsFunc(earlier, newer) {
		return nil
	}
	slices.SortStableFunc(earlier, func(a, b course.Visit) int { return b.Date.Compare(a.Date) })
	wear := care.WearOf(tx.Log().WearFacts(w.ID), today, false, nil)
	for _, eye := range []string{"right", "left"} {
		f := v.Eye(eye)
		if !slices.Contains([]string{"", course.WearStops, course.WearGoesOn}, f.Wear) {
			return care.Refuse("bad-decision", eye+".wear", "want stop, goes-on or nothing")
		}
		found := course.SeriousIn(f, course.BestBefore(earlier, eye))
		if len(found) > 0 && f.Wear == "" && wear.Eye(eye).State != care.Stop {
			return care.Refuse("wear-undecided", eye+".wear", "%s eye: %s. Choose whether its lens stays out", eye, strings.Join(found, ", "))
		}
	}
	return nil
}

// findingWords are the findings a visit tells in free words.
var findingWords = []string{"fluorescein", "centration", "movement", "staining", "lens_condition"}

// maxFinding is how many characters one of them holds, maxNote the free note and the advice of a visit.
const (
	maxFinding = 500
	maxNote    = 4000
)

// scaleEnd finds the end of a grading scale in its name: "…, 0 to 4".
var scaleEnd = regexp.MustCompile(`\b0 to ([1-5])$`)

// aboveScale refuses a grade that the named scale does not have.
func aboveScale(eye string, f *course.EyeFindings, scale string) error {
	m := scaleEnd.FindStringSubmatch(strings.TrimSpace(scale))
	if m == nil {
		return nil
	}
	end := float64(m[1][0] - '0')
	for part, grades := range map[string]map[string]float64{"grades": f.Grades, "staining": f.Staining} {
		for key, n := range grades {
			if n > end {
				return care.Refuse("not-possible", eye+"."+part+"."+key, "want no more than %d: the scale that is named ends there", int(end))
			}
		}
	}
	return nil
}

// checkAxis refuses a cylinder without its axis, and an axis of none.
func checkAxis(field string, r *course.Refraction) error {
	switch {
	case r == nil:
		return nil
	case r.Cylinder != nil && *r.Cylinder != 0 && r.Axis == nil:
		return care.Refuse("no-axis", field+".axis", "want the axis of the cylinder, 0 to 180 degrees")
	case r.Cylinder == nil && r.Axis != nil:
		return care.Refuse("no-cylinder", field+".cylinder", "an axis stands here without a cylinder: want both or neither")
	}
	return nil
}

func checkWords(eye string, f *course.EyeFindings) error {
	for key, text := range f.Words {
		if !slices.Contains(findingWords, key) {
			return care.Refuse("bad-finding", eye+".words", "%q is no finding this program knows; want one of %s", key, strings.Join(findingWords, ", "))
		}
		if utf8.RuneCountInString(text) > maxFinding {
			return care.Refuse("too-long", eye+".words."+key, "%s eye, %s: want at most %d characters", eye, strings.ReplaceAll(key, "_", " "), maxFinding)
		}
	}
	return nil
}

// doubtVisit asks about an appointment that is booked where nobody would expect
// one, and about one that was kept before its hour. busy holds the appointments
// that other wearers have, now is on the practice's clock.
func doubtVisit(v *course.Visit, p care.Practice, mine []course.Visit, busy []bookedAt, now time.Time) (d doubts) {
	today, clock := civil.DateOf(now), now.Format("15:04")
	if v.State == "kept" && v.Date == today && v.Time > clock {
		d.add("The visit is at %s, and it is %s now: was it kept before its time?", v.Time, clock)
	}
	if ask := otherInstrument(v, mine); ask != "" && v.State == "kept" {
		d.add("%s", ask)
	}
	if v.State == "kept" {
		d.kept(v, mine)
	}
	if v.State != "booked" {
		return d
	}
	switch {
	case v.Date.Before(today):
		d.add("%s is in the past, and the visit is booked.", v.Date)
	case v.Date.After(today.AddMonths(13)):
		d.add("The visit is booked for %s, more than 13 months away.", v.Date)
	case v.Date == today && v.Time != "" && v.Time < clock:
		d.add("%s of today is in the past, and the visit is booked.", v.Time)
	}
	switch {
	case slices.Contains(p.Contacts.Closed, v.Date):
		d.add("The practice is closed on %s.", v.Date)
	case len(p.Contacts.Hours) > 0 && !slices.ContainsFunc(p.Contacts.Hours, func(h care.Hours) bool { return h.Weekday == int(v.Date.Weekday()) }):
		d.add("The practice has no hours on a %s.", v.Date.Weekday())
	case v.Time != "" && !answered(p.Contacts.Hours, v):
		d.add("%s lies outside the practice's hours of that day.", v.Time)
	}
	for _, o := range mine {
		if o.ID != v.ID && o.State == "booked" && o.Date == v.Date {
			d.add("This wearer already has a visit booked on %s.", v.Date)
			break
		}
	}
	d.full(v, p, slices.DeleteFunc(slices.Clone(busy), func(b bookedAt) bool { return b.date != v.Date }))
	return d
}

// twoLetters of a chart of five a line is what one reading differs from the next
// without a reason, logMAR (common practice).
const twoLetters = 0.045

// kept asks about a visit that counts as kept and says nothing, of which there are two
// on one day, whose keratometry may stand the wrong way round (the steep meridian has
// the greater power), or whose corrected eye reads less than the bare one.
func (d *doubts) kept(v *course.Visit, mine []course.Visit) {
	raw, err := json.Marshal([]any{v.Right, v.Left, v.Note, v.Advice})
	if err == nil && string(raw) == `[{},{},"",""]` {
		d.add("Nothing is written down of this visit, and it counts as kept.")
	}
	if slices.ContainsFunc(mine, func(o course.Visit) bool {
		return o.ID != v.ID && o.State == "kept" && o.Date == v.Date && o.Kind == v.Kind
	}) {
		d.add("A visit of this kind was kept on %s already.", v.Date)
	}
	for _, e := range []struct {
		eye string
		of  course.EyeFindings
	}{{"right", v.Right}, {"left", v.Left}} {
		flat, steep := e.of.Measures["keratometry_flat"], e.of.Measures["keratometry_steep"]
		if steep > 0 && flat > steep {
			d.add("Keratometry of the %s eye: flat has more power than steep. Are they swapped?", e.eye)
		}
		if best, bare := e.of.BestCorrected, e.of.Unaided; best != nil && bare != nil && *best-*bare > twoLetters {
			d.add("Best-corrected acuity of the %s eye is worse than unaided. Are they swapped?", e.eye)
		}
	}
}

// full asks about an hour that another wearer has, for as long as an appointment
// takes, and about a session that holds no more.
func (d *doubts) full(v *course.Visit, p care.Practice, that []bookedAt) {
	at, err := civil.ParseClock(v.Time)
	if err != nil {
		return
	}
	minutes := civil.Clock(max(1, p.VisitMinutes))
	for _, b := range that {
		if o, err := civil.ParseClock(b.time); err == nil && at < o+minutes && o < at+minutes {
			d.add("Another wearer is booked on %s at %s.", v.Date, b.time)
			break
		}
	}
	for _, h := range p.Contacts.Hours {
		if p.PerSession == 0 || h.Weekday != int(v.Date.Weekday()) || at < h.From || h.To != 0 && at >= h.To {
			continue
		}
		n := 0
		for _, b := range that {
			if o, err := civil.ParseClock(b.time); err == nil && o >= h.From && (h.To == 0 || o < h.To) {
				n++
			}
		}
		if n >= p.PerSession {
			d.add("%s to %s on %s holds %d visits, and has %d.", h.From, h.To, v.Date, p.PerSession, n)
		}
	}
}

// bookedAt is an appointment with an hour.
type bookedAt struct {
	date civil.Date
	time string // HH:MM
}

func answered(hours []care.Hours, v *course.Visit) bool {
	at, err := civil.ParseClock(v.Time)
	if err != nil || len(hours) == 0 {
		return true
	}
	return slices.ContainsFunc(hours, func(h care.Hours) bool {
		return h.Weekday == int(v.Date.Weekday()) && h.From <= at && (at < h.To || h.To == 0)
	})
}

// busyHours returns the appointments that other wearers have.
func (c *call) busyHours(except care.WearerID) (taken []bookedAt, err error) {
	err = c.onLists(func(_ *store.Tx, _ practiceDay, lines []listLine) error {
		for _, l := range lines {
			if l.wearer.ID != except {
				taken = append(taken, l.detail.booked...)
			}
		}
		return nil
	})
	return taken, err
}

// checkPlan refuses a plan nobody can follow, and asks about an odd one, and about one
// for an eye that is stopped. wear is where the eyes stand tonight.
func checkPlan(d *record.PlanDoc, w care.Wearer, today civil.Date, wear care.Wear) error {
	if d.FirstNight.IsZero() {
		return care.Refuse("not-possible", "first_night", "First night: want the date of the first night in lenses; without one nothing of the plan is ever due")
	}
	if err := record.CheckNumbers(d, record.PlanFields, "", ""); err != nil {
		return err
	}
	if b, err := civil.ParseDate(w.Birth); err == nil && d.FirstNight.Before(b) {
		return care.Refuse("not-possible", "first_night", "first night %s is before the date of birth, %s", d.FirstNight, w.Birth)
	}
	var ask doubts
	if d.FirstNight.After(today.AddMonths(12)) {
		ask.add("The first night, %s, is more than a year away.", d.FirstNight)
	}
	if d.FirstNight.Before(today.AddMonths(-15 * 12)) {
		ask.add("The first night, %s, is more than 15 years ago.", d.FirstNight)
	}
	if !d.From.IsZero() && d.From.Before(today.AddMonths(-1)) {
		ask.add("The version applies from %s, more than a month ago: reminders and figures of those nights will follow it.", d.From)
	}
	ask.farOff(d, today)
	ask.stopped(d, &wear)
	switch months, after, far := schedule.FarApart(d.Recalls); {
	case far && months == 0:
		ask.add("The plan asks for no visit later than %d months after the first night.", after)
	case far:
		ask.add("The plan leaves %d months without a visit, from month %d on; at most %d are usual, and less in the first three.", months, after, schedule.MostMonths)
	}
	return ask.ask(d.Sure)
}

// stopped asks about a plan with nights in lenses for an eye that is stopped beyond its
// first one: no plan lifts that.
func (d *doubts) stopped(p *record.PlanDoc, wear *care.Wear) {
	from := p.From
	if p.FirstNight.After(from) {
		from = p.FirstNight
	}
	if !p.Stopped.IsZero() && !p.Stopped.After(from) {
		return // no night in lenses
	}
	for _, eye := range []string{"right", "left"} {
		e := wear.Eye(eye)
		switch {
		case e.State != care.Stop || p.Eyes == "right" && eye == "left" || p.Eyes == "left" && eye == "right":
		case e.Until.IsZero():
			d.add("The %s eye is stopped, and this plan does not lift that: the family's phones go on saying no lens.", eye)
		case e.Until.After(from):
			d.add("The %s eye is stopped until %s, and this plan does not lift that: the family's phones say no lens until then.", eye, e.Until)
		}
	}
}

// farOff asks about dates of a plan that lie further ahead than anybody plans, and
// about what is written as done and has not been yet.
func (d *doubts) farOff(p *record.PlanDoc, today civil.Date) {
	year := today.AddMonths(12)
	if p.From.After(year) {
		d.add("The version applies from %s, more than a year away: until then the one before it holds.", p.From)
	}
	if p.Stopped.After(year) {
		d.add("The first night without lenses, %s, is more than a year away.", p.Stopped)
	}
	if p.TakenOver.After(today) {
		d.add("Followed here from %s, which has not been yet.", p.TakenOver)
	}
	for _, l := range []*record.LensParameters{p.Right, p.Left} {
		if l != nil && l.Supplied > today.String() {
			d.add("A lens was supplied on %s, which has not been yet.", l.Supplied)
		}
	}
}

// sameChild asks when the practice already has a wearer of the same name, letter
// case aside, who was born on the same day.
func sameChild(tx *store.Tx, w care.Wearer) (ask doubts, err error) {
	if w.Birth == "" {
		return nil, nil
	}
	err = tx.Register().AllWearers(func(x care.Wearer) bool {
		if x.ID != w.ID && x.Birth == w.Birth && foldName(x.Name) == foldName(w.Name) {
			ask.add("%s, born %s, is already a wearer of the practice, with the code %s.", x.Name, x.Birth, x.Code)
		}
		return len(ask) == 0
	})
	return ask, err
}

// oddAge asks about an age that is unusual for a wearer.
func oddAge(birth string, today civil.Date) (ask doubts) {
	b, err := civil.ParseDate(birth)
	if err != nil {
		return nil
	}
	if n, usual := years(b, today), record.Usual("age_years"); n < usual[0] || n > usual[1] {
		ask.add("Born %s: age %d; usually %d to %d.", birth, n, usual[0], usual[1])
	}
	return ask
}

// ofVisit finds words about an appointment in what a person writes to a family, in
// the languages of the app.
var ofVisit = regexp.MustCompile(`(?i)\b(visit|appointment|booked|cita|visita|reservad[ao])\b|预约|预約|复诊|複診|就诊|就診|موعد|زيارة`)

// ofFine finds own words that call an eye fine, in the languages of the app: nobody
// can promise that, and a family reads it as no danger.
var ofFine = regexp.MustCompile(`(?i)\b(eyes?|it|all|everything|cornea|nothing)\b[^.!?]{0,40}\b(fine|all right|alright|ok|okay|healthy|normal|harmless|(to worry|wrong|serious))\b|` +
	`\b(ojos?|todo|c[oó]rnea)\b[^.!?]{0,40}\b(bien|san[oa]s?|normal(es)?)\b|(眼|角膜|一切|都)[^。！？]{0,12}(没事|沒事|正常|健康|没问题|沒問題|很好)|` +
	`(العين|عين|عينه|عينها|كل شيء|القرنية)[^.!؟]{0,40}(سليم|بخير|طبيعي)`)

// askSaid asks about what is said to a family: a visit at an odd time, and words
// about a visit that nobody has booked.
func askSaid(tx *store.Tx, w care.Wearer, req sayRequest, busy []bookedAt) error {
	p, err := tx.Register().Practice()
	if err != nil {
		return err
	}
	mine, err := register.Visits[course.Visit](tx.Chart(), w.ID)
	if err != nil {
		return err
	}
	_, loc, err := record.Today(tx)
	if err != nil {
		return err
	}
	next, err := nextBooked(tx, w.ID)
	if err != nil {
		return err
	}
	var d doubts
	booked, words := !next.IsZero(), false
	for _, e := range req.Entries {
		var b saidBody
		_ = json.Unmarshal(e.Body, &b) // written by now, so it is of its kind
		switch {
		case e.Kind == care.Visit && !b.Cancelled:
			booked = true
			if !slices.ContainsFunc(mine, func(x course.Visit) bool { return sameBooked(x, b.On, b.At) }) {
				d = append(d, doubtVisit(saidVisit(mine, b.On, b.At), p, mine, busy, tx.Now.In(loc))...)
			}
		case e.Kind == care.Cease && b.Reason != "ended" && b.ReviewBy.After(civil.DateOf(tx.Now.In(loc)).AddMonths(3)):
			d.add("The review is on %s, more than three months away.", b.ReviewBy)
		case e.Kind == care.Resume:
			d.released(tx, w.ID, b.Eyes, req.Saying)
		case e.Kind == care.Word:
			words = words || ofVisit.MatchString(b.Text)
			if ofFine.MatchString(b.Text) {
				d.add("Your own words call an eye fine, and no one can promise that.")
			}
		}
	}
	d.afterEnd(tx, w.ID, req.Entries)
	if words && !booked {
		d.add("The words to the family speak of a visit, and none is booked here.")
	}
	return d.ask(req.Sure)
}

// released asks about a release of an eye that the plan leaves out, and about one in
// the closing that names a disease of the cornea: both are so once the disease is over,
// seldom before.
func (d *doubts) released(tx *store.Tx, w care.WearerID, eyes string, s intake.Saying) {
	if s.Disease() {
		d.add("This closing names a disease of the cornea and lets lenses in again, and the phones say so at once. If the disease is not over, choose no lens and a date of review.")
	}
	plan, err := tx.Chart().PlanInForce(w)
	if err == nil && (plan.Eyes == "right" || plan.Eyes == "left") && eyes != plan.Eyes { // without a plan nothing is left out
		d.add("The plan is for the %s eye alone: the other is released here, and the plan asks for no lens in it.", plan.Eyes)
	}
}

// afterEnd asks about a release of a wearer whose wear has ended: it lifts what else
// holds a lens back, as before a new course, and lets none in.
func (d *doubts) afterEnd(tx *store.Tx, w care.WearerID, said []intake.Draft) {
	resumes := func(e intake.Draft) bool { return e.Kind == care.Resume }
	if over := intake.OverSince(tx, w); !over.IsZero() && slices.ContainsFunc(said, resumes) {
		d.add("Wear has ended, so this lets no lens in until a new course begins, and the family reads “lenses again”.")
	}
}

// saidBody is what is looked at of an entry of the practice.
type saidBody struct {
	On        civil.Date `json:"on"`
	At        string     `json:"at"`
	Cancelled bool       `json:"cancelled"`
	Text      string     `json:"text"`
	ReviewBy  civil.Date `json:"review_by"`
	Reason    string     `json:"reason"`
	Eyes      string     `json:"eyes"`
}

// sameBooked reports whether a visit is booked on a day at an hour, or at any hour
// when none is said: it was asked about when it was booked.
func sameBooked(x course.Visit, on civil.Date, at string) bool {
	return x.State == "booked" && x.Date == on && (at == "" || x.Time == at)
}

// saidVisit is the visit that a saying books: one of that day without an hour takes
// the hour, see [bookOnce].
func saidVisit(mine []course.Visit, on civil.Date, at string) *course.Visit {
	v := course.Visit{Date: on, Time: at, State: "booked"}
	if i := slices.IndexFunc(mine, func(x course.Visit) bool { return sameBooked(x, on, "") && x.Time == "" }); i >= 0 {
		v.ID = mine[i].ID
	}
	return &v
}
