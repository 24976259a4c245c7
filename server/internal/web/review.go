package web

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// file is everything the practitioner's side looks at about one wearer.
type wearerFile struct {
	wearer  care.Wearer
	plans   []review.PlanFacts
	visits  []review.Visit
	nights  []care.Night
	recalls []schedule.Recall
	lenses  []civil.Date // first nights of lenses later than the plan's first night
}

// longAgo is before any log.
var longAgo = civil.MustDate("2000-01-01")

// openFile reads a wearer's file with the nights from a date on.
func openFile(tx *store.Tx, w care.Wearer, from, today civil.Date) (wearerFile, error) {
	f := wearerFile{wearer: w}
	docs, err := planDocs(tx, w.ID)
	if err != nil {
		return f, err
	}
	for _, d := range docs {
		f.plans = append(f.plans, d.PlanFacts)
	}
	if f.visits, err = store.Visits[review.Visit](tx, w.ID); err != nil {
		return f, err
	}
	slices.SortFunc(f.visits, func(a, b review.Visit) int { return a.Date.Compare(b.Date) })
	if f.nights, err = tx.Nights(w.ID, from, today); err != nil {
		return f, err
	}
	over := intake.OverSince(tx, w.ID)
	if p := f.plan(); p != nil {
		if !over.IsZero() && (p.Stopped.IsZero() || over.Before(p.Stopped)) {
			p.Stopped = over
		}
		supplied, err := tx.SupplyNights(w.ID, today.AddDays(-lensNights), today)
		if err != nil {
			return f, err
		}
		log := care.ScheduleLog(supplied, review.ScheduleVisits(f.visits))
		if f.recalls = schedule.Recalls(p.Plan, log.Visits, log.LensStarts, today); !over.IsZero() {
			f.recalls = booked(f.recalls)
		}
		f.lenses = slices.DeleteFunc(log.LensStarts, func(l civil.Date) bool { return !l.After(p.FirstNight) })
	}
	return f, nil
}

// plan returns the plan in force, or nil.
func (f *wearerFile) plan() *review.PlanFacts {
	if len(f.plans) == 0 {
		return nil
	}
	return &f.plans[len(f.plans)-1]
}

// open returns the recalls somebody still has to see to.
func (f *wearerFile) open() []schedule.Recall { return stillOpen(f.recalls) }

// forNewLens reports whether a visit is the first morning of a new lens.
func (f *wearerFile) forNewLens(r schedule.Recall) bool {
	return r.Kind == "first-morning" && slices.Contains(f.lenses, r.Due.AddDays(-1))
}

func stillOpen(all []schedule.Recall) (open []schedule.Recall) {
	for _, r := range all {
		if !r.Passed && r.State != "kept" && r.State != "waived" {
			open = append(open, r)
		}
	}
	return open
}

// recallsDue are the visits the plan asks for that are neither kept nor over.
func recallsDue(tx *store.Tx, w care.WearerID) ([]dueVisit, error) {
	today, _, err := practiceToday(tx)
	if err != nil {
		return nil, err
	}
	f, err := openFile(tx, care.Wearer{ID: w}, today, today)
	out := []dueVisit{}
	for _, r := range f.open() {
		out = append(out, dueVisit{r.Kind, r.Due})
	}
	return out, err
}

func (c *call) review() error {
	from, err := c.queryDate("from")
	if err != nil {
		return err
	}
	to, err := c.queryDate("to")
	if err != nil {
		return err
	}
	var in review.Input
	err = c.srv.DB.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		in, err = reviewInput(tx, w, from, to)
		return err
	})
	if err != nil {
		return err
	}
	if err := c.note("read review", c.Params("id")); err != nil {
		return err
	}
	return c.reply(review.Summarise(in))
}

func reviewInput(tx *store.Tx, w care.Wearer, from, to civil.Date) (review.Input, error) {
	today, loc, err := practiceToday(tx)
	if err != nil {
		return review.Input{}, err
	}
	f, err := openFile(tx, w, longAgo, today)
	if err != nil {
		return review.Input{}, err
	}
	in := review.Input{Wearer: w, From: from, To: to, Today: today, Nights: f.nights, Plans: f.plans, Visits: f.visits, People: map[care.PersonID]string{}}
	err = tx.WearerEntries(w.ID, longAgo, today, func(e care.Entry) bool { in.Entries = append(in.Entries, &e); return true })
	if err != nil {
		return in, err
	}
	// Also of those who left, and who wrote before the wearer had a family of
	// their own; an erased person has no name.
	for _, e := range in.Entries {
		if _, known := in.People[e.Author]; known {
			continue
		}
		p, err := tx.Person(e.Author)
		if err != nil && care.KindOf(err) != care.NotFound {
			return in, err
		}
		in.People[e.Author] = p.Name
	}
	if in.Lenses, err = lensWords(tx, w.ID); err != nil {
		return in, err
	}
	if in.Alerts, err = alertFacts(tx, w.ID, loc); err != nil {
		return in, err
	}
	in.Call, err = reviewCall(tx, f)
	return in, err
}

// reviewCall is what Today goes by, for the review to say the same.
func reviewCall(tx *store.Tx, f wearerFile) (*review.CallInput, error) {
	day, loc, err := practiceDayOf(tx)
	if err != nil {
		return nil, err
	}
	heard, err := lastHeard(tx, f.wearer.ID, day.today, loc)
	if err != nil {
		return nil, err
	}
	in, err := callInput(tx, f, day, loc, heard)
	return &in, err
}

// lensWords are the lenses of the newest plan, by eye.
func lensWords(tx *store.Tx, w care.WearerID) (map[string]string, error) {
	docs, err := planDocs(tx, w)
	if err != nil || len(docs) == 0 {
		return nil, err
	}
	d := docs[len(docs)-1]
	return map[string]string{"right": d.Right.words(), "left": d.Left.words()}, nil
}

// words are a lens as the trade writes it: base curve / diameter / power, design
// and since when.
func (l *lensParameters) words() string {
	if l == nil {
		return ""
	}
	var numbers []string
	for _, n := range []struct {
		value  *float64
		format string
	}{{l.BaseCurveMM, "%.2f"}, {l.DiameterMM, "%.1f"}, {l.Power, "%+.2f"}} {
		if n.value != nil {
			numbers = append(numbers, strings.ReplaceAll(fmt.Sprintf(n.format, *n.value), "-", "−"))
		}
	}
	parts := []string{strings.Join(numbers, " / "), l.Design}
	if l.Supplied != "" {
		parts = append(parts, "supplied "+l.Supplied)
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
}

// queryDate reads an optional date.
func (c *call) queryDate(name string) (civil.Date, error) {
	s := c.Query(name)
	if s == "" {
		return civil.Date{}, nil
	}
	d, err := civil.ParseDate(s)
	if err != nil {
		return d, care.Refuse("bad-date", name, "want a date as YYYY-MM-DD")
	}
	return d, nil
}

// --- the day ---

type todayReply struct {
	Date   civil.Date                   `json:"date"`
	Calls  review.CallList              `json:"calls"` // one page of them; the order counts all
	Page   int                          `json:"page"`
	Pages  int                          `json:"pages"`
	Total  int                          `json:"total"` // families to call, for the reason asked for
	Visits []visitToday                 `json:"visits"`
	Duty   dutyLine                     `json:"duty"`
	Beside map[care.WearerID]callBeside `json:"beside"` // what stands beside each call of the page
}

// callBeside is what of a wearer stands beside the reasons to call.
type callBeside struct {
	Strip  string    `json:"strip"`
	Wear   string    `json:"wear"`
	Age    int       `json:"age"`
	Phones []phoneOf `json:"phones"`
}

// callsPerPage is how many families the day's page lists at once: about what
// one desk gets through in a day.
const callsPerPage = 50

type visitToday struct {
	Wearer care.WearerID `json:"wearer"`
	Name   string        `json:"name"`
	Code   string        `json:"code"`
	Time   string        `json:"time"`
	Visit  review.Visit  `json:"visit"`
}

func (c *call) today() error {
	reply := todayReply{Visits: []visitToday{}, Beside: map[care.WearerID]callBeside{}}
	beside := map[care.WearerID]callBeside{}
	err := c.srv.onRoll(func(tx *store.Tx, day practiceDay, lines []rollLine) error {
		reply.Date = day.today
		calls := []review.Call{}
		for _, l := range lines {
			reply.Visits = append(reply.Visits, l.detail.visits...)
			if l.detail.call != nil {
				calls = append(calls, *l.detail.call)
				beside[l.wearer.ID] = callBeside{l.detail.row.Strip, l.detail.row.Wear, l.detail.row.Age, l.phones}
			}
		}
		reply.Calls = review.InOrder(calls)
		var err error
		reply.Duty, err = dutyOf(tx)
		return err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(reply.Visits, func(a, b visitToday) int {
		return cmp.Or(cmp.Compare(orLast(a.Time), orLast(b.Time)), cmp.Compare(a.Code, b.Code))
	})
	calls := reply.Calls.Calls
	if rule := c.Query("reason"); rule != "" {
		calls = slices.DeleteFunc(calls, func(x review.Call) bool {
			return !slices.ContainsFunc(x.Reasons, func(r review.Reason) bool { return r.Rule == rule })
		})
	}
	reply.Total = len(calls)
	reply.Calls.Calls, reply.Page, reply.Pages = pageOf(calls, c.QueryInt("page", 1), callsPerPage)
	for _, x := range reply.Calls.Calls {
		reply.Beside[x.Wearer] = beside[x.Wearer]
	}
	return c.reply(reply)
}

// orLast puts a time that is not known after those that are.
func orLast(clock string) string { return cmp.Or(clock, "99:99") }

// pageOf returns one page of a list, the number of that page and how many
// there are; a page beyond the last is the last.
func pageOf[T any](all []T, page, size int) (rows []T, at, pages int) {
	pages = max(1, (len(all)+size-1)/size)
	at = min(max(1, page), pages)
	from := (at - 1) * size
	return all[from:min(from+size, len(all))], at, pages
}

// callNights is how far back the reasons to call look, and learnNights for how
// long after the first night the whole course of a wearer is looked at.
const (
	callNights  = 35
	learnNights = 56
)

// closeNights are the nights that the reasons to call look at.
func closeNights(tx *store.Tx, f wearerFile, today civil.Date) ([]care.Night, error) {
	p, reach := f.plan(), callNights
	if p == nil {
		return f.nights, nil
	}
	if n := today.DaysSince(p.FirstNight); !p.FirstNight.IsZero() && n <= learnNights {
		reach = max(reach, n)
	}
	reach = max(reach, p.DepositRemovalDays+1)
	if reach == callNights {
		return f.nights, nil
	}
	return tx.Nights(f.wearer.ID, today.AddDays(-reach), today)
}

// record adds to a call's input what the rules about the record look at.
func record(tx *store.Tx, f wearerFile, day practiceDay, in *review.CallInput) error {
	w := f.wearer.ID
	in.Tonight, in.Limits = day.night, day.settings()
	var err error
	if in.Nights, err = closeNights(tx, f, day.today); err != nil {
		return err
	}
	if in.Briefs, err = tx.Briefs(w, day.night.AddDays(-care.RecordNights), day.night); err != nil {
		return err
	}
	if in.LastNight, err = tx.LastNight(w, longAgo, day.night); err != nil {
		return err
	}
	supplied, err := tx.SupplyNights(w, longAgo, day.today)
	if err != nil {
		return err
	}
	in.PausedUntil, in.PauseReason = care.PausedUntil(in.Nights, day.today)
	in.Supplies = review.SuppliesDue(supplied, w, f.plans, day.today)
	log := care.ScheduleLog(supplied, nil)
	log.LastDeposit = care.ScheduleLog(in.Nights, nil).LastDeposit
	in.Due = schedule.Supplies(schedule.Input{Plan: in.Plan.Plan, Log: log, Now: civil.At(day.night, civil.NightStarts, time.UTC)})
	return nil
}

func callInput(tx *store.Tx, f wearerFile, day practiceDay, loc *time.Location, heard civil.Date) (review.CallInput, error) {
	in := review.CallInput{Wearer: f.wearer, Visits: f.visits, Recalls: f.recalls, LastHeard: heard}
	if p := f.plan(); p != nil {
		in.Plan = *p
	}
	if err := record(tx, f, day, &in); err != nil {
		return in, err
	}
	family, err := tx.Family(f.wearer.Family)
	if err != nil {
		return in, err
	}
	if !family.Created.IsZero() {
		in.Enrolled = civil.DateOf(family.Created.In(loc))
	}
	devices, err := tx.Devices(f.wearer.Family)
	if err != nil {
		return in, err
	}
	for _, d := range devices {
		if joined := civil.DateOf(d.Created.In(loc)); in.Joined.IsZero() || joined.Before(in.Joined) {
			in.Joined = joined
		}
	}
	done, err := tx.FollowUps(f.wearer.ID)
	for _, d := range done {
		in.Done = append(in.Done, review.FollowUp{Wearer: f.wearer.ID, Rule: d.Reason, On: civil.DateOf(d.At.In(loc)), By: name(tx, d.By), Outcome: d.Outcome, Note: d.Note, Until: d.Until})
	}
	return in, err
}

// lastHeard returns the practice's date on which the last entry about a wearer
// arrived; zero when none did in the last 400 nights.
func lastHeard(tx *store.Tx, w care.WearerID, today civil.Date, loc *time.Location) (civil.Date, error) {
	at, err := tx.LastReceived(w, today.AddDays(-400), today.AddDays(1))
	if err != nil || at.IsZero() {
		return civil.Date{}, err
	}
	return civil.DateOf(at.In(loc)), nil
}

// rowNights is how many nights back a row of the list of wearers counts.
const rowNights = 28

// rowOf makes one row of the list of wearers.
func rowOf(tx *store.Tx, f wearerFile, today civil.Date, loc *time.Location) (wearerRow, error) {
	w := f.wearer
	r := wearerRow{ID: w.ID, Name: w.Name, Code: w.Code, Family: w.Family}
	if fam, err := tx.Family(w.Family); err == nil {
		r.FamilyName = fam.Name
	}
	if b, err := civil.ParseDate(w.Birth); err == nil {
		r.Age = years(b, today)
	}
	if p := f.plan(); p != nil {
		r.FirstNight, r.Stopped = p.FirstNight, !p.Stopped.IsZero() && !p.Stopped.After(today)
	}
	var wear review.Share
	r.Strip, wear = review.StripOf(w.ID, f.nights, f.plans, today, rowNights)
	r.Worn, r.Answered = wear.Done, wear.Answered()
	r.Wear = "none"
	if stand := care.WearOf(tx.WearFacts(w.ID), today, false, nil); stand.Worst() >= care.Rest {
		r.Wear = stand.Worst().String()
	}
	if open := f.open(); len(open) > 0 && !r.Stopped {
		next := open[0]
		r.NextRecall, r.Overdue = next.Due, next.Due.Before(today) && next.State != "booked"
		if next.State == "booked" {
			r.NextRecall = next.Date
		}
	}
	var err error
	if r.LastHeard, err = lastHeard(tx, w.ID, today, loc); err != nil {
		return r, err
	}
	r.Alert, err = topAlert(tx, w.ID)
	return r, err
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// years returns the whole years from birth to a date.
func years(birth, on civil.Date) int {
	y := on.Year - birth.Year
	if birth.AddMonths(12 * y).After(on) {
		y--
	}
	return y
}
