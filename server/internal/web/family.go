package web

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"

	"nightkeep/schedule"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

type joinRequest struct {
	Code       string `json:"code"`
	DeviceName string `json:"device_name"`
	Consent    string `json:"consent"` // version of the consent text the person agreed to
}

type joinReply struct {
	Device care.DeviceID `json:"device"`
	Person care.PersonID `json:"person"`
	Family care.FamilyID `json:"family"`
}

// join uses an invitation up. Tries are limited per address.
func (c *call) join() error {
	var req joinRequest
	if err := c.read(&req); err != nil {
		return err
	}
	if err := c.guess(); err != nil {
		return err
	}
	name := strings.TrimSpace(req.DeviceName)
	if name == "" || utf8.RuneCountInString(name) > 60 {
		return care.Refuse("bad-device-name", "device_name", "want a name for this device of 1 to 60 characters")
	}
	if req.Consent != consentVersion {
		return care.Refuse("bad-consent", "consent", "want the version of the consent text that the person agreed to, which is now %s", consentVersion)
	}
	token := access.NewToken()
	var reply joinReply
	err := c.update(func(tx *store.Tx) error {
		inv, err := tx.Redeem(access.ReadCode(req.Code))
		if err != nil {
			return err
		}
		p, err := tx.Person(inv.Person)
		if err != nil || p.Gone || p.Role.Staff() {
			return store.BadInvitation() // a link of the staff opens sessions, which end; a device's credential does not
		}
		if err := c.roomForDevice(tx, p.Family); err != nil {
			return err
		}
		d := care.Device{ID: care.DeviceID(access.NewID()), Family: p.Family, Person: p.ID, Name: name, Created: tx.Now, LastSeen: tx.Now}
		reply = joinReply{d.ID, p.ID, p.Family}
		if err := tx.AddDevice(d); err != nil {
			return err
		}
		if err := tx.Note(p.ID, "joined", string(d.ID)); err != nil {
			return err
		}
		if err := tx.PutConsent(store.Consent{Person: p.ID, Device: d.ID, Version: req.Consent, At: tx.Now}); err != nil {
			return err
		}
		return tx.AddCredential(token, store.Credential{Device: d.ID, Created: tx.Now})
	})
	if err != nil {
		return err
	}
	c.setCookie(familyCookie, token, c.srv.Now().AddDate(0, 0, 400))
	return c.reply(reply)
}

// maxDevices is how many devices of a family are in use at most.
const maxDevices = 30

// roomForDevice refuses a device beyond those a family may have, and a crowd of
// new ones in a day. The code stays good.
func (c *call) roomForDevice(tx *store.Tx, f care.FamilyID) error {
	devices, err := tx.Devices(f)
	if err != nil {
		return err
	}
	if n := len(slices.DeleteFunc(devices, func(d care.Device) bool { return d.Revoked })); n >= maxDevices {
		return care.Errorf(care.Conflict, "too-many-devices", "your family has %d devices in use; take one out of use first", n)
	}
	return c.moderately(c.srv.gates.joins, string(f))
}

// familyView is what a device may see of its own family, and keeps for use
// without a network.
type familyView struct {
	Now      time.Time     `json:"now"`
	Device   care.DeviceID `json:"device"`
	Heard    bool          `json:"heard"` // whether this device has ever synced: a phone without a log of it has lost one
	Person   personView    `json:"person"`
	Family   familyHead    `json:"family"`
	People   []personView  `json:"people"`
	Wearers  []wearerView  `json:"wearers"`
	Contacts care.Contacts `json:"contacts"`
	Vapid    string        `json:"vapid"`
	Consent  consent       `json:"consent"`
	// RuleSettings are the limits the practice has set for rules about the
	// record, which the phone evaluates too.
	RuleSettings map[string]int `json:"rule_settings"`
}

type familyHead struct {
	ID   care.FamilyID `json:"id"`
	Name string        `json:"name"`
	Zone string        `json:"zone"`
}

type personView struct {
	ID     care.PersonID `json:"id"`
	Name   string        `json:"name"`
	Role   care.Role     `json:"role"`
	Wearer care.WearerID `json:"wearer,omitempty"`
}

type wearerView struct {
	ID   care.WearerID  `json:"id"`
	Name string         `json:"name"`
	Plan *schedule.Plan `json:"plan"` // null until the practitioner has made one
	// Reminders is what the family chose; empty fields follow the plan.
	Reminders schedule.Choices `json:"reminders"`
	// Outlook is what the effect model expects; null when the refraction before
	// treatment is not known.
	Outlook *review.Outlook `json:"outlook"`
	// Visits still to come or missed, by date; no clinical findings.
	Recalls []schedule.Recall `json:"recalls"`
}

// consentVersion is the version of the consent text that the app shows on
// joining, CONSENT in pwa/app/views/join.js. Nobody joins without it.
const consentVersion = "1"

type consent struct {
	Version string `json:"version"`
}

func (c *call) family() error {
	var v familyView
	err := c.srv.DB.View(func(tx *store.Tx) error {
		var err error
		v, err = c.viewFamily(tx)
		return err
	})
	if err != nil {
		return err
	}
	// A browser keeps a cookie for at most 400 days: it is renewed on use, so
	// that a phone in use is never signed out.
	c.setCookie(familyCookie, c.cookie(familyCookie), c.srv.Now().AddDate(0, 0, 400))
	return c.reply(v)
}

func (c *call) viewFamily(tx *store.Tx) (familyView, error) {
	who := c.caller.Person
	id := who.Family
	f, err := tx.Family(id)
	if err != nil {
		return familyView{}, err
	}
	v := familyView{
		Now: tx.Now, Device: c.caller.Device.ID, Heard: heard(tx, id, c.caller.Device.ID, c.caller.Device.Schema), Person: personView{who.ID, who.Name, who.Role, who.Wearer},
		Family: familyHead{f.ID, f.Name, f.Zone}, People: []personView{}, Wearers: []wearerView{},
		Vapid: c.srv.Push.PublicKey(), Consent: consent{consentVersion},
	}
	practice, err := tx.Practice()
	if err != nil {
		return v, err
	}
	v.Contacts = practice.Contacts
	if err := tx.Setting("rule_settings", &v.RuleSettings); err != nil {
		return v, err
	}
	people, err := tx.People(id)
	if err != nil {
		return v, err
	}
	for _, p := range people {
		if !p.Gone {
			v.People = append(v.People, viewPerson(p))
		}
	}
	wearers, err := tx.Wearers(id)
	if err != nil {
		return v, err
	}
	slices.SortFunc(wearers, func(a, b care.Wearer) int { return strings.Compare(a.Code, b.Code) })
	for _, w := range wearers {
		wv, err := viewWearer(tx, w)
		if err != nil {
			return v, err
		}
		v.Wearers = append(v.Wearers, wv)
	}
	return v, nil
}

func viewPerson(p care.Person) personView { return personView{p.ID, p.Name, p.Role, p.Wearer} }

// sync takes a body that a newer app may have added fields to.
func (c *call) sync() error {
	req, err := intake.ReadRequest(c.Body())
	if err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-body", Text: "want {epoch, cursor, entries}: " + err.Error()}
	}
	req.Over = c.over
	reply, err := c.srv.Intake.Sync(c.caller, req)
	if err != nil {
		return err
	}
	if refused := firstRefusal(reply.Verdicts); refused != nil {
		c.Status(statusOf[care.Invalid])
		return c.reply(struct {
			intake.Reply
			errorBody
		}{reply, errorBody{errorDetail{refused.Code, refused.Message, refused.Field}}})
	}
	raw, err := reply.AppendJSON(nil)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderCacheControl, "no-store")
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(raw)
}

// firstRefusal returns the first verdict when every entry of a request was
// refused: then the request as a whole failed and says so in the common shape,
// with the verdicts beside it.
func firstRefusal(list []intake.Verdict) *intake.Verdict {
	for _, v := range list {
		if v.Verdict != "refused" {
			return nil
		}
	}
	if len(list) == 0 {
		return nil
	}
	return &list[0]
}

// recallsAhead is how many visits to come a family is shown.
const recallsAhead = 3

func viewWearer(tx *store.Tx, w care.Wearer) (wearerView, error) {
	v := wearerView{ID: w.ID, Name: w.Name, Reminders: w.Reminders, Recalls: []schedule.Recall{}}
	today, _, err := practiceToday(tx)
	if err != nil {
		return v, err
	}
	f, err := openFile(tx, w, today.AddDays(-400), today)
	if err != nil || f.plan() == nil {
		return v, err
	}
	v.Plan = &f.plan().Plan
	v.Outlook = review.OutlookOf(review.Input{Wearer: w, From: today.AddDays(-90), Today: today, Nights: f.nights, Plans: f.plans, Visits: f.visits})
	chased := review.OpenRecalls(f.recalls, f.visits, today)
	for _, r := range f.open() {
		past := r.State == "overdue" || r.State == "missed"
		if (!past || slices.Contains(chased, r)) && len(v.Recalls) < recallsAhead {
			v.Recalls = append(v.Recalls, r)
		}
	}
	return v, nil
}
