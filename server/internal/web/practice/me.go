package practice

import (
	"cmp"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

type clinicMe struct {
	Person   staffView         `json:"person"`
	Practice practiceHead      `json:"practice"`
	Today    civil.Date        `json:"today"`
	Now      time.Time         `json:"now"`
	VapidKey string            `json:"vapid_key"`
	Push     bool              `json:"push"`
	OnDuty   []dutyNow         `json:"on_duty"`
	Staff    []onRota          `json:"staff"`
	Outcomes []episode.Outcome `json:"outcomes"`
	// Language is the one chosen for the console, empty for the browser's.
	Language string `json:"language"`
	// StaffChanges are those by which somebody may come to read wearers: what
	// waits for a second person, and what came to hold in the last week.
	StaffChanges []staffChange `json:"staff_changes"`
	// FamilyNews is who else reads a family's log since a week ago, and whose consent
	// ended; empty for an administrator, who sees no family.
	FamilyNews []familyNews `json:"family_news"`
}

type staffView struct {
	ID   care.PersonID `json:"id"`
	Name string        `json:"name"`
	Role care.Role     `json:"role"`
}

// onRota is somebody who may be on duty, with the number to phone; the paper for a
// server that is down has it.
type onRota struct {
	staffView
	Phone string `json:"phone"`
}

type practiceHead struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
	Zone  string `json:"zone"` // UTC until the practice has set one
	// Languages and Country are as of [care.Practice]; empty until they are set.
	Languages []string `json:"languages"`
	Country   string   `json:"country"`
}

func (c *call) clinicMe() error {
	var me clinicMe
	return c.ReplyView(&me, func(tx *store.Tx) error {
		p, err := tx.Register().Practice()
		if err != nil {
			return err
		}
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		_, noPush := tx.Access().Subscription(c.Caller.Device.ID)
		who := c.Caller.Person
		own, err := tx.Register().Person(who.ID)
		if err != nil {
			return err
		}
		me = clinicMe{
			Person: staffView{who.ID, who.Name, who.Role}, Practice: practiceHead{p.Name, p.Contacts.Phone, cmp.Or(p.Zone, "UTC"), list(p.Languages), p.Country},
			Today: today, Now: tx.Now, VapidKey: c.Srv.Push.PublicKey(), Push: noPush == nil,
			OnDuty: onDuty(tx), Staff: []onRota{}, Outcomes: episode.Outcomes(), Language: own.Language,
		}
		if me.StaffChanges, err = staffChanges(tx, who.ID); err != nil {
			return err
		}
		if me.FamilyNews, err = newsOfFamilies(tx, who.Role); err != nil {
			return err
		}
		may, err := ready.OnRota(tx)
		if err != nil {
			return err
		}
		staff, err := tx.Register().Staff()
		for _, s := range staff {
			if may[s.ID] {
				me.Staff = append(me.Staff, onRota{staffView{s.ID, s.Name, s.Role}, s.Phone})
			}
		}
		return err
	})
}

// dutyNow is somebody on duty, and the number to phone.
type dutyNow struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
}

// onDuty returns those on duty now.
func onDuty(tx *store.Tx) []dutyNow {
	out := []dutyNow{}
	r, err := dispatch.Rules(tx)
	if err != nil {
		return out
	}
	on, _ := escalate.OnDuty(r.Rota, tx.Now)
	if p, err := tx.Register().Person(on); err == nil && on != "" && !p.Gone {
		out = append(out, dutyNow{p.Name, p.Phone})
	}
	return out
}

// ownLanguage is the language a member of staff wants the console in.
type ownLanguage struct {
	// Language is a tag of the list of languages, or empty for the browser's.
	Language string `json:"language"`
}

func (c *call) setLanguage() error {
	var req ownLanguage
	if err := c.Read(&req); err != nil {
		return err
	}
	if req.Language != "" && !slices.Contains(care.Languages(), req.Language) {
		return care.Refuse("bad-language", "language", "want one of %v, or nothing for the browser's", care.Languages())
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		return tx.Register().ChangePerson(c.Caller.Person.ID, func(p *care.Person) { p.Language = req.Language })
	})
}
