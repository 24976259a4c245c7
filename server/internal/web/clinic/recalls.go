package clinic

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/interop"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// recallsSoon is how many days ahead a visit that nobody has booked is listed:
// common practice, four weeks to find a date.
const recallsSoon = 28

type recallList struct {
	Date    civil.Date   `json:"date"`
	Counts  recallCounts `json:"counts"`  // of all, whatever state was asked for
	Recalls []recallRow  `json:"recalls"` // by due date, one page of them
	Page    int          `json:"page"`
	Pages   int          `json:"pages"`
	Total   int          `json:"total"` // in the state asked for
}

// recallsPerPage is how many visits the list shows at once.
const recallsPerPage = 100

type recallCounts struct {
	Due     int `json:"due"`
	All     int `json:"all"`
	Overdue int `json:"overdue"` // missed ones too, once their date is past
	Missed  int `json:"missed"`
	Booked  int `json:"booked"`
}

type recallRow struct {
	Wearer  care.WearerID `json:"wearer"`
	Name    string        `json:"name"`
	Code    string        `json:"code"`
	Family  care.FamilyID `json:"family"`
	Kind    string        `json:"kind"`
	Due     civil.Date    `json:"due"`
	State   string        `json:"state"`   // due, overdue, missed or booked
	Overdue int           `json:"overdue"` // days past Due
	Visit   string        `json:"visit"`   // id of the appointment, if there is one
	Date    civil.Date    `json:"date"`    // of the appointment, booked or missed
	Time    string        `json:"time"`    // HH:MM or empty
	// WithinHours is how soon after waking the wearer must be seen, for a first
	// morning; 0: any time.
	WithinHours int          `json:"within_hours"`
	NewLens     bool         `json:"new_lens"` // asked for by a new lens, not by the plan
	Contact     *lastContact `json:"last_contact"`
	LastHeard   civil.Date   `json:"last_heard"` // the family's last entry arrived
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
	list, err := c.readRecalls()
	if err != nil {
		return err
	}
	if state := c.Query("state"); state != "" {
		list.Recalls = slices.DeleteFunc(list.Recalls, func(r recallRow) bool { return !r.is(state) })
	}
	list.Total = len(list.Recalls)
	list.Recalls, list.Page, list.Pages = pageOf(list.Recalls, c.QueryInt("page", 1), recallsPerPage)
	return c.Reply(list)
}

func (c *call) recallsCSV() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	list, err := c.readRecalls()
	if err != nil {
		return err
	}
	if err := c.Audit("exported recalls", "csv"); err != nil {
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
	return c.Attach(transport.CSVType, "recalls.csv", b.Bytes())
}

func (c *call) readRecalls() (recallList, error) {
	list := recallList{Recalls: []recallRow{}}
	err := c.onLists(func(_ *store.Tx, day practiceDay, lines []listLine) error {
		list.Date = day.today
		for _, l := range lines {
			list.Recalls = append(list.Recalls, l.detail.recalls...)
		}
		return nil
	})
	if err != nil {
		return list, err
	}
	slices.SortStableFunc(list.Recalls, func(a, b recallRow) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)))
	})
	for _, r := range list.Recalls {
		list.Counts.All++
		for state, n := range map[string]*int{"due": &list.Counts.Due, "overdue": &list.Counts.Overdue, "missed": &list.Counts.Missed, "booked": &list.Counts.Booked} {
			*n += count(r.is(state))
		}
	}
	return list, nil
}

// is reports whether a row belongs among those of a state: overdue is what is past the
// date of the visit, as on every page, missed ones too.
func (r *recallRow) is(state string) bool {
	late := r.State == "overdue" || r.State == "missed"
	switch state {
	case "overdue":
		return late && r.Overdue > 0
	case "due":
		return r.State == "due" || r.State == "overdue" && r.Overdue == 0
	}
	return r.State == state
}

// recallsOf are one wearer's rows of the list of recalls.
func recallsOf(tx *store.Tx, f record.File, today civil.Date, loc *time.Location, heard civil.Date) ([]recallRow, error) {
	w := f.Wearer
	var out []recallRow
	for _, r := range f.Open() {
		if r.State == "due" && r.Due.After(today.AddDays(recallsSoon)) {
			continue
		}
		row := recallRow{Wearer: w.ID, Name: w.Name, Code: w.Code, Family: w.Family, Kind: r.Kind, Due: r.Due, State: r.State, Overdue: r.Overdue, Visit: r.Visit, Date: r.Date, LastHeard: heard, NewLens: f.ForNewLens(r), WithinHours: r.WithinHours}
		if v := slices.IndexFunc(f.Visits, func(v course.Visit) bool { return v.ID == r.Visit && r.Visit != "" }); v >= 0 {
			row.Time = f.Visits[v].Time
		}
		out = append(out, row)
	}
	if out == nil {
		return nil, nil
	}
	contact, err := contactWith(tx, w.ID, f.Visits, loc)
	for i := range out {
		out[i].Contact = contact
	}
	return out, err
}

// takenBack is the outcome by which somebody undoes what they put down about a
// reason to call: nobody was spoken to.
const takenBack = "taken-back"

// contactWith returns the last contact of the practice with a wearer's family.
func contactWith(tx *store.Tx, w care.WearerID, visits []course.Visit, loc *time.Location) (*lastContact, error) {
	var last *lastContact
	for _, v := range visits {
		if v.State == "kept" && (last == nil || v.Date.After(last.On)) {
			last = &lastContact{On: v.Date, How: "visit", By: v.By}
		}
	}
	calls, err := tx.Chart().FollowUps(w)
	for _, d := range calls {
		if d.Outcome == takenBack {
			continue
		}
		if on := civil.DateOf(d.At.In(loc)); last == nil || on.After(last.On) {
			last = &lastContact{On: on, How: "call", Outcome: d.Outcome, By: record.Name(tx, d.By)}
		}
	}
	return last, err
}
