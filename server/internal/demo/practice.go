package demo

import (
	"fmt"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// Seat is a device of the demo and the bearer token that signs it in.
type Seat struct {
	Token  string
	Device care.DeviceID
}

// Seats are those of the people a visitor can be: parent, teen, clinician, desk
// and administrator.
type Seats map[string]Seat

// room is where the computer of a role stands.
func room(r care.Role) string {
	return map[care.Role]string{care.Clinician: "Consulting room", care.Desk: "Front desk", care.Administrator: "Office"}[r]
}

// formerFamily came once, long ago, and never began; its time of keeping is
// over.
type formerFamily struct {
	ID       care.FamilyID `json:"id"`
	Name     string        `json:"name"`
	Parent   string        `json:"parent"`
	YearsAgo int           `json:"years_ago"`
}

func (p *Player) seedPractice() error {
	p.Clock.Set(p.now.AddDate(-3, 0, 0))
	return p.DB.Update(func(tx *store.Tx) error {
		if err := tx.Register().PutPractice(p.scenario.Practice); err != nil {
			return err
		}
		if err := p.scenario.Rota.Check(); err != nil {
			return err
		}
		if err := p.scenario.Keep.Check(); err != nil {
			return err
		}
		if err := tx.Register().SetSetting("rota", p.scenario.Rota); err != nil {
			return err
		}
		if err := tx.Register().SetSetting("retention", p.scenario.Keep); err != nil {
			return err
		}
		for _, s := range p.scenario.Staff {
			if err := p.seatStaff(tx, s); err != nil {
				return err
			}
		}
		return p.putFormer(tx)
	})
}

// seatStaff makes a member of staff, and the first of each role a computer.
func (p *Player) seatStaff(tx *store.Tx, s care.Person) error {
	if err := tx.Register().AddPerson(s); err != nil {
		return err
	}
	if _, taken := p.seats[string(s.Role)]; taken {
		return nil
	}
	d := care.Device{ID: care.DeviceID(s.ID) + "-computer", Person: s.ID, Name: room(s.Role), Created: tx.Now, LastSeen: tx.Now}
	seat := Seat{access.NewToken(), d.ID}
	p.seats[string(s.Role)] = seat
	if err := tx.Register().AddDevice(d); err != nil {
		return err
	}
	return tx.Access().AddCredential(seat.Token, register.Credential{Device: d.ID, Created: tx.Now, Seen: tx.Now})
}

func (p *Player) putFormer(tx *store.Tx) error {
	f := p.scenario.Former
	if err := tx.Register().AddFamily(care.Family{ID: f.ID, Name: f.Name, Zone: p.scenario.Practice.Zone, Created: p.now.AddDate(-f.YearsAgo, 0, 0)}); err != nil {
		return err
	}
	return tx.Register().AddPerson(care.Person{ID: care.PersonID(access.NewID()), Family: f.ID, Name: f.Parent, Role: care.Parent})
}

// as returns a browser in which the member of staff of a role is signed in.
func (p *Player) as(role care.Role) (*phone, error) {
	c, err := newPhone(p.Base)
	if err != nil {
		return nil, err
	}
	return c, c.signIn(p.seats[string(role)].Token)
}

// calls are those the desk made to a wearer's family, each at ten in the
// morning.
func (p *Player) calls(w *Wearer) []act {
	var out []act
	today := civil.DateOf(p.now.In(mustZone(w.Zone)))
	for _, c := range w.Calls {
		day := today.AddDays(-c.DaysAgo)
		out = append(out, act{at: civil.At(day, civil.MustClock("10:00"), mustZone(w.Zone)), clinic: func() error {
			desk, err := p.as(care.Desk)
			if err != nil {
				return err
			}
			return desk.call("POST", "/api/clinic/follow-ups", map[string]any{
				"wearer": p.wearers[w.Code], "rule": c.Rule, "outcome": c.Outcome, "note": c.Note, "until": day.AddDays(c.Again),
			}, nil)
		}})
	}
	return out
}

// openInvitations invites who has no device yet, as the desk did the day
// before. Nobody sees the codes; a new one is made at the console.
func (p *Player) openInvitations() error {
	p.Clock.Set(p.now.AddDate(0, 0, -1))
	desk, err := p.as(care.Desk)
	if err != nil {
		return err
	}
	for _, w := range p.scenario.Wearers {
		for _, name := range w.Invited {
			family := care.FamilyID("family-" + w.Family)
			person := care.Person{ID: care.PersonID(access.NewID()), Family: family, Name: name, Role: care.Parent}
			if err := p.DB.Update(func(tx *store.Tx) error { return tx.Register().AddPerson(person) }); err != nil {
				return err
			}
			if err := desk.call("POST", fmt.Sprintf("/api/clinic/families/%s/invitations", family), map[string]any{"person": person.ID}, nil); err != nil {
				return err
			}
		}
	}
	return nil
}
