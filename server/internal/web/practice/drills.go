package practice

import (
	"encoding/json"
	"strings"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// drillList is every drill the practice has had.
type drillList struct {
	Drills []drill `json:"drills"` // the newest first, 24 at most
	Why    string  `json:"why"`    // why none can be started now; empty: one can
	Phones int     `json:"phones"` // devices of the drill family that take notifications
}

// drill is one test alert, and how far it came.
type drill struct {
	ID      care.AlertID `json:"id"`
	Began   time.Time    `json:"began"`
	By      string       `json:"by"` // who started it; empty: the program
	State   string       `json:"state" enum:"running,answered,unanswered"`
	Sent    *time.Time   `json:"sent,omitempty"`  // a push service or mail server took the first message
	Shown   *time.Time   `json:"shown,omitempty"` // a device of the practice showed it
	Desk    string       `json:"desk,omitempty"`  // who of the desk tapped
	TakenBy string       `json:"taken_by,omitempty"`
	Ended   *time.Time   `json:"ended,omitempty"` // taken, or given up
	// Family is how far the word to the family's phones came.
	Family string `json:"family" enum:"waits,none,failed,sent,shown"`
}

// drillsShown is how many are listed; two years of monthly ones.
const drillsShown = 24

func (c *call) drills() error {
	var out drillList
	return c.ReplyView(&out, func(tx *store.Tx) error { return out.read(tx) })
}

func (l *drillList) read(tx *store.Tx) error {
	l.Drills = []drill{}
	all, err := intake.Drills(tx)
	if err != nil {
		return err
	}
	for _, a := range all[:min(len(all), drillsShown)] {
		l.Drills = append(l.Drills, drillOf(&a))
	}
	if err := intake.MayDrill(tx); err != nil {
		if care.KindOf(err) != care.Conflict {
			return err
		}
		l.Why = care.TextOf(err)
	}
	phones, err := tx.Access().Reachable(care.DrillFamily)
	l.Phones = len(phones)
	return err
}

func drillOf(a *escalate.Alert) drill {
	d := drill{ID: a.ID, Began: a.Opened, State: "running", Sent: some(a.First(escalate.Sent)), Shown: some(a.First(escalate.Shown)),
		Desk: a.DeskName, TakenBy: a.ClosedName, Ended: some(a.ClosedAt), Family: "waits"}
	switch a.Outcome {
	case escalate.DrillAnswered:
		d.State = "answered"
	case escalate.DrillUnanswered:
		d.State = "unanswered"
	}
	for _, e := range a.History {
		switch {
		case e.Kind == escalate.Comment && d.By == "":
			d.By = e.Name
		case e.Kind == escalate.FamilyShown:
			d.Family = "shown"
		case e.Kind == escalate.FamilyTold && d.Family != "shown":
			d.Family = familyTold(e.Text)
		}
	}
	return d
}

// familyTold reads what became of a message to the family's phones.
func familyTold(text string) string {
	switch {
	case strings.Contains(text, "handed over"):
		return "sent"
	case strings.Contains(text, "no device with notifications"):
		return "none"
	}
	return "failed"
}

func some(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// startDrill starts a drill and answers with the list as it then is.
func (c *call) startDrill() error {
	who := c.Caller.Person.Named()
	var report json.RawMessage
	err := c.Update(func(tx *store.Tx) (err error) { report, err = intake.PrepareDrill(tx, who); return err })
	if err != nil {
		return err
	}
	if err := c.Srv.Intake.Drill(report, who); err != nil {
		return err
	}
	return c.drills()
}

// drillPhone makes a code by which a phone of the practice joins the drill family.
func (c *call) drillPhone() error {
	code := access.NewCode()
	var out record.Invitation
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		if err := intake.DrillHousehold(tx); err != nil {
			return err
		}
		inv := register.Invitation{ID: access.NewID(), Person: care.DrillPerson, By: c.Caller.Person.ID, Created: tx.Now, Expires: tx.Now.Add(access.InvitationLife)}
		if err := tx.Access().Invite(code, inv); err != nil {
			return err
		}
		out = record.Invited(c.Srv.BaseURL, code, inv)
		return tx.Audit().Append(c.Caller.Person.ID, "invited", string(care.DrillPerson))
	})
}
