package web

import (
	"cmp"
	"encoding/json"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// clinicRoutes are the routes of the console; pwa/clinic/api.js is the other
// half of the contract.
func (s *Server) clinicRoutes() []route {
	get, post, del := fiber.MethodGet, fiber.MethodPost, fiber.MethodDelete
	return []route{
		{post, "/api/clinic/sign-in", access.Anyone, "Use a one-time sign-in link up.", signInRequest{}, done{}, (*call).signIn},
		{get, "/api/clinic/me", access.AnyStaff, "Who is signed in, and what the console needs.", nil, clinicMe{}, (*call).clinicMe},
		{post, "/api/clinic/sign-out", access.AnyStaff, "End this browser's session.", nil, done{}, (*call).signOut},
		{get, "/api/clinic/alerts", access.ClinicDesk, "The queue: live alerts, and those closed in the last day.", nil, alertList{}, (*call).alerts},
		{post, "/api/clinic/alerts/:id/acknowledge", access.ClinicDesk, "Say that you have it. The first one counts.", nil, alertReply{}, (*call).acknowledge},
		{post, "/api/clinic/alerts/:id/close", access.Clinical, "Close with an outcome.", closeRequest{}, alertReply{}, (*call).closeAlert},
		{post, "/api/clinic/alerts/:id/call", access.ClinicDesk, "Log a call to the family. It ends nothing.", callRequest{}, alertReply{}, (*call).logCall},
		{post, "/api/clinic/alerts/:id/reopen", access.ClinicDesk, "Open a closed alert again; what it was closed with stays on record.", commentRequest{}, alertReply{}, (*call).reopenAlert},
		{get, "/api/clinic/archive", access.ClinicDesk, "Closed alerts, newest closing first, by wearer, dates and outcome.", nil, archivePage{}, (*call).archive},
		{post, "/api/clinic/alerts/:id/comment", access.ClinicDesk, "Add a comment.", commentRequest{}, alertReply{}, (*call).comment},
		{post, "/api/clinic/alerts/:id/hand-over", access.ClinicDesk, "Hand over to another person.", handOverRequest{}, alertReply{}, (*call).handOver},
		{get, "/api/clinic/today", access.ClinicDesk, "Who needs a call and why, and the visits of the day.", nil, todayReply{}, (*call).today},
		{post, "/api/clinic/follow-ups", access.ClinicDesk, "Record that somebody dealt with a reason to call.", followUpRequest{}, done{}, (*call).followUp},
		{get, "/api/clinic/wearers", access.ClinicDesk, "Wearers by name or code, 50 a page.", nil, wearerPage{}, (*call).wearers},
		{get, "/api/clinic/wearers/:id/review", access.Clinical, "One wearer before the recall.", nil, review.Summary{}, (*call).review},
		{get, "/api/clinic/wearers/:id/wear", access.ClinicDesk, "Where a wearer's eyes stand, why, and what the practice and the family said to each other.", nil, wearView{}, (*call).wear},
		{post, "/api/clinic/wearers/:id/say", access.ClinicDesk, "Write in the family's log: no lens, lenses again (a clinician), a message, a visit.", intake.Saying{}, wearView{}, (*call).say},
		{get, "/api/clinic/wearers/:id/plan", access.ClinicDesk, "Every version of the care plan, newest first.", nil, planList{}, (*call).plans},
		{post, "/api/clinic/wearers/:id/plan", access.Clinical, "Store the next version of the care plan.", planDoc{}, planReply{}, (*call).savePlan},
		{get, "/api/clinic/wearers/:id/visits", access.ClinicDesk, "Visits, newest first, and those due.", nil, visitList{}, (*call).visits},
		{post, "/api/clinic/wearers/:id/visits", access.ClinicDesk, "Store a visit, new or changed; the desk books, moves and cancels, and notes who did not come.", visitRequest{}, visitReply{}, (*call).saveVisit},
		{post, "/api/clinic/suitability", access.Clinical, "Ranges and reasons for a prescription, for the practitioner to decide.", map[string]any{}, map[string]any{}, (*call).suitability},
		{get, "/api/clinic/practice", access.AnyStaff, "Figures of the practice over a range.", nil, review.PracticeFigures{}, (*call).practice},
		{get, "/api/clinic/rules", access.AnyStaff, "The red-flag rules in force.", nil, ruleList{}, (*call).rules},
		{get, "/api/clinic/families/:id", access.ClinicDesk, "A family's people and devices.", nil, familyDetail{}, (*call).familyDetail},
		{post, "/api/clinic/families", access.ClinicDesk, "A new family with its first wearer and people.", newFamily{}, familyDetail{}, (*call).newFamily},
		{fiber.MethodPut, "/api/clinic/families/:id", access.ClinicDesk, "Change a family's name or time zone.", familyHeading{}, familyDetail{}, (*call).renameFamily},
		{post, "/api/clinic/families/:id/wearers", access.ClinicDesk, "One more wearer of a family.", wearerForm{}, familyDetail{}, (*call).addWearer},
		{fiber.MethodPut, "/api/clinic/wearers/:id", access.ClinicDesk, "Correct a wearer's name, code or date of birth.", wearerForm{}, familyDetail{}, (*call).changeWearer},
		{del, "/api/clinic/wearers/:id", access.ClinicDesk, "Take out a wearer enrolled by mistake, of whom nothing is stored.", nil, familyDetail{}, (*call).dropWearer},
		{post, "/api/clinic/families/:id/people", access.ClinicDesk, "One more person of a family.", personForm{}, familyDetail{}, (*call).addPerson},
		{fiber.MethodPut, "/api/clinic/families/:id/people/:person", access.ClinicDesk, "Correct a person's name or telephone number.", personChange{}, familyDetail{}, (*call).changePerson},
		{del, "/api/clinic/families/:id/people/:person", access.ClinicDesk, "Take a person out of a family: their devices are shut out.", nil, familyDetail{}, (*call).dropPerson},
		{post, "/api/clinic/families/:id/invitations", access.ClinicDesk, "Invite a person; the code is shown once.", inviteRequest{}, invitation{}, (*call).invite},
		{del, "/api/clinic/devices/:id", access.ClinicDesk, "Revoke a device.", nil, done{}, (*call).revokeDevice},
		{post, "/api/clinic/push/subscription", access.AnyStaff, "Store where messages for this browser go.", store.Subscription{}, done{}, (*call).subscribe},
		{post, "/api/clinic/push/test", access.AnyStaff, "Send this browser a test notification.", nil, done{}, (*call).pushTest},
		{get, "/api/clinic/audit", access.AdminOnly, "The audit log, newest first.", nil, auditPage{}, (*call).audit},
		{get, "/api/clinic/export.csv", access.Clinical, "Nights of every wearer as CSV. Needs a confirmation.", nil, nil, (*call).exportCSV},
	}
}

// name returns a person's name, or "" when the id is unknown.
func name(tx *store.Tx, id care.PersonID) string {
	p, err := tx.Person(id)
	if err != nil {
		return ""
	}
	return p.Name
}

// pathWearer returns the wearer the path names.
func (c *call) pathWearer(tx *store.Tx) (care.Wearer, error) {
	return tx.Wearer(care.WearerID(c.Params("id")))
}

// today at the practice.
func practiceToday(tx *store.Tx) (civil.Date, *time.Location, error) {
	p, err := tx.Practice()
	if err != nil {
		return civil.Date{}, nil, err
	}
	loc, err := civil.LoadZone(p.Zone)
	if err != nil {
		loc = time.UTC
	}
	return civil.DateOf(tx.Now.In(loc)), loc, nil
}

type clinicMe struct {
	Person   staffView        `json:"person"`
	Practice practiceHead     `json:"practice"`
	Today    civil.Date       `json:"today"`
	Now      time.Time        `json:"now"`
	VapidKey string           `json:"vapid_key"`
	Push     bool             `json:"push"`
	OnDuty   []string         `json:"on_duty"`
	Staff    []staffView      `json:"staff"`
	Outcomes []review.Outcome `json:"outcomes"`
}

type staffView struct {
	ID   care.PersonID `json:"id"`
	Name string        `json:"name"`
	Role care.Role     `json:"role"`
}

type practiceHead struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
	Zone  string `json:"zone"`
}

func (c *call) clinicMe() error {
	var me clinicMe
	err := c.srv.DB.View(func(tx *store.Tx) error {
		p, err := tx.Practice()
		if err != nil {
			return err
		}
		today, _, err := practiceToday(tx)
		if err != nil {
			return err
		}
		_, noPush := tx.Subscription(c.caller.Device.ID)
		who := c.caller.Person
		me = clinicMe{
			Person: staffView{who.ID, who.Name, who.Role}, Practice: practiceHead{p.Name, p.Contacts.Phone, p.Zone},
			Today: today, Now: tx.Now, VapidKey: c.srv.Push.PublicKey(), Push: noPush == nil,
			OnDuty: onDuty(tx), Staff: []staffView{}, Outcomes: review.Outcomes(),
		}
		staff, err := tx.Staff()
		for _, s := range staff {
			if !s.Gone && s.Role != care.Administrator {
				me.Staff = append(me.Staff, staffView{s.ID, s.Name, s.Role})
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(me)
}

func (c *call) signOut() error {
	token := c.cookie(staffCookie)
	err := c.update(func(tx *store.Tx) error { return tx.DeleteCredential(token) })
	if err != nil {
		return err
	}
	c.setCookie(staffCookie, "", time.Unix(0, 0))
	return c.reply(done{true})
}

// --- visits ---

type visitList struct {
	Visits []review.Visit `json:"visits"`
	Due    []dueVisit     `json:"due"`
}

type dueVisit struct {
	Kind string     `json:"kind"`
	Due  civil.Date `json:"due"`
}

type visitReply struct {
	Visit review.Visit `json:"visit"`
}

type visitRequest struct {
	review.Visit
	Sure bool `json:"sure,omitempty"` // what is unlikely was asked about
}

// visitKinds and visitStates are the closed lists of package review.
var (
	visitKinds  = []string{"first-morning", "one-week", "two-week", "one-month", "recall", "unscheduled", "suitability"}
	visitStates = []string{"booked", "kept", "missed", "cancelled", "waived"}
)

func (c *call) visits() error {
	var v visitList
	err := c.srv.DB.View(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if v.Visits, err = store.Visits[review.Visit](tx, w.ID); err != nil {
			return err
		}
		v.Due, err = recallsDue(tx, w.ID)
		return err
	})
	if err != nil {
		return err
	}
	slices.SortFunc(v.Visits, func(a, b review.Visit) int { return b.Date.Compare(a.Date) })
	c.seen("read visits", c.Params("id"))
	return c.reply(v)
}

func (c *call) saveVisit() error {
	var req visitRequest
	if err := c.read(&req); err != nil {
		return err
	}
	v := req.Visit
	switch {
	case v.Date.IsZero():
		return care.Refuse("bad-date", "date", "want the date of the visit as YYYY-MM-DD")
	case !slices.Contains(visitKinds, v.Kind):
		return care.Refuse("bad-kind", "kind", "want one of %s", strings.Join(visitKinds, ", "))
	case len(v.ID) > 64 || strings.ContainsAny(v.ID, "\x00/"):
		return care.Refuse("bad-id", "id", "want the id of a visit, or none for a new one")
	case v.Time != "" && !isClock(v.Time):
		return care.Refuse("bad-time", "time", "want a time as HH:MM, or none")
	case !slices.Contains(visitStates, v.State):
		return care.Refuse("bad-state", "state", "want one of %s", strings.Join(visitStates, ", "))
	}
	if v.ID == "" {
		v.ID = access.NewID()
	}
	v.By = c.caller.Person.Name
	busy, err := c.srv.busyHours(care.WearerID(c.Params("id")))
	if err != nil {
		return err
	}
	err = c.update(func(tx *store.Tx) error {
		w, err := c.pathWearer(tx)
		if err != nil {
			return err
		}
		if c.caller.Person.Role == care.Desk {
			if v, err = deskVisit(tx, w.ID, v); err != nil {
				return err
			}
		}
		if err := likelyVisit(tx, w, &v, busy, req.Sure); err != nil {
			return err
		}
		if err := tx.PutVisit(w.ID, v.ID, v); err != nil {
			return err
		}
		return tx.Note(c.caller.Person.ID, "stored visit", string(w.ID)+" "+v.ID)
	})
	if err != nil {
		return err
	}
	return c.reply(visitReply{v})
}

// likelyVisit refuses what cannot be, and asks about what is unlikely.
func likelyVisit(tx *store.Tx, w care.Wearer, v *review.Visit, busy func(string) bool, sure bool) error {
	today, _, err := practiceToday(tx)
	if err != nil {
		return err
	}
	if err := checkVisit(v, w, today); err != nil {
		return err
	}
	p, err := tx.Practice()
	if err != nil {
		return err
	}
	mine, err := store.Visits[review.Visit](tx, w.ID)
	if err != nil {
		return err
	}
	return doubtVisit(v, p, mine, busy, today).ask(sure)
}

// deskVisit is a visit as the desk may store it: an appointment. What was found,
// whether it was kept and whether it may be left out is the practitioner's word.
func deskVisit(tx *store.Tx, w care.WearerID, v review.Visit) (review.Visit, error) {
	all, err := store.Visits[review.Visit](tx, w)
	if err != nil {
		return v, err
	}
	var old review.Visit
	if i := slices.IndexFunc(all, func(x review.Visit) bool { return x.ID == v.ID }); i >= 0 {
		old = all[i]
	}
	for _, state := range []string{v.State, old.State} {
		if state == "kept" || state == "waived" {
			return v, care.Errorf(care.Forbidden, "not-allowed", "a clinician records that a visit was kept or is left out; the desk books, moves and cancels, and notes who did not come")
		}
	}
	v.Right, v.Left, v.Scale, v.Instrument, v.Advice = old.Right, old.Left, old.Scale, old.Instrument, old.Advice
	return v, nil
}

func isClock(s string) bool {
	_, err := civil.ParseClock(s)
	return err == nil
}

// --- follow-ups ---

type followUpRequest struct {
	Wearer  care.WearerID `json:"wearer"`
	Rule    string        `json:"rule"`
	Outcome string        `json:"outcome"`
	Note    string        `json:"note"`
	Until   civil.Date    `json:"until"`
}

// isWord reports whether s is 1 to 64 small letters, digits and dashes.
func isWord(s string) bool {
	return s != "" && len(s) <= 64 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

func (c *call) followUp() error {
	var req followUpRequest
	if err := c.read(&req); err != nil {
		return err
	}
	if !isWord(req.Rule) || !isWord(req.Outcome) || utf8.RuneCountInString(req.Note) > care.MaxNoteRunes {
		return care.Refuse("bad-follow-up", "outcome", "want the id of a rule, the word of an outcome and a note of at most %d characters", care.MaxNoteRunes)
	}
	err := c.update(func(tx *store.Tx) error {
		if _, err := tx.Wearer(req.Wearer); err != nil {
			return err
		}
		f := store.FollowUp{Reason: req.Rule, By: c.caller.Person.ID, At: tx.Now, Outcome: req.Outcome, Note: req.Note, Until: req.Until}
		if err := tx.PutFollowUp(req.Wearer, f); err != nil {
			return err
		}
		return tx.Note(c.caller.Person.ID, "followed up", string(req.Wearer)) // not why: that is clinical
	})
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

// --- lists ---

type wearerPage struct {
	Wearers []wearerRow `json:"wearers"`
	Page    int         `json:"page"`
	Pages   int         `json:"pages"`
	Total   int         `json:"total"`
}

type wearerRow struct {
	ID         care.WearerID `json:"id"`
	Name       string        `json:"name"`
	Code       string        `json:"code"`
	Age        int           `json:"age"`
	Family     care.FamilyID `json:"family"`
	FamilyName string        `json:"family_name"`
	FirstNight civil.Date    `json:"first_night"`
	LastHeard  civil.Date    `json:"last_heard"`
	Strip      string        `json:"strip"` // the last 28 nights, as review.StripOf writes them
	Wear       string        `json:"wear"`  // the more careful state of both eyes tonight: none, rest or stop
	Worn       int           `json:"worn"`
	Answered   int           `json:"answered"`
	NextRecall civil.Date    `json:"next_recall"`
	Overdue    bool          `json:"overdue"`
	Stopped    bool          `json:"stopped"` // by agreement, as of today
	Alert      string        `json:"alert"`

	silent bool // by the practice's limits
}

const wearersPerPage = 50

// wearers lists one page. What only names decide is found without opening any
// file; only the page's own rows are then filled in.
func (c *call) wearers() error {
	page := wearerPage{Wearers: []wearerRow{}}
	reply := func(tx *store.Tx, lines []rollLine, fill func(*rollLine) error) error {
		page.Total = len(lines)
		lines, page.Page, page.Pages = pageOf(lines, c.QueryInt("page", 1), wearersPerPage)
		for i := range lines {
			if err := fill(&lines[i]); err != nil {
				return err
			}
			page.Wearers = append(page.Wearers, lines[i].detail.row)
		}
		return nil
	}
	q, filter, by := queryOf(c.Query("q")), c.Query("filter"), c.Query("sort")
	var err error
	if filter == "" && (by == "" || by == "name" || by == "family" || by == "code") {
		err = c.srv.DB.View(func(tx *store.Tx) error {
			day, loc, err := practiceDayOf(tx)
			if err != nil {
				return err
			}
			lines, err := c.srv.heads(tx, q)
			if err != nil {
				return err
			}
			sortLines(lines, by)
			return reply(tx, lines, func(l *rollLine) error {
				*l, err = c.srv.roll.whole(tx, l.wearer.ID, day, loc)
				return err
			})
		})
	} else {
		err = c.srv.onRoll(func(tx *store.Tx, day practiceDay, lines []rollLine) error {
			lines = slices.DeleteFunc(lines, func(l rollLine) bool {
				return !l.found(q) || !keep(&l.detail.row, filter, day.today)
			})
			sortLines(lines, by)
			return reply(tx, lines, func(*rollLine) error { return nil })
		})
	}
	if err != nil {
		return err
	}
	return c.reply(page)
}

// sortLines sorts by a column; equal rows stand by name, then code, then id, so
// that a page holds the same rows each time.
func sortLines(lines []rollLine, by string) {
	slices.SortFunc(lines, func(a, b rollLine) int {
		return cmp.Or(column(&a, &b, by), cmp.Compare(a.name, b.name), cmp.Compare(a.wearer.Code, b.wearer.Code), cmp.Compare(a.wearer.ID, b.wearer.ID))
	})
}

// column compares two rows by the column asked for. Whoever has not started or
// has no recall comes last, since nothing is to be done about them.
func column(a, b *rollLine, by string) int {
	switch by {
	case "family":
		return cmp.Compare(a.last, b.last)
	case "code":
		return cmp.Compare(a.wearer.Code, b.wearer.Code)
	case "heard":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.FirstNight.IsZero(), y.FirstNight.IsZero()), x.LastHeard.Compare(y.LastHeard))
	case "recall":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.NextRecall.IsZero(), y.NextRecall.IsZero()), x.NextRecall.Compare(y.NextRecall))
	case "worn":
		x, y := &a.detail.row, &b.detail.row
		return cmp.Or(last(x.FirstNight.IsZero(), y.FirstNight.IsZero()), cmp.Compare(x.Worn*max(1, y.Answered), y.Worn*max(1, x.Answered)))
	}
	return 0
}

func last(a, b bool) int { return count(a) - count(b) }

// newNights is for how long a wearer counts as new, in nights: the adaptation
// visits of the usual plan fall within it.
const newNights = 28

func keep(r *wearerRow, filter string, today civil.Date) bool {
	switch filter {
	case "alert":
		return r.Alert != ""
	case "overdue":
		return r.Overdue
	case "silent":
		return !r.Stopped && r.silent
	case "new":
		return !r.Stopped && !r.FirstNight.IsZero() && today.DaysSince(r.FirstNight) <= newNights
	case "stopped":
		return r.Stopped
	}
	return true
}

// jsonInto decodes a stored plan document.
func jsonInto[T any](raw json.RawMessage) (T, error) {
	var v T
	err := json.Unmarshal(raw, &v)
	return v, err
}
