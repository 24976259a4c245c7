package practice

import (
	"slices"
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// staffChange is how everybody of the practice is shown that somebody may come to
// read wearers, or has in the last week.
type staffChange struct {
	ID   string    `json:"id"`
	Kind string    `json:"kind" enum:"added,linked,role,passkey,mail"`
	Name string    `json:"name"`
	Role care.Role `json:"role"`
	By   string    `json:"by"` // a name; empty for the command line of the server
	At   time.Time `json:"at"`
	From time.Time `json:"from"`
	// Waits says that it does not hold yet, May that the caller can confirm it.
	Waits bool `json:"waits"`
	May   bool `json:"may"`
}

// staffChanges returns what waits and what is new, the oldest first.
func staffChanges(tx *store.Tx, me care.PersonID) ([]staffChange, error) {
	out := []staffChange{}
	all, err := tx.Register().StaffChanges()
	for _, x := range all {
		p, err := tx.Register().Person(x.Person)
		if err != nil || p.Gone {
			continue
		}
		by := ""
		if x.By != "" {
			by = record.Name(tx, x.By)
		}
		role := x.Role
		if role == "" {
			role = p.Role
		}
		waits := x.Waits(tx.Now)
		out = append(out, staffChange{x.ID, x.Kind, p.Name, role, by, x.At, x.From, waits, waits && me != x.By && me != x.Person})
	}
	return out, err
}

// confirmStaff is the second person's word that a change is meant.
func (c *call) confirmStaff() error {
	return c.decideStaff("confirmed staff change", func(tx *store.Tx, id string) (register.StaffChange, error) {
		x, err := tx.Access().ConfirmStaffChange(id, c.Caller.Person.ID)
		if err != nil {
			return x, err
		}
		return x, dispatch.RoleGiven(tx, x)
	})
}

// refuseStaff takes back what waits.
func (c *call) refuseStaff() error {
	return c.decideStaff("refused staff change", func(tx *store.Tx, id string) (register.StaffChange, error) {
		return tx.Access().RefuseStaffChange(id)
	})
}

func (c *call) decideStaff(did string, decide func(*store.Tx, string) (register.StaffChange, error)) error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		x, err := decide(tx, c.Params("id"))
		if err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, did, string(x.Person))
	})
}

// NoteAtOnce notes a change of the command line, which holds at once and of which
// everybody is told all the same. A link that waited for the same person gives way.
func NoteAtOnce(tx *store.Tx, kind string, p care.Person) error {
	return dispatch.NoteStaffChange(tx, register.StaffChange{ID: access.NewID(), Kind: kind, Person: p.ID, Role: p.Role, At: tx.Now, From: tx.Now})
}

// familyNews is something about who reads a family's log.
type familyNews struct {
	ID     string        `json:"id"`
	Kind   string        `json:"kind" enum:"device,withdrawn,agreed"`
	Family care.FamilyID `json:"family"`
	Name   string        `json:"name"`   // of the family
	Person string        `json:"person"` // a name
	Device string        `json:"device"` // a name
	At     time.Time     `json:"at"`
}

// newsShown is how long the console shows news of families (our choice).
const newsShown = 7 * 24 * time.Hour

// newsOfFamilies returns what a role may know of it, the newest first.
func newsOfFamilies(tx *store.Tx, role care.Role) ([]familyNews, error) {
	out := []familyNews{}
	if !access.Allowed(access.ClinicDesk, role) {
		return out, nil
	}
	all, err := tx.Access().FamilyNews("")
	for _, n := range slices.Backward(all) {
		f, err := tx.Register().Family(n.Family)
		if err != nil || n.Family == care.DrillFamily || tx.Now.Sub(n.At) > newsShown {
			continue
		}
		d, err := tx.Register().Device(n.Device)
		if err != nil {
			continue
		}
		out = append(out, familyNews{string(n.Device) + n.Kind, n.Kind, n.Family, f.Name, record.Name(tx, n.Person), d.Name, n.At})
	}
	return out, err
}
