package web

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/store"
)

// recallsSoon is how many days ahead a visit that nobody has booked is listed:
// common practice, four weeks to find a date.
const recallsSoon = 28

// lensNights is how many nights back a new pair of lenses is looked for; its
// first-morning visit is settled by any later visit kept, and by then one was.
const lensNights = 120

type recallList struct {
	Date    civil.Date   `json:"date"`
	Counts  recallCounts `json:"counts"`
	Recalls []recallRow  `json:"recalls"` // by due date
}

type recallCounts struct {
	Due     int `json:"due"`
	Overdue int `json:"overdue"`
	Missed  int `json:"missed"`
	Booked  int `json:"booked"`
}

type recallRow struct {
	Wearer    care.WearerID `json:"wearer"`
	Name      string        `json:"name"`
	Code      string        `json:"code"`
	Family    care.FamilyID `json:"family"`
	Kind      string        `json:"kind"`
	Due       civil.Date    `json:"due"`
	State     string        `json:"state"`   // due, overdue, missed or booked
	Overdue   int           `json:"overdue"` // days past Due
	Visit     string        `json:"visit"`   // id of the appointment, if there is one
	Date      civil.Date    `json:"date"`    // of the appointment, booked or missed
	Time      string        `json:"time"`    // HH:MM or empty
	Contact   *lastContact  `json:"last_contact"`
	LastHeard civil.Date    `json:"last_heard"` // the family's last entry arrived
}

// lastContact is the last time somebody of the practice had to do with the
// family: a visit kept, or a reason to call that was dealt with.
type lastContact struct {
	On      civil.Date `json:"on"`
	How     string     `json:"how"` // visit or call
	Outcome string     `json:"outcome,omitempty"`
	By      string     `json:"by,omitempty"`
}

func (c *call) recalls() error {
	var list recallList
	err := c.srv.DB.View(func(tx *store.Tx) (err error) {
		list, err = readRecalls(tx)
		return err
	})
	if err != nil {
		return err
	}
	return c.reply(list)
}

func (c *call) recallsCSV() error {
	var list recallList
	err := c.srv.DB.Update(func(tx *store.Tx) (err error) {
		if list, err = readRecalls(tx); err != nil {
			return err
		}
		return tx.Note(c.caller.Person.ID, "exported recalls", "csv")
	})
	if err != nil {
		return err
	}
	rows := make([]interop.RecallRow, 0, len(list.Recalls))
	for _, r := range list.Recalls {
		row := interop.RecallRow{Code: r.Code, Kind: r.Kind, Due: r.Due, State: r.State, Overdue: r.Overdue, Date: r.Date, Time: r.Time, LastHeard: r.LastHeard}
		if r.Contact != nil {
			row.LastContact = r.Contact.On
		}
		rows = append(rows, row)
	}
	var b bytes.Buffer
	if err := interop.RecallsCSV(&b, rows); err != nil {
		return err
	}
	return c.attach(csvType, "recalls.csv", b.Bytes())
}

func readRecalls(tx *store.Tx) (recallList, error) {
	list := recallList{Recalls: []recallRow{}}
	today, loc, err := practiceToday(tx)
	if err != nil {
		return list, err
	}
	list.Date = today
	var all []care.Wearer
	if err := tx.AllWearers(func(w care.Wearer) bool { all = append(all, w); return true }); err != nil {
		return list, err
	}
	for _, w := range all {
		rows, err := recallsOf(tx, w, today, loc)
		if err != nil {
			return list, err
		}
		list.Recalls = append(list.Recalls, rows...)
	}
	slices.SortStableFunc(list.Recalls, func(a, b recallRow) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)))
	})
	for _, r := range list.Recalls {
		*list.Counts.of(r.State)++
	}
	return list, nil
}

func (n *recallCounts) of(state string) *int {
	switch state {
	case "overdue":
		return &n.Overdue
	case "missed":
		return &n.Missed
	case "booked":
		return &n.Booked
	}
	return &n.Due
}

func recallsOf(tx *store.Tx, w care.Wearer, today civil.Date, loc *time.Location) ([]recallRow, error) {
	f, err := openDiary(tx, w.ID, today)
	if err != nil {
		return nil, err
	}
	var out []recallRow
	for _, r := range f.recalls {
		if r.State == "due" && r.Due.After(today.AddDays(recallsSoon)) {
			continue
		}
		row := recallRow{Wearer: w.ID, Name: w.Name, Code: w.Code, Family: w.Family, Kind: r.Kind, Due: r.Due, State: r.State, Overdue: r.Overdue, Visit: r.Visit, Date: r.Date}
		if v := slices.IndexFunc(f.visits, func(v appointment) bool { return v.ID == r.Visit && r.Visit != "" }); v >= 0 {
			row.Time = f.visits[v].Time
		}
		out = append(out, row)
	}
	if out == nil {
		return nil, nil
	}
	contact, err := contactWith(tx, w.ID, f.visits, loc)
	if err != nil {
		return nil, err
	}
	heard, err := lastHeard(tx, w.ID, today, loc)
	for i := range out {
		out[i].Contact, out[i].LastHeard = contact, heard
	}
	return out, err
}

// appointment is a visit without what was found.
type appointment struct {
	schedule.Visit
	Time string `json:"time"`
	By   string `json:"by"`
}

// diary is what of a wearer's file decides about visits: every list of the
// whole practice reads it for everybody, so it holds nothing else.
type diary struct {
	visits  []appointment
	recalls []schedule.Recall // those somebody still has to see to
}

func openDiary(tx *store.Tx, w care.WearerID, today civil.Date) (diary, error) {
	var d diary
	var err error
	if d.visits, err = store.Visits[appointment](tx, w); err != nil {
		return d, err
	}
	record, err := tx.Plan(w)
	if care.KindOf(err) == care.NotFound {
		return d, nil
	}
	if err != nil {
		return d, err
	}
	plan, err := jsonInto[schedule.Plan](record.Plan)
	if err != nil {
		return d, err
	}
	visits := make([]schedule.Visit, 0, len(d.visits))
	for _, v := range d.visits {
		visits = append(visits, v.Visit)
	}
	nights, err := tx.SupplyNights(w, today.AddDays(-lensNights), today)
	if err != nil {
		return d, err
	}
	log := care.ScheduleLog(nights, visits)
	for _, r := range schedule.Recalls(plan, log.Visits, log.LensStarts, today) {
		if !r.Passed && r.State != "kept" && r.State != "waived" {
			d.recalls = append(d.recalls, r)
		}
	}
	return d, nil
}

// contactWith returns the last contact of the practice with a wearer's family.
func contactWith(tx *store.Tx, w care.WearerID, visits []appointment, loc *time.Location) (*lastContact, error) {
	var last *lastContact
	for _, v := range visits {
		if v.State == "kept" && (last == nil || v.Date.After(last.On)) {
			last = &lastContact{On: v.Date, How: "visit", By: v.By}
		}
	}
	calls, err := tx.FollowUps(w)
	for _, d := range calls {
		if on := civil.DateOf(d.At.In(loc)); last == nil || on.After(last.On) {
			last = &lastContact{On: on, How: "call", Outcome: d.Outcome, By: name(tx, d.By)}
		}
	}
	return last, err
}
