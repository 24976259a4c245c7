package clinic

import (
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

type alertList struct {
	Alerts []alertView `json:"alerts"`
	Now    time.Time   `json:"now"`
	Duty   []onDutyNow `json:"duty"` // who is on duty now, then the deputy; empty in a gap
	// Lost counts alerts and messages that cannot be read: one may wait that is not in
	// the list.
	Lost int `json:"lost"`
	// Blind says that the data file was put back or repaired, and that alerts which were
	// open before may not be in the list.
	Blind bool `json:"blind"`
}

// onDutyNow is a member of staff whom a colleague may phone.
type onDutyNow struct {
	Name  string    `json:"name"`
	Role  care.Role `json:"role"`
	Phone string    `json:"phone"`
}

type alertReply struct {
	Alert alertView `json:"alert"`
}

// alertView is an alert as the console shows it.
type alertView struct {
	ID           care.AlertID    `json:"id"`
	Wearer       care.WearerID   `json:"wearer"`
	WearerName   string          `json:"wearer_name"`
	WearerCode   string          `json:"wearer_code"`
	Drill        bool            `json:"drill,omitempty"` // nobody is ill: it ends when a clinician takes it
	Rule         string          `json:"rule"`
	Title        string          `json:"title"`
	Level        escalate.Level  `json:"level" enum:"emergency,urgent,routine,note"`
	State        escalate.State  `json:"state" enum:"open,acknowledged,closed"`
	Opened       time.Time       `json:"opened"`
	Since        time.Time       `json:"since"` // became open last: while it is, how long somebody has waited
	Zone         string          `json:"zone"`  // in which the family wrote what opened it
	Began        *time.Time      `json:"began,omitempty"`
	ReviewDue    civil.Date      `json:"review_due,omitzero"` // of a stop that nobody looked at again: by when that was to be
	Eye          string          `json:"eye"`
	AckByName    string          `json:"ack_by_name,omitempty"`
	AckAt        *time.Time      `json:"ack_at,omitempty"`
	DeskName     string          `json:"desk_name,omitempty"` // of a red flag: the desk has phoned; stops nothing
	DeskAt       *time.Time      `json:"desk_at,omitempty"`
	Spoken       *time.Time      `json:"spoken,omitempty"` // when the family was last reached by phone
	Tried        *time.Time      `json:"tried,omitempty"`  // when it was last phoned in vain, and not reached since
	AssignedName string          `json:"assigned_name,omitempty"`
	Outcome      string          `json:"outcome,omitempty"`
	Step         string          `json:"step"`
	Age          string          `json:"age,omitempty"`   // in whole years
	Birth        string          `json:"birth,omitempty"` // YYYY-MM-DD, to be asked for on the telephone
	Episode      episode.Episode `json:"episode"`         // what the reports behind it say together
	Lapsed       bool            `json:"lapsed"`
	RuleVersion  int             `json:"rule_version"`
	Language     string          `json:"language,omitempty"` // the family's, BCP 47
	// PhoneLanguage is what the family's phone that was heard last is set to, where
	// nobody has asked the family.
	PhoneLanguage string       `json:"phone_language,omitempty"`
	History       []alertEvent `json:"history"`
	// Closings are all there were, oldest first, kept when it is opened again.
	Closings []closingView `json:"closings,omitempty"`
	// ClosedBefore is the wearer's alert that was closed last, of the days before this
	// live one; absent where there is none, or this was opened again.
	ClosedBefore *lastClosing `json:"closed_before,omitempty"`
	Contact      []contact    `json:"contact"`
	// Said is what the practice told the family, by whatever door, newest first: since a
	// live alert was raised, and what it decided last about wear. See [said].
	Said []json.RawMessage `json:"said,omitempty"`
	// What the phones say of each eye now; of a live alert.
	Right *care.EyeReading `json:"right,omitempty"`
	Left  *care.EyeReading `json:"left,omitempty"`
	Raw   []rawReport      `json:"raw,omitempty"` // reports that could not be read
	// Withdrawn: the family took its consent back, so nobody logs the nights.
	Withdrawn bool `json:"consent_withdrawn,omitempty"`
}

// lastClosing is an alert that was closed, as the card of the next one names it.
type lastClosing struct {
	Title   string    `json:"title"`
	Eye     string    `json:"eye"`
	Outcome string    `json:"outcome"`
	At      time.Time `json:"at"`
	By      string    `json:"by"`
}

// beforeDays is for how many days a closing is named on the card of the next alert: a
// week, in which an eye that was treated is seen again (ours).
const beforeDays = 7

// closedLately is the alert of a wearer that was closed last, at most [beforeDays] before now;
// nil for none.
func closedLately(tx *store.Tx, w care.WearerID) (*lastClosing, error) {
	list, err := tx.Duty().WearerAlerts(w)
	var last *escalate.Alert
	for i, a := range list {
		recent := a.State == escalate.Closed && tx.Now.Sub(a.ClosedAt) < beforeDays*24*time.Hour
		if recent && !a.Drill && (last == nil || a.ClosedAt.After(last.ClosedAt)) {
			last = &list[i]
		}
	}
	if err != nil || last == nil {
		return nil, err
	}
	v := viewAlert(tx, *last)
	return &lastClosing{v.Title, v.Eye, last.Outcome, last.ClosedAt, last.ClosedName}, nil
}

// closingView is a closing as the card and the archive show it.
type closingView struct {
	escalate.Closing
	Lenses []review.EyeSaid `json:"lenses,omitempty"`
}

// lensesSaid is what was said of each eye's lens by entries of the practice, right
// first; what cannot be read is left out, and so is a stop that another of them ends.
func lensesSaid(tx *store.Tx, f care.FamilyID, said []care.EntryID) (out []review.EyeSaid) {
	var all []care.Entry
	var ended []care.EntryID
	for _, id := range said {
		var e care.Entry
		if tx.Try(func() (err error) { e, err = tx.Log().Entry(f, id); return err }) != nil {
			continue
		}
		all = append(all, e)
		ended = append(ended, e.WearFact().Answers...)
	}
	for _, e := range all {
		if slices.Contains(ended, e.ID) {
			continue
		}
		fact := e.WearFact()
		for _, eye := range fact.Eyes {
			l := review.EyeSaid{Eye: eye, Again: e.Kind == care.Resume, From: fact.Begins, Check: fact.Check}
			if l.Again {
				l.From = fact.From
			} else {
				l.ReviewBy = e.ReviewBy()
			}
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b review.EyeSaid) int { return -cmp.Compare(a.Eye, b.Eye) })
	return out
}

type alertEvent struct {
	At      time.Time `json:"at"`
	What    string    `json:"what"`
	WhoName string    `json:"who_name"`
	Text    string    `json:"text"`
	Outcome string    `json:"outcome,omitempty"` // of a closing
	// The same said again, with nothing new.
	Times int        `json:"times,omitempty"`
	Last  *time.Time `json:"last,omitempty"`
}

type contact struct {
	Name     string `json:"name"`
	Phone    string `json:"phone"`
	Relation string `json:"relation"`
}

// closedShown is how long the queue shows a closed alert.
const closedShown = 24 * time.Hour

func (c *call) alerts() error {
	list := alertList{Alerts: []alertView{}}
	return c.ReplyView(&list, func(tx *store.Tx) (err error) {
		list.Now = tx.Now
		if list.Duty, err = duty(tx); err != nil {
			return err
		}
		all, err := tx.Duty().AlertsSince(tx.Now.Add(-closedShown))
		if err != nil {
			return err
		}
		all = slices.DeleteFunc(all, func(a escalate.Alert) bool { return a.Drill && !a.Live() })
		slices.SortFunc(all, func(a, b escalate.Alert) int {
			if a.Drill != b.Drill { // a child comes first
				return drillLast(a.Drill)
			}
			return cmp.Or(cmp.Compare(a.Level.Rank(), b.Level.Rank()), a.Opened.Compare(b.Opened))
		})
		for _, a := range all {
			list.Alerts = append(list.Alerts, viewAlert(tx, a))
		}
		list.Lost = c.Srv.LostAlerts()
		var lacks store.Lacks
		err = tx.Register().Setting(store.LacksSetting, &lacks)
		list.Blind = lacks.Blind || lacks.Left > 0
		return err
	})
}

func drillLast(first bool) int {
	if first {
		return 1
	}
	return -1
}

// viewAlert makes the card of an alert. What of the wearer's record cannot be read is
// left out and said: the alert itself must be shown.
func viewAlert(tx *store.Tx, a escalate.Alert) alertView {
	w := care.Wearer{ID: a.Wearer, Name: "Record that cannot be read"}
	unread := tx.Try(func() error {
		have, err := tx.Register().Wearer(a.Wearer)
		if err == nil {
			w = have
		}
		return err
	})
	v := alertView{
		ID: a.ID, Wearer: a.Wearer, WearerName: w.Name, WearerCode: w.Code, Drill: a.Drill, Rule: a.Rule, Title: titleOf(&a), Level: a.Level, State: a.State,
		Opened: a.Opened, Since: a.Since, Began: some(a.Began), Eye: a.Eye, AckByName: a.AckName, AckAt: some(a.AckAt), AssignedName: a.OwnerName,
		Outcome: a.Outcome, Step: standing(a, comes(tx, &a)), Lapsed: a.Lapsed(), DeskName: a.DeskName, DeskAt: some(a.DeskAt), Spoken: some(a.Spoken()), Tried: some(a.Tried()),
		RuleVersion: a.RuleVersion, History: []alertEvent{}, Contact: []contact{},
	}
	for _, e := range a.History {
		v.History = append(v.History, alertEvent{e.At, string(e.Kind), e.Name, eventText(e), e.Outcome, e.Times, some(e.Last)})
	}
	for _, k := range a.Closings {
		v.Closings = append(v.Closings, closingView{k, lensesSaid(tx, a.Family, k.Said)})
	}
	for _, part := range []func() error{
		func() error { return v.describe(tx, a, w) },
		func() error { return v.reach(tx, a.Family, a.Entry) },
		func() (err error) {
			if a.Live() && len(a.Closings) == 0 {
				v.ClosedBefore, err = closedLately(tx, a.Wearer)
			}
			return err
		},
	} {
		if err := tx.Try(part); err != nil {
			unread = err
		}
	}
	v.asItCame(tx, &a)
	if unread != nil {
		v.Episode.Notes = append(v.Episode.Notes, episode.FamilyWords{At: a.Opened, Text: "Part of this record cannot be read here: ask the family."})
	}
	return v
}

// rawReport is the beginning of a report that could not be read, as it came.
type rawReport struct {
	At   time.Time `json:"at"`
	Text string    `json:"text"`
}

// rawOnCard is how much of a report that could not be read stands on the card, in
// characters: enough for what somebody typed. All of it is in the family's archive.
const rawOnCard = 600

// asItCame adds the reports behind an alert that could not be read, as they came, for
// whoever phones.
func (v *alertView) asItCame(tx *store.Tx, a *escalate.Alert) {
	at := map[care.EntryID]time.Time{}
	for _, id := range a.Recent {
		at[id] = a.ToldAt
	}
	for _, e := range a.History {
		if e.Entry != "" {
			at[e.Entry] = e.At
		}
	}
	for _, id := range slices.Sorted(maps.Keys(at)) {
		e, err := care.ParseEntry(tx.Log().HeldRaw(a.Family, id))
		if err != nil {
			continue
		}
		var text string
		if json.Unmarshal(e.Body, &text) != nil {
			text = string(e.Body)
		}
		if cut := []rune(text); len(cut) > rawOnCard {
			text = string(cut[:rawOnCard]) + "…"
		}
		v.Raw = append(v.Raw, rawReport{at[id], text})
		if a.Live() && !v.Episode.Anew && len(a.Decided) > 0 && !slices.Contains(a.Decided, id) {
			v.Title, v.Episode.At, v.Episode.Reached = title(intake.Unread), time.Time{}, at[id] // what opened it again
			v.Episode.Began, v.Episode.BeganAt, v.Episode.Level = "", nil, alerts.None
		}
	}
	if v.Title == title(intake.Unread) { // which eye it is about nobody can say
		v.Episode.Headline, v.Eye, v.Episode.Eye = v.Title, "", ""
	}
}

// reach adds where the family is and how it is reached: parents first, and of those
// whoever wrote what the alert is about last.
func (v *alertView) reach(tx *store.Tx, family care.FamilyID, wrote care.EntryID) error {
	e, _ := tx.Log().Entry(family, wrote) // one that cannot be read has no author
	other := func(p care.Person) int { return map[bool]int{true: 0, false: 1}[p.ID == e.Author] }
	f, unread := tx.Register().Family(family)
	if unread == nil {
		v.Zone, v.Language = cmp.Or(v.Zone, f.Zone), f.Language
	}
	if v.Language == "" {
		v.PhoneLanguage = phoneLanguage(tx, family)
	}
	v.Withdrawn = withdrawn(tx, family)
	people, err := tx.Register().People(family)
	slices.SortStableFunc(people, func(x, y care.Person) int {
		return cmp.Or(cmp.Compare(x.Role, y.Role), cmp.Compare(other(x), other(y)))
	})
	for _, p := range people {
		if !p.Gone {
			v.Contact = append(v.Contact, contact{p.Name, p.Phone, string(p.Role)})
		}
	}
	if f.Second.Phone != "" {
		v.Contact = append(v.Contact, contact{f.Second.Name, f.Second.Phone, f.Second.Relation})
	}
	return cmp.Or(err, unread)
}

// phoneLanguage is the language of the family's phone that was heard of last; empty
// when none has said, or they cannot be read.
func phoneLanguage(tx *store.Tx, family care.FamilyID) string {
	devices, err := tx.Register().Devices(family)
	if err != nil {
		return ""
	}
	devices = slices.DeleteFunc(devices, func(d care.Device) bool { return d.Revoked || d.Lang == "" })
	if len(devices) == 0 {
		return ""
	}
	return slices.MaxFunc(devices, func(a, b care.Device) int { return a.LastSeen.Compare(b.LastSeen) }).Lang
}

func some(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// titleOf is the title of an alert. That a report could not be read at all goes before
// that it could not be assessed.
func titleOf(a *escalate.Alert) string {
	if a.Rule == intake.NotAssessed && slices.Contains(a.Signs, intake.Unread) {
		return title(intake.Unread)
	}
	return title(a.Rule)
}

func title(rule string) string {
	if rule == intake.Unread {
		return "A symptom report could not be read here: phone the family now, it may be an emergency"
	}
	if rule == intake.NotAssessed {
		return episode.Unassessed
	}
	if rule == intake.ToldOnly {
		return "The family's phone said that no lens may be worn, and it cannot be read here why: ask the family"
	}
	if rule == intake.WornStopped {
		return "A lens went in although nobody has said that lenses may be worn again"
	}
	if rule == intake.WornStill {
		return "A lens is in since an earlier night, in an eye that may have none, and is not logged out"
	}
	if rule == intake.WornUnplanned {
		return "A lens went in, in an eye for which the plan has none"
	}
	if rule == intake.WornUnmet {
		return "A lens went in, and the new case or lens that its release asks for is not logged"
	}
	if rule == intake.StopReview {
		return "Lenses are stopped, and nobody has decided for how long, or the date of review has passed"
	}
	if rule == intake.CheckNotDone {
		return "A sore eye, or an eye check that was begun, and no report since: the check was not finished"
	}
	return alerts.English().Say("rule." + rule + ".clinic")
}

// callWords are the results of a call as the console shows them.
var callWords = map[string]string{"reached": "Family reached", "not-reached": "Family not reached", "left-word": "Left word"}

func eventText(e escalate.Event) string {
	switch {
	case e.Kind == escalate.HandOver:
		return "to " + e.ToName
	case e.Kind == escalate.Call:
		return strings.TrimSpace(callWords[e.Result] + ". " + e.Text)
	}
	return e.Text
}

// comes reports whether a message about an alert has still to be tried.
func comes(tx *store.Tx, a *escalate.Alert) (out bool) {
	_ = tx.Try(func() error {
		out = a.Looks(tx.Now) || slices.ContainsFunc(tx.Duty().RowsOf(a.ID), func(r escalate.Row) bool { return r.OnTheWay(tx.Now) })
		return nil
	})
	return out
}

// standing says where an alert's delivery stands; comes: a message has still to be tried.
func standing(a escalate.Alert, comes bool) string {
	switch {
	case a.State == escalate.Closed:
		return "closed by " + a.ClosedName
	case a.State == escalate.Acknowledged:
		return "with " + a.AckName
	case a.Lapsed():
		return "nobody has answered: " + familyHears(a)
	case !a.ShownAt.IsZero():
		return "shown on a device, not yet acknowledged"
	}
	for _, e := range slices.Backward(a.History) {
		switch e.Kind {
		case escalate.Sent:
			if strings.HasPrefix(e.Text, string(escalate.Mail)+":") {
				return "handed over to the mail server, nobody has answered"
			}
			return "handed over to a device, not yet shown"
		case escalate.Failed:
			if comes {
				return "waiting to be told"
			}
			return "no device or mail address could be reached: phone whoever is on duty"
		}
	}
	return "waiting to be told"
}

// familyHears says whether the family knows that nobody has answered: only what a
// device of theirs has shown is said as told.
func familyHears(a escalate.Alert) string {
	waits := "a message that they phone is on its way to the family"
	for _, e := range a.History {
		if e.At.Before(a.LapsedAt) {
			continue
		}
		switch {
		case e.Kind == escalate.FamilyShown:
			return "a phone of the family has shown that they are to phone"
		case e.Kind == escalate.FamilyTold && strings.Contains(e.Text, "handed over"):
			waits = "a message went to the family's phones and was not shown yet: phone them"
		case e.Kind == escalate.FamilyTold:
			waits = "the family could not be told: phone them"
		}
	}
	return waits
}

// closeRequest closes an alert with what was decided about wear. While anything
// stops a lens a decision is needed.
type closeRequest struct {
	Outcome  string            `json:"outcome"`
	Note     string            `json:"note"`
	Decision escalate.Decision `json:"decision,omitempty"`
	Where    string            `json:"where,omitempty"` // of sent-on
	sayRequest
}

type callRequest struct {
	Result string `json:"result"` // reached, not-reached or left-word
	Text   string `json:"text,omitempty"`
}

type commentRequest struct {
	Text string `json:"text"`
}

type handOverRequest struct {
	To care.PersonID `json:"to"`
}

func (c *call) acknowledge() error {
	return c.onAlert(escalate.Event{Kind: escalate.Acknowledge})
}

func (c *call) closeAlert() error {
	var req closeRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	e := escalate.Event{
		Kind: escalate.Close, Outcome: req.Outcome, Text: req.Note, Decision: req.Decision, Where: strings.TrimSpace(req.Where),
		Request: fmt.Sprintf("%x", sha256.Sum256(c.Body())), // another decision is never taken for the same tap
	}
	var wearer care.WearerID
	err := c.View(func(tx *store.Tx) error {
		a, err := tx.Duty().Alert(care.AlertID(c.Params("id")))
		wearer = a.Wearer
		return err
	})
	if err != nil {
		return err
	}
	busy, err := c.busyHours(wearer)
	if err != nil {
		return err
	}
	err = c.onAlertWith(e, func(tx *store.Tx, a escalate.Alert, e *escalate.Event) error {
		if a.State == escalate.Closed {
			return nil // said below
		}
		return decide(tx, c.Caller.Person.Named(), a, req.sayRequest, busy, e)
	})
	return c.conflicted(wearer, err)
}

// decide holds a closing against what stops a lens, and writes what it says to
// the family. busy holds the appointments that other wearers have.
func decide(tx *store.Tx, who care.Person, a escalate.Alert, s sayRequest, busy []bookedAt, e *escalate.Event) error {
	if err := fitsDecision(s, e); err != nil {
		return err
	}
	if err := fitsWear(tx, a.Wearer, e.Decision); err != nil {
		return err
	}
	e.Decision = cmp.Or(e.Decision, escalate.NoneMade)
	w, err := tx.Register().Wearer(a.Wearer)
	if err != nil {
		return err
	}
	if err := agrees(tx, w.ID, s.Saying); err != nil {
		return err
	}
	found, _ := episode.OutcomeOf(e.Outcome)
	if err := fitsFound(a, s, e, found); err != nil {
		return err
	}
	if err := s.knows(tx, w); err != nil {
		return err
	}
	if s, err = lensLeft(tx, w, s, e.Decision); err != nil {
		return err
	}
	if found.Disease {
		s.Saying = s.Saying.Closing(a.ID)
	}
	if e.Decision == escalate.SentOn {
		s.Entries = append(slices.Clone(s.Entries), intake.SentTo(a.ID, e.Where))
	}
	said, err := intake.Say(tx, who, w, s.Saying)
	for _, x := range said {
		e.Said = append(e.Said, x.ID)
	}
	if err != nil {
		return err
	}
	if err := askSaid(tx, w, s, busy); err != nil {
		return err
	}
	return bookSaid(tx, who, w, said)
}

// fitsFound refuses a closing that goes against its outcome: in its words to the family,
// or that of a red flag about which nobody examined the eye or spoke to the family.
func fitsFound(a escalate.Alert, s sayRequest, e *escalate.Event, found episode.Outcome) error {
	if err := cmp.Or(examinedSaid(s.Entries, true, found.Seen), foundSaid(s.Entries, found, e.Decision)); err != nil {
		return err
	}
	if a.Level.RedFlag() && a.Spoken().IsZero() && e.Decision != escalate.Resumed && e.Outcome != escalate.NotReached && !examined(found, s) {
		return care.Refuse("not-spoken", "outcome",
			"this is a red flag, and neither an examination nor a call that reached the family is logged: log the call first")
	}
	return nil
}

// foundSaid refuses a word of the list that goes against what was found: that nothing was,
// beside an outcome that names something or a wearer who is sent on, and that the eye is
// treated, beside an outcome of nothing found.
func foundSaid(entries []intake.Draft, o episode.Outcome, d escalate.Decision) error {
	for i, e := range entries {
		var b struct{ Phrase string }
		_ = json.Unmarshal(e.Body, &b) // a body that is not of its kind is refused by Say
		nothing := b.Phrase == "no-finding" && (o.Event || d == escalate.SentOn)
		if e.Kind == care.Word && (nothing || b.Phrase == "treated" && o.Key == "seen-nothing-found") {
			return care.Refuse("word-against-outcome", fmt.Sprintf("entries.%d.body.phrase", i),
				"the word to the family and the outcome contradict each other about what was found: put one of the two right")
		}
	}
	return nil
}

// fitsWear refuses a decision that goes against what holds a lens back.
func fitsWear(tx *store.Tx, w care.WearerID, d escalate.Decision) error {
	if wear := intake.WearNow(tx, w); (d == "" || d == escalate.NoneMade) && wear.Worst() == care.Stop {
		return care.Refuse("no-decision", "decision", "something still stops a lens: say whether lenses may be worn again, or that it stays, or where the wearer was sent")
	}
	if over := intake.OverSince(tx, w); d == escalate.Resumed && !over.IsZero() {
		return care.Refuse("wear-ended", "decision", "wear has ended: close this with no lens, and begin a new course under “Lenses” before lenses are worn again")
	}
	return nil
}

// lensLeft returns the closing with where a lens is that may still be on an eye. It asks
// before an alert is closed with one that nobody of the practice sees today: a
// clinician may do so, knowing it (ours).
func lensLeft(tx *store.Tx, w care.Wearer, s sayRequest, d escalate.Decision) (sayRequest, error) {
	s, on, err := s.withLens(tx, w)
	if err != nil || len(on) == 0 || d != escalate.Stays {
		return s, err
	}
	today, _, err := record.Today(tx)
	if err != nil {
		return s, err
	}
	next, err := nextBooked(tx, w.ID)
	seen := next == today || slices.ContainsFunc(s.Entries, func(d intake.Draft) bool {
		var b saidBody
		return d.Kind == care.Visit && json.Unmarshal(d.Body, &b) == nil && !b.Cancelled && b.On == today
	})
	if err != nil || seen {
		return s, err
	}
	var ask doubts
	ask.add("A lens may still be on the eye, and no visit is booked for today, so the phones go on saying not to pull at it and how soon to be seen.")
	return s, ask.ask(s.Sure)
}

// examined reports whether a closing says that somebody of the practice examined the
// eye. To send a wearer on by itself does not; what is released says so itself.
func examined(o episode.Outcome, s sayRequest) bool {
	return o.Seen && o.Key != "referred" || slices.ContainsFunc(s.Entries, func(d intake.Draft) bool {
		var said struct{ Reason string }
		return d.Kind == care.Cease && json.Unmarshal(d.Body, &said) == nil && said.Reason == "examination"
	})
}

// fitsDecision refuses a decision that goes against the outcome, or against what is
// said to the family with it.
func fitsDecision(s sayRequest, e *escalate.Event) error {
	has := func(k care.EntryKind) bool {
		return slices.ContainsFunc(s.Entries, func(d intake.Draft) bool { return d.Kind == k })
	}
	switch {
	case e.Decision != "" && !slices.Contains(escalate.Decisions(), e.Decision):
		return care.Refuse("bad-decision", "decision", "decision %q: want one of %v", e.Decision, escalate.Decisions())
	case e.Decision == escalate.Resumed && (e.Outcome == "referred" || e.Outcome == escalate.NotReached):
		return care.Refuse("outcome-against-resume", "outcome", "the outcome says that the wearer was sent on or not reached, and lenses are allowed again: put one of the two right")
	case e.Decision == escalate.Resumed && !has(care.Resume):
		return care.Refuse("no-resume", "entries", "lenses again: want a resume that says which eyes and from when")
	case (e.Decision == escalate.Stays || e.Decision == escalate.SentOn) && !has(care.Cease):
		return care.Refuse("no-cease", "entries", "no lens: want a cease with the date of the visit or of review")
	case e.Decision == escalate.SentOn && e.Where == "":
		return care.Refuse("no-place", "where", "want where the wearer was sent")
	case len(e.Where) > 500:
		return care.Refuse("bad-place", "where", "want at most 500 characters")
	}
	return nil
}

// agrees refuses a closing whose parts contradict each other.
func agrees(tx *store.Tx, w care.WearerID, s intake.Saying) error {
	next, err := nextBooked(tx, w)
	if err != nil {
		return err
	}
	return s.Agrees(intake.WearNow(tx, w), !next.IsZero())
}

func (c *call) logCall() error {
	var req callRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.onAlert(escalate.Event{Kind: escalate.Call, Result: req.Result, Text: req.Text})
}

// reopenAlert opens a closed alert again. What its last closing resumed is
// stopped again with it.
func (c *call) reopenAlert() error {
	var req commentRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	e := escalate.Event{Kind: escalate.Reopen, Text: req.Text}
	return c.onAlertWith(e, func(tx *store.Tx, a escalate.Alert, e *escalate.Event) error {
		if a.State != escalate.Closed || len(a.Closings) == 0 {
			return nil // open already: said below
		}
		w, err := tx.Register().Wearer(a.Wearer)
		if err != nil {
			return err
		}
		last := a.Closings[len(a.Closings)-1]
		e.Said, err = intake.TakeBack(tx, c.Caller.Person.Named(), w, a.ID, last.Said)
		return err
	})
}

func (c *call) comment() error {
	var req commentRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.onAlert(escalate.Event{Kind: escalate.Comment, Text: req.Text})
}

func (c *call) handOver() error {
	var req handOverRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.onAlert(escalate.Event{Kind: escalate.HandOver, To: req.To})
}

// onAlert lets the caller do something with the alert the path names, and
// writes it down.
func (c *call) onAlert(e escalate.Event) error { return c.onAlertWith(e, nil) }

// happen applies an event to an alert and notes it; a drill that it ends leaves no stop.
func (c *call) happen(tx *store.Tx, a escalate.Alert, e escalate.Event) (escalate.Alert, error) {
	rules, err := rulesOf(tx)
	if err != nil {
		return a, err
	}
	before := len(a.History)
	if a, err = dispatch.Apply(tx, rules, a, e); err != nil {
		return a, err
	}
	if a.Outcome == escalate.DrillAnswered {
		if err := intake.DrillTaken(tx, c.Caller.Person.Named()); err != nil {
			return a, err
		}
	}
	if len(a.History) == before { // a second tap by the same person changes nothing
		return a, nil
	}
	return a, tx.Audit().Append(e.By, "alert "+string(e.Kind), string(a.ID))
}

// onAlertWith is [call.onAlert] with something to do before, in the same
// transaction.
func (c *call) onAlertWith(e escalate.Event, first func(*store.Tx, escalate.Alert, *escalate.Event) error) error {
	who := c.Caller.Person
	e.By, e.Name, e.Role = who.ID, who.Name, who.Role
	var v alertView
	err := c.Update(func(tx *store.Tx) error {
		a, err := tx.Duty().Alert(care.AlertID(c.Params("id")))
		if err != nil {
			return err
		}
		e := e // the transaction may run again
		if err := fitsAlert(tx, a, &e); err != nil {
			return err
		}
		if first != nil {
			if err := first(tx, a, &e); err != nil {
				return err
			}
			if a, err = tx.Duty().Alert(a.ID); err != nil { // a review may have cleared it
				return err
			}
		}
		if a, err = c.happen(tx, a, e); err != nil {
			return err
		}
		v = viewAlert(tx, a)
		return nil
	})
	if err != nil {
		return err
	}
	if c.Srv.Intake.Raised != nil {
		c.Srv.Intake.Raised()
	}
	return c.Reply(alertReply{v})
}

// fitsAlert refuses what cannot be done to an alert, and names whom it is handed to.
func fitsAlert(tx *store.Tx, a escalate.Alert, e *escalate.Event) error {
	if a.Drill && !slices.Contains([]escalate.EventKind{escalate.Acknowledge, escalate.Comment, escalate.Call}, e.Kind) {
		return care.Errorf(care.Conflict, "drill", "this is a drill: it ends when a clinician takes it, or by itself")
	}
	if e.Kind != escalate.HandOver {
		return nil
	}
	may, err := ready.OnRota(tx)
	if err != nil {
		return err
	}
	to, err := tx.Register().Person(e.To)
	if err != nil || !may[e.To] {
		return care.Refuse("bad-person", "to", "want a clinician or somebody of the desk who is let in")
	}
	e.ToName = to.Name
	return nil
}

func rulesOf(tx *store.Tx) (escalate.Rules, error) {
	r, err := dispatch.Rules(tx)
	for _, o := range episode.Outcomes() {
		r.Outcomes = append(r.Outcomes, o.Key)
	}
	return r, err
}

// alertFacts returns a wearer's alerts with their instants on the practice's
// clock, so that their dates are those of its calendar.
func alertFacts(tx *store.Tx, w care.WearerID, loc *time.Location) ([]review.AlertFact, error) {
	list, err := tx.Duty().WearerAlerts(w)
	out := []review.AlertFact{}
	for _, a := range list {
		out = append(out, review.AlertFact{
			ID: a.ID, Wearer: w, Rule: a.Rule, Title: titleOf(&a), Level: string(a.Level), State: string(a.State),
			Began: on(a.Began, loc), Opened: on(a.Opened, loc), AckAt: on(a.AckAt, loc), ClosedAt: on(a.ClosedAt, loc), Outcome: a.Outcome,
			Found: foundWords(a.Signs), Closings: closingFacts(tx, &a, loc), CalledAt: on(firstReached(&a), loc), Rung: rung(tx, &a, loc),
		})
	}
	return out, err
}

// closedAsEvents are the alerts of a wearer that were closed with an outcome that is an
// adverse event.
func closedAsEvents(tx *store.Tx, w care.WearerID, loc *time.Location) (out []review.AlertFact, err error) {
	list, err := tx.Duty().WearerAlerts(w)
	for _, a := range list {
		if o, ok := episode.OutcomeOf(a.Outcome); ok && o.Event {
			out = append(out, review.AlertFact{ID: a.ID, Wearer: w, State: string(a.State), ClosedAt: on(a.ClosedAt, loc), Outcome: a.Outcome, Eye: viewAlert(tx, a).Eye})
		}
	}
	return out, err
}

// firstReached is when a call first reached the family; zero when none did.
func firstReached(a *escalate.Alert) time.Time {
	for _, e := range a.History {
		if e.Kind == escalate.Call && e.Result == "reached" {
			return e.At
		}
	}
	return time.Time{}
}

// rung are the messages of an alert that reached somebody of the practice.
func rung(tx *store.Tx, a *escalate.Alert, loc *time.Location) (out []review.Ring) {
	for _, e := range a.History {
		if e.Kind == escalate.Sent && e.To != "" {
			out = append(out, review.Ring{Name: record.Name(tx, e.To), At: on(e.At, loc)})
		}
	}
	return out
}

// foundWords says signs of an alert, each a rule and an eye, in words.
func foundWords(signs []string) (out []string) {
	for _, sign := range signs {
		rule, eye, _ := strings.Cut(sign, " ")
		words := title(rule)
		if eye, _, _ = strings.Cut(eye, " "); eye != "" { // the night of a lens that is still in is not said
			words += " (" + eye + ")"
		}
		out = append(out, words)
	}
	return out
}

// closingFacts are an alert's closings for the review. How long one waited is left
// out where the history does not reach back to it.
func closingFacts(tx *store.Tx, a *escalate.Alert, loc *time.Location) []review.Closing {
	var out []review.Closing
	waits := a.Waits()
	for i, k := range a.Closings {
		c := review.Closing{At: on(k.At, loc), By: k.Name, Outcome: k.Outcome, Note: k.Note, Decision: string(k.Decision), Where: k.Where, Lenses: lensesSaid(tx, a.Family, k.Said)}
		if len(waits) == len(a.Closings) {
			minutes := waits[i].Minutes()
			c.Minutes = &minutes
		}
		out = append(out, c)
	}
	return out
}

// on puts an instant on a clock; one that is not known stays so.
func on(t time.Time, loc *time.Location) time.Time {
	if t.IsZero() {
		return t
	}
	return t.In(loc)
}

// topAlert returns the most pressing level of a wearer's live alerts.
func topAlert(tx *store.Tx, w care.WearerID) (string, error) {
	list, err := tx.Duty().WearerAlerts(w)
	top := ""
	for _, a := range list {
		if a.Live() && (top == "" || a.Level.Worse(escalate.Level(top))) {
			top = string(a.Level)
		}
	}
	return top, err
}

// waiting is what a locked window may know: that somebody waits, not who.
type waiting struct {
	Open        int `json:"open"`        // alerts nobody has taken
	Emergencies int `json:"emergencies"` // of those, the most pressing
}

func (c *call) waiting() error {
	var w waiting
	return c.ReplyView(&w, func(tx *store.Tx) error {
		live, err := tx.Duty().LiveAlerts()
		for _, a := range live {
			if a.State != "open" || a.Drill {
				continue
			}
			w.Open++
			if a.Level.Rank() == 0 {
				w.Emergencies++
			}
		}
		return err
	})
}
