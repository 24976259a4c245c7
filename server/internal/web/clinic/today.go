package clinic

import (
	"cmp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

type todayReply struct {
	Date    civil.Date                   `json:"date"`
	Calls   review.CallList              `json:"calls"` // one page of them; the order counts all
	Page    int                          `json:"page"`
	Pages   int                          `json:"pages"`
	Total   int                          `json:"total"` // families to call, for the reason asked for
	Visits  []visitToday                 `json:"visits"`
	Overdue overdueVisits                `json:"overdue"`
	Duty    dutyLine                     `json:"duty"`
	Beside  map[care.WearerID]callBeside `json:"beside"` // what stands beside each call of the page
	// Held are the wearers who may wear no lens in one eye or both though their wear has
	// not ended, and those in whose eyes a lens is that may not be: these first, then those
	// to be looked at soonest, then those of whom no date is said.
	Held []heldToday `json:"held"`
}

// overdueVisits is how many wearers have a visit overdue, on the list or not, and from
// how many days on the list asks for a call.
type overdueVisits struct {
	Wearers int `json:"wearers"`
	From    int `json:"from"`
}

// heldToday is a wearer whose lenses are stopped or at rest.
type heldToday struct {
	Wearer   care.WearerID `json:"wearer"`
	Name     string        `json:"name"`
	Code     string        `json:"code"`
	Wear     string        `json:"wear" enum:"rest,stop"`
	ReviewBy civil.Date    `json:"review_by"` // zero: no date is said
	// What the phones say of each eye.
	Right care.EyeReading `json:"right"`
	Left  care.EyeReading `json:"left"`
	// LensesIn are the lenses that are in all the same, and Phones then the numbers to call.
	LensesIn []care.LensIn  `json:"lenses_in,omitempty"`
	Phones   []review.Phone `json:"phones,omitempty"`
}

// callBeside is what of a wearer stands beside the reasons to call.
type callBeside struct {
	Strip  string         `json:"strip"`
	Wear   string         `json:"wear"`
	Age    int            `json:"age"`
	Phones []review.Phone `json:"phones"`
	// Withdrawn: the family took its consent back, so nobody logs the nights.
	Withdrawn bool `json:"consent_withdrawn,omitempty"`
	// Called is the last call that an alert's card logged.
	Called *calledOf `json:"called,omitempty"`
}

// calledOf is a try to phone a family, as it stands on the card of an alert.
type calledOf struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Result string    `json:"result" enum:"reached,not-reached,left-word"`
}

// add fills in what the list of lines does not keep.
func (b *callBeside) add(tx *store.Tx, w care.Wearer) (err error) {
	b.Withdrawn = withdrawn(tx, w.Family)
	all, err := tx.Duty().WearerAlerts(w.ID)
	for i := range all {
		for _, e := range all[i].History {
			if e.Kind == escalate.Call && (b.Called == nil || e.At.After(b.Called.At)) {
				b.Called = &calledOf{e.At, e.Name, e.Result}
			}
		}
	}
	return err
}

// withdrawn reports whether a family took its consent back. Where that cannot be read
// nothing is claimed, and no list or card fails for it.
func withdrawn(tx *store.Tx, f care.FamilyID) (taken bool) {
	err := tx.Try(func() (err error) { taken, err = tx.Access().Withdrawn(f); return err })
	return err == nil && taken
}

// callsPerPage is how many families the day's page lists at once: about what
// one desk gets through in a day.
const callsPerPage = 50

type visitToday struct {
	Wearer care.WearerID `json:"wearer"`
	Name   string        `json:"name"`
	Code   string        `json:"code"`
	Time   string        `json:"time"`
	Visit  course.Visit  `json:"visit"`
}

func (c *call) today() error {
	reply := todayReply{Visits: []visitToday{}, Held: []heldToday{}, Beside: map[care.WearerID]callBeside{}}
	err := c.onLists(func(tx *store.Tx, day practiceDay, lines []listLine) (err error) {
		reply.Date, reply.Overdue.From = day.today, alerts.Default().Limit("recall_grace_days", day.settings())
		calls := make([]review.Call, 0, len(lines))
		for i := range lines {
			l := &lines[i]
			reply.Visits = append(reply.Visits, l.detail.visits...)
			reply.Overdue.Wearers += count(l.detail.row.Overdue)
			if r := &l.detail.row; r.held() {
				h := heldToday{Wearer: r.ID, Name: r.Name, Code: r.Code, Wear: r.Wear, ReviewBy: r.ReviewBy, LensesIn: r.LensesIn}
				wear := intake.WearNow(tx, r.ID)
				h.Right, h.Left = intake.Reads(&wear)
				if len(h.LensesIn) > 0 {
					h.Phones = l.phones
				}
				reply.Held = append(reply.Held, h)
			}
			if l.detail.call != nil {
				calls = append(calls, *l.detail.call)
			}
		}
		reply.Calls = review.InOrder(calls)
		if err := reply.cut(tx, c.Query("reason"), c.QueryInt("page", 1), lines); err != nil {
			return err
		}
		if reply.Duty, err = dutyOf(tx); err != nil {
			return err
		}
		reply.Duty.Asked, err = asked(tx, c.Caller.Person.ID, day.today)
		return err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(reply.Held, func(a, b heldToday) int {
		return cmp.Or(last(len(a.LensesIn) == 0, len(b.LensesIn) == 0), last(a.ReviewBy.IsZero(), b.ReviewBy.IsZero()), a.ReviewBy.Compare(b.ReviewBy), cmp.Compare(a.Wear, b.Wear)*-1, cmp.Compare(a.Name, b.Name))
	})
	slices.SortStableFunc(reply.Visits, func(a, b visitToday) int {
		return cmp.Or(cmp.Compare(orLast(a.Time), orLast(b.Time)), cmp.Compare(a.Code, b.Code))
	})
	return c.Reply(reply)
}

// cut leaves of the calls those of one reason and one page, with what stands beside them.
func (r *todayReply) cut(tx *store.Tx, rule string, page int, lines []listLine) error {
	calls := r.Calls.Calls
	if rule != "" {
		calls = slices.DeleteFunc(calls, func(x review.Call) bool {
			return !slices.ContainsFunc(x.Reasons, func(y review.Reason) bool { return y.Rule == rule })
		})
	}
	r.Total = len(calls)
	r.Calls.Calls, r.Page, r.Pages = pageOf(calls, page, callsPerPage)
	for _, x := range r.Calls.Calls {
		i, found := slices.BinarySearchFunc(lines, x.Wearer, func(l listLine, id care.WearerID) int { return cmp.Compare(l.wearer.ID, id) })
		if found {
			l := &lines[i]
			b := callBeside{Strip: l.detail.row.Strip, Wear: l.detail.row.Wear, Age: l.detail.row.Age, Phones: l.phones}
			if err := b.add(tx, l.wearer); err != nil {
				return err
			}
			r.Beside[x.Wearer] = b
		}
	}
	return nil
}

// orLast puts a time that is not known after those that are.
func orLast(clock string) string { return cmp.Or(clock, "99:99") }

// callNights is how far back the reasons to call look, and learnNights for how
// long after the first night the whole course of a wearer is looked at.
const (
	callNights  = 35
	learnNights = 56
)

// closeNights are the nights that the reasons to call look at.
func closeNights(tx *store.Tx, f record.File, today civil.Date) ([]care.Night, error) {
	p, reach := f.Plan(), callNights
	if p == nil {
		return f.Nights, nil
	}
	if n := today.DaysSince(p.FirstNight); !p.FirstNight.IsZero() && n <= learnNights {
		reach = max(reach, n)
	}
	reach = max(reach, p.DepositRemovalDays+1)
	if reach == callNights {
		return f.Nights, nil
	}
	return tx.Log().Nights(f.Wearer.ID, today.AddDays(-reach), today)
}

// addRecord adds to a call's input what the rules about the record look at.
func addRecord(tx *store.Tx, f record.File, day practiceDay, in *review.CallInput) error {
	w := f.Wearer.ID
	in.Tonight, in.Limits, in.Wear = day.night, day.settings(), tx.Log().WearFacts(w)
	var err error
	if in.Nights, err = closeNights(tx, f, day.today); err != nil {
		return err
	}
	if in.NightSigns, err = tx.Log().NightSigns(w, day.night.AddDays(-care.RecordNights), day.night); err != nil {
		return err
	}
	if in.LastNight, err = tx.Log().LastNight(w, record.LongAgo, day.night); err != nil {
		return err
	}
	supplied, err := tx.Log().SupplyNights(w, record.LongAgo, day.today)
	if err != nil {
		return err
	}
	in.PausedUntil, in.PauseReason = care.PausedUntil(in.Nights, day.today)
	in.Lost = care.LostLenses(supplied)
	in.Supplies = review.SuppliesDue(supplied, w, f.Plans, day.today)
	log := care.ScheduleLog(supplied, nil)
	log.LastDeposit = care.ScheduleLog(in.Nights, nil).LastDeposit
	in.Due = schedule.Supplies(schedule.Input{Plan: in.Plan.Plan, Log: log, Now: civil.At(day.night, civil.NightStarts, time.UTC)})
	return nil
}

// joinedOn is when the first device of a family joined; zero for none.
func joinedOn(tx *store.Tx, f care.FamilyID, loc *time.Location) (first civil.Date, err error) {
	devices, err := tx.Register().Devices(f)
	for _, d := range devices {
		if joined := civil.DateOf(d.Created.In(loc)); first.IsZero() || joined.Before(first) {
			first = joined
		}
	}
	return first, err
}

func callInput(tx *store.Tx, f record.File, day practiceDay, loc *time.Location, heard civil.Date) (review.CallInput, error) {
	in := review.CallInput{Wearer: f.Wearer, Visits: f.Visits, Recalls: f.Recalls, LastHeard: heard, Courses: review.Courses(f.Plans)}
	if p := f.Plan(); p != nil {
		in.Plan = *p
	}
	if err := addRecord(tx, f, day, &in); err != nil {
		return in, err
	}
	var err error
	if in.Events, err = register.Shelved[course.AdverseEvent](tx.Chart(), register.Events, f.Wearer.ID); err != nil {
		return in, err
	}
	if in.Closed, err = closedAsEvents(tx, f.Wearer.ID, loc); err != nil {
		return in, err
	}
	if in.Wrote, err = record.Words(tx, f.Wearer, loc); err != nil {
		return in, err
	}
	family, err := tx.Register().Family(f.Wearer.Family)
	if err != nil {
		return in, err
	}
	if !family.Created.IsZero() {
		in.Enrolled = civil.DateOf(family.Created.In(loc))
	}
	if in.Joined, err = joinedOn(tx, f.Wearer.Family, loc); err != nil {
		return in, err
	}
	if in.Before, err = closedBefore(tx, f.Wearer.ID, loc); err != nil {
		return in, err
	}
	in.Claims = tx.Log().Claims(f.Wearer.ID)
	if in.LensesIn, err = intake.LensesIn(tx, f.Wearer.ID); err != nil {
		return in, err
	}
	done, err := tx.Chart().FollowUps(f.Wearer.ID)
	for _, d := range done {
		in.Done = append(in.Done, review.FollowUp{Wearer: f.Wearer.ID, Rule: d.Reason, On: civil.DateOf(d.At.In(loc)), At: d.At, By: record.Name(tx, d.By), Outcome: d.Outcome, Note: d.Note, Until: d.Until})
	}
	return in, err
}

// lastHeard returns the practice's date on which the last entry about a wearer
// arrived; zero when none did in the last 400 nights.
func lastHeard(tx *store.Tx, w care.WearerID, today civil.Date, loc *time.Location) (civil.Date, error) {
	at, err := tx.Log().LastReceived(w, today.AddDays(-400), today.AddDays(1))
	if err != nil || at.IsZero() {
		return civil.Date{}, err
	}
	return civil.DateOf(at.In(loc)), nil
}

// pageOf returns one page of a list, the number of that page and how many
// there are; a page beyond the last is the last.
func pageOf[T any](all []T, page, size int) (rows []T, at, pages int) {
	pages = max(1, (len(all)+size-1)/size)
	at = min(max(1, page), pages)
	from := (at - 1) * size
	return all[from:min(from+size, len(all))], at, pages
}

type followUpRequest struct {
	Wearer  care.WearerID `json:"wearer"`
	Rule    string        `json:"rule"`
	Outcome string        `json:"outcome"`
	Note    string        `json:"note"`
	Until   civil.Date    `json:"until"`
	// Read are the words of the family that the caller was shown, which are marked as
	// read.
	Read []care.EntryID `json:"read,omitempty"`
}

// isWord reports whether s is 1 to 64 small letters, digits and dashes.
func isWord(s string) bool {
	return s != "" && len(s) <= 64 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

func (c *call) followUp() error {
	var req followUpRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if !isWord(req.Rule) || !isWord(req.Outcome) || utf8.RuneCountInString(req.Note) > care.MaxNoteRunes {
		return care.Refuse("bad-follow-up", "outcome", "want the id of a rule, the word of an outcome and a note of at most %d characters", care.MaxNoteRunes)
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		if most := review.PutOffMost(req.Rule); req.Until.After(today.AddDays(most)) {
			return care.Refuse("too-long", "until", "want a date within %d days: a reason of this kind is looked at again by then", most)
		}
		w, err := tx.Register().Wearer(req.Wearer)
		if err != nil {
			return err
		}
		if err := c.markRead(tx, w, req.Read); err != nil {
			return err
		}
		f := register.FollowUp{Reason: req.Rule, By: c.Caller.Person.ID, At: tx.Now, Outcome: req.Outcome, Note: req.Note, Until: req.Until}
		if err := tx.Chart().PutFollowUp(req.Wearer, f); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "followed up", string(req.Wearer)) // not why: that is clinical
	})
}
