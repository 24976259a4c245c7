package demo

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// The wearers whose people the demo's links sign in.
const (
	parentOf = "W-0012"
	teenOf   = "W-0002"
	youngest = "W-0013" // of the parent's family
)

// Player plays the scenario into a server.
type Player struct {
	DB    *store.DB
	Clock *Clock
	Base  string // the server's address
	// Relax is called with true before the play and false after it; it may turn
	// durable commits off meanwhile.
	Relax func(bool)
	// Brothers is how many more children the parent's family has, each with the
	// nights of the youngest.
	Brothers int

	scenario Scenario
	now      time.Time
	phones   map[care.PersonID]*phone
	people   map[string]map[string]care.PersonID // family to name to id
	wearers  map[string]care.WearerID            // by code
	seats    Seats
}

// act is one thing that happens in the play.
type act struct {
	at     time.Time
	phone  *phone
	wearer care.WearerID
	author care.PersonID
	what   written
	clinic func() error // the clinician does something, instead of a phone
}

// Play enrols everybody and plays every night up to now. At the end the
// server's clock shows now again.
func (p *Player) Play(now time.Time) (Seats, error) {
	var err error
	if p.scenario, err = Load(); err != nil {
		return nil, err
	}
	p.scenario.more(p.Brothers)
	p.now = now
	p.seats = Seats{}
	p.phones, p.people, p.wearers = map[care.PersonID]*phone{}, map[string]map[string]care.PersonID{}, map[string]care.WearerID{}
	p.Relax(true)
	defer p.Relax(false)
	defer p.Clock.Set(now)
	if err := p.seedPractice(); err != nil {
		return nil, err
	}
	var acts []act
	for i := range p.scenario.Wearers {
		more, err := p.enrol(&p.scenario.Wearers[i])
		if err != nil {
			return nil, err
		}
		acts = append(acts, more...)
	}
	slices.SortStableFunc(acts, func(a, b act) int { return a.at.Compare(b.at) })
	if err := p.perform(acts); err != nil {
		return nil, err
	}
	return p.seats, p.openInvitations()
}

// enrol makes the family, its plan and visits, lets each person join with an
// invitation, and returns what will be written.
func (p *Player) enrol(w *Wearer) ([]act, error) {
	story := w.story(p.now)
	start := p.now.AddDate(0, 0, -w.Nights-3)
	p.Clock.Set(start)
	id := care.WearerID(access.NewID())
	p.wearers[w.Code] = id
	var invites map[care.PersonID]string
	err := p.DB.Update(func(tx *store.Tx) (err error) {
		invites, err = p.makeFamily(tx, w, id)
		return err
	})
	if err != nil {
		return nil, err
	}
	for person, code := range invites {
		if err := p.join(person, code); err != nil {
			return nil, err
		}
	}
	parent, author := p.people[w.Family][w.Parents[0]], p.people[w.Family][w.Parents[0]]
	if w.Teen {
		author = p.people[w.Family][w.Name]
	}
	p.remember(w, parent, author)
	acts := p.supplies(w, id, author)
	for _, x := range story {
		acts = append(acts, act{at: x.at, phone: p.phones[author], wearer: id, author: author, what: x})
	}
	acts = append(acts, p.answers(w)...)
	return append(acts, p.calls(w)...), nil
}

func (p *Player) remember(w *Wearer, parent, author care.PersonID) {
	if w.Code == parentOf {
		p.seats["parent"] = p.phones[parent].seat()
	}
	if w.Code == teenOf {
		p.seats["teen"] = p.phones[author].seat()
	}
}

func (p *Player) makeFamily(tx *store.Tx, w *Wearer, id care.WearerID) (map[care.PersonID]string, error) {
	invites := map[care.PersonID]string{}
	family := care.FamilyID("family-" + w.Family)
	if p.people[w.Family] == nil {
		p.people[w.Family] = map[string]care.PersonID{}
		if err := tx.Register().AddFamily(care.Family{ID: family, Name: w.Family, Zone: w.Zone, Created: tx.Now}); err != nil {
			return nil, err
		}
	}
	today := civil.DateOf(p.now.In(mustZone(w.Zone)))
	birth := today.AddMonths(-12*w.Age - 5)
	if err := tx.Register().AddWearer(care.Wearer{ID: id, Family: family, Code: w.Code, Name: w.Name, Birth: birth.String()}); err != nil {
		return nil, err
	}
	members := []care.Person{}
	for _, n := range w.Parents {
		members = append(members, care.Person{Name: n, Role: care.Parent, Phone: "+44 20 7946 0" + fmt.Sprint(200+len(p.wearers))})
	}
	if w.Teen {
		members = append(members, care.Person{Name: w.Name, Role: care.Teen, Wearer: id})
	}
	for _, m := range members {
		if p.people[w.Family][m.Name] != "" {
			continue
		}
		m.ID, m.Family = care.PersonID(access.NewID()), family
		p.people[w.Family][m.Name] = m.ID
		if err := tx.Register().AddPerson(m); err != nil {
			return nil, err
		}
		code := access.NewCode()
		invites[m.ID] = code
		inv := register.Invitation{Person: m.ID, By: p.scenario.Staff[0].ID, Created: tx.Now, Expires: tx.Now.Add(access.InvitationLife)}
		if err := tx.Access().Invite(code, inv); err != nil {
			return nil, err
		}
	}
	plan, err := p.makePlan(tx, w, id, today)
	if err != nil {
		return nil, err
	}
	return invites, p.makeVisits(tx, w, id, today, plan)
}

func (p *Player) makePlan(tx *store.Tx, w *Wearer, id care.WearerID, today civil.Date) (schedule.Plan, error) {
	first := today.AddDays(-cmp.Or(w.Plan.Started, w.Nights))
	for _, v := range w.Visits {
		if v.Booked && v.Kind != "unscheduled" { // the next visit of the series falls on the booked date
			first = today.AddDays(-v.DaysAgo).AddMonths(-1 - 2*w.Plan.RecallMonths)
		}
	}
	facts := review.PlanFacts{Plan: schedule.DefaultPlan(first, w.Zone)}
	facts.InsertionAt, facts.RemovalAt = w.Insertion, w.Removal
	facts.WearFrom, facts.WearTo = w.Insertion-90, w.Removal+60
	facts.QuietFrom, facts.QuietTo = civil.MustClock("22:30"), civil.MustClock("06:15")
	facts.Recalls = schedule.DefaultRecalls(w.Plan.RecallMonths)
	facts.From, facts.RecallsFrom = first, first
	if w.Teen {
		facts.RemindFirst, facts.ParentAfterMinutes = "teen", 45
	}
	if w.System == "peroxide" {
		facts.CareSystem, facts.SoakMinutes = schedule.Peroxide, cmp.Or(w.Plan.SoakMinutes, schedule.PeroxideSoakMinutes)
	}
	if d := int(w.Care["deposit_days"]); d > 0 {
		facts.DepositRemovalDays = 7
	}
	for _, v := range w.Visits {
		if v.Kind == "suitability" {
			facts.BaselineRight, facts.BaselineLeft = v.Right[0]+v.Right[1]/2, v.Left[0]+v.Left[1]/2
		}
	}
	if err := facts.Check(); err != nil {
		return facts.Plan, fmt.Errorf("demo: plan of %s: %w", w.Code, err)
	}
	raw, err := json.Marshal(facts)
	if err != nil {
		return facts.Plan, err
	}
	if _, err = tx.Chart().PutPlan(id, p.scenario.Staff[0].ID, raw); err != nil {
		return facts.Plan, err
	}
	return facts.Plan, tx.Duty().SetDue(id, tx.Now)
}

// makeVisits books what is to come and keeps every visit the plan asked for in
// the past; what the scenario measured is put to the nearest of them. A silent
// family has missed the last one.
func (p *Player) makeVisits(tx *store.Tx, w *Wearer, id care.WearerID, today civil.Date, plan schedule.Plan) error {
	var list []course.Visit
	for _, r := range schedule.Recalls(plan, nil, nil, today) {
		if r.Due.Before(today.AddDays(-6)) {
			list = append(list, course.Visit{Kind: r.Kind, Date: r.Due, Due: r.Due, State: "kept"})
		}
	}
	if w.SilentNights > 0 && len(list) > 0 {
		list[len(list)-1].State = "missed"
	}
	for _, v := range w.Visits {
		date := today.AddDays(-v.DaysAgo)
		at := nearest(list, date)
		if kind := visitKind(v.Kind); v.Booked || kind == "suitability" || kind == "unscheduled" || at < 0 {
			list = append(list, course.Visit{Kind: kind, Date: date, State: "kept"})
			at = len(list) - 1
			if v.Booked {
				list[at].State, list[at].Due, list[at].Time = "booked", date, v.Time
			}
		}
		list[at].Right, list[at].Left = findings(v.Found.Right, v.Right, v.Axial[0]), findings(v.Found.Left, v.Left, v.Axial[1])
		list[at].Instrument, list[at].Scale, list[at].Advice = "optical biometer", v.Scale, v.Advice
	}
	for i := range list {
		list[i].ID, list[i].By = fmt.Sprintf("v%02d", i), p.scenario.Staff[0].Name
		if err := tx.Chart().PutVisit(id, list[i].ID, list[i]); err != nil {
			return err
		}
	}
	return nil
}

// nearest returns the index of the kept visit of the series that is nearest to a
// date, -1 when there is none within 50 days.
func nearest(list []course.Visit, date civil.Date) int {
	best, at := 51, -1
	for i, v := range list {
		if d := max(v.Date.DaysSince(date), date.DaysSince(v.Date)); d < best && v.State == "kept" && !slices.Contains([]string{"suitability", "unscheduled"}, v.Kind) {
			best, at = d, i
		}
	}
	return at
}

func visitKind(k string) string {
	if k == "three-month" || k == "six-month" {
		return "recall"
	}
	return k
}

func findings(f course.EyeFindings, rx [3]float64, axial float64) course.EyeFindings {
	if rx[0] != 0 {
		f.Refraction = &course.Refraction{Sphere: rx[0], Cylinder: &rx[1], Axis: &rx[2]}
	}
	if axial != 0 {
		f.AxialMM = &axial
	}
	return f
}

// supplies are the things in use, written on the first day.
func (p *Player) supplies(w *Wearer, id care.WearerID, author care.PersonID) []act {
	loc := mustZone(w.Zone)
	today := civil.DateOf(p.now.In(loc))
	first := p.now.AddDate(0, 0, -w.Nights).Add(-3 * time.Hour)
	var out []act
	add := func(at time.Time, body map[string]any) {
		out = append(out, act{at: at, phone: p.phones[author], wearer: id, author: author,
			what: written{at: at, zone: w.Zone, night: civil.NightOf(at, loc), kind: care.Supply, body: body}})
	}
	caseAgo := cmp.Or(w.Plan.CaseStarted, min(18, w.Nights))
	add(maxTime(first, p.now.AddDate(0, 0, -min(caseAgo, w.Nights))), map[string]any{"item": "case", "action": "started", "on": today.AddDays(-caseAgo)})
	bottle := min(40, w.Nights)
	add(maxTime(first, p.now.AddDate(0, 0, -bottle)), map[string]any{"item": "solution", "action": "started", "on": today.AddDays(-bottle), "discard_after_days": 90})
	// The clinic lets lenses in again with a new case: it is in use before the next night.
	for _, e := range w.Events {
		if e.Clinic != nil {
			at := p.closedAt(w, &e).Add(time.Hour)
			add(at, map[string]any{"item": "case", "action": "started", "on": civil.DateOf(at.In(loc))})
		}
	}
	add(first, map[string]any{"item": "lens", "action": "started", "on": today.AddDays(-cmp.Or(w.Plan.LensStarted, min(cmp.Or(w.Plan.Started, w.Nights), 250))), "eye": "both"})
	return out
}

func maxTime(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// kinds of phone that the invented families have, in turn.
var kinds = []string{"iPhone", "Android"}

// join uses an invitation up on a phone of the person's own.
func (p *Player) join(person care.PersonID, code string) error {
	ph, err := newPhone(p.Base)
	if err != nil {
		return err
	}
	var reply struct {
		Device care.DeviceID `json:"device"`
		Person care.PersonID `json:"person"`
	}
	if err := ph.call("POST", "/api/join", map[string]string{"code": code, "device_name": kinds[len(p.phones)%len(kinds)], "consent": "2"}, &reply); err != nil {
		return err
	}
	ph.device, ph.person = reply.Device, reply.Person
	p.phones[person] = ph
	return nil
}

// perform plays the acts in order; what one phone wrote within four hours goes in
// one request.
func (p *Player) perform(acts []act) error {
	for len(acts) > 0 {
		if acts[0].clinic != nil {
			p.Clock.Set(acts[0].at)
			if err := acts[0].clinic(); err != nil {
				return err
			}
			acts = acts[1:]
			continue
		}
		until := acts[0].at.Add(4 * time.Hour)
		n := 0
		for n < len(acts) && acts[n].clinic == nil && !acts[n].at.After(until) {
			n++
		}
		if err := p.send(acts[:n]); err != nil {
			return err
		}
		acts = acts[n:]
	}
	return nil
}

func (p *Player) send(acts []act) error {
	batches := map[*phone][]json.RawMessage{}
	order := []*phone{}
	for _, a := range acts {
		raw, err := a.phone.entry(a.wearer, a.author, a.what)
		if err != nil {
			return err
		}
		if batches[a.phone] == nil {
			order = append(order, a.phone)
		}
		batches[a.phone] = append(batches[a.phone], raw)
	}
	p.Clock.Set(acts[len(acts)-1].at.Add(2 * time.Minute))
	faults := make([]error, len(order))
	var sent sync.WaitGroup
	for i, ph := range order {
		sent.Go(func() { faults[i] = ph.sync(batches[ph]) })
	}
	sent.Wait()
	return errors.Join(faults...)
}

// sync sends entries in requests as large as a phone's, and wants every one
// accepted.
func (p *phone) sync(entries []json.RawMessage) error {
	for chunk := range slices.Chunk(entries, intake.MaxEntries) {
		var reply intake.Reply
		if err := p.call("POST", "/api/sync", map[string]any{"epoch": p.epoch, "cursor": p.cursor, "entries": chunk}, &reply); err != nil {
			return err
		}
		p.epoch, p.cursor = reply.Epoch, reply.Cursor
		for _, v := range reply.Verdicts {
			if v.Verdict != "accepted" {
				return fmt.Errorf("demo: entry %s: %s %s", v.ID, v.Verdict, v.Message)
			}
		}
	}
	return nil
}

// answers are what the clinic did about reported symptoms.
func (p *Player) answers(w *Wearer) []act {
	var out []act
	for _, e := range w.Events {
		if e.Clinic == nil {
			continue
		}
		seen := p.reportedAt(w, &e).Add(time.Duration(e.Clinic.AcknowledgedAfter) * time.Minute)
		out = append(out,
			act{at: seen, clinic: func() error { return p.onAlerts(w.Code, "acknowledge", nothing) }},
			act{at: p.closedAt(w, &e), clinic: func() error {
				return p.onAlerts(w.Code, "close", e.Clinic.closing)
			}})
	}
	return out
}

func (p *Player) reportedAt(w *Wearer, e *event) time.Time {
	zone := mustZone(w.Zone)
	return civil.AtNight(civil.NightOf(p.now, zone).AddDays(-e.NightsAgo), e.At, zone)
}

// closedAt is when the clinic decided about reported symptoms.
func (p *Player) closedAt(w *Wearer, e *event) time.Time {
	return p.reportedAt(w, e).AddDate(0, 0, e.Clinic.ClosedAfter)
}

// nothing is what a request without a choice says.
func nothing(*phone, string) (any, error) { return map[string]string{}, nil }

// closing closes an alert and lets lenses be worn again from that night on, in
// whichever eyes something holds them back.
func (a *answer) closing(c *phone, wearer string) (any, error) {
	var now struct {
		Night  civil.Date `json:"night"`
		Causes []string   `json:"causes"`
	}
	if err := c.call("GET", "/api/clinic/wearers/"+wearer+"/wear", nil, &now); err != nil {
		return nil, err
	}
	body := map[string]any{"outcome": a.Outcome, "note": a.Note, "decision": "none"}
	if len(now.Causes) > 0 {
		body["decision"], body["causes"] = "resume", now.Causes
		body["entries"] = []any{map[string]any{"kind": "resume", "body": map[string]any{
			"eyes": "both", "answers": now.Causes, "from": now.Night, "basis": "examined", "new_case": true,
		}}}
	}
	return body, nil
}

// onAlerts does something with every live alert of a wearer, as the clinician.
func (p *Player) onAlerts(code, verb string, body func(c *phone, wearer string) (any, error)) error {
	c, err := p.as(care.Clinician)
	if err != nil {
		return err
	}
	var list struct {
		Alerts []struct {
			ID     string `json:"id"`
			State  string `json:"state"`
			Code   string `json:"wearer_code"`
			Wearer string `json:"wearer"`
		} `json:"alerts"`
	}
	if err := c.call("GET", "/api/clinic/alerts", nil, &list); err != nil {
		return err
	}
	for _, a := range list.Alerts {
		if a.Code == code && a.State != "closed" {
			said, err := body(c, a.Wearer)
			if err != nil {
				return err
			}
			if err := c.call("POST", "/api/clinic/alerts/"+a.ID+"/"+verb, said, nil); err != nil {
				return err
			}
		}
	}
	return nil
}
