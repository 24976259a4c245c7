package family

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"nightkeep/schedule"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

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
	// Speaks is the language the practice speaks most, BCP 47: what it wrote itself,
	// such as the place to go to, is in it. Left out while none is set.
	Speaks  string  `json:"speaks,omitempty"`
	Vapid   string  `json:"vapid"`
	Consent consent `json:"consent"`
	// RuleSettings are the limits the practice has set for rules about the
	// record, which the phone evaluates too.
	RuleSettings map[string]int `json:"rule_settings"`
	// LeastRules is the version of the rule table from which advice is not old;
	// an app with an older one says so, and to phone.
	LeastRules int `json:"least_rules,omitempty"`
	// MayInvite says that this person may invite another parent.
	MayInvite bool `json:"may_invite"`
	// News is who else has begun to read the log in the last four weeks.
	News []newsView `json:"news"`
	// MayPrivate says that this person may write to the clinicians alone.
	MayPrivate bool `json:"may_private"`
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
	Mute   []string      `json:"mute,omitempty"` // ids of the reminders this person leaves to the others
}

type wearerView struct {
	ID   care.WearerID  `json:"id"`
	Name string         `json:"name"`
	Plan *schedule.Plan `json:"plan"` // null until the practitioner has made one
	// EndedBy is who wrote the end of wear that the plan names; empty: nobody did, or only the log has it.
	EndedBy string `json:"ended_by,omitempty"`
	// Reminders is what the family chose; empty fields follow the plan.
	Reminders schedule.Choices `json:"reminders"`
	// Outlook is what the effect model expects; null when the refraction before
	// treatment is not known.
	Outlook *review.Outlook `json:"outlook"`
	// Visits still to come or missed, by date; no clinical findings.
	Recalls []recallView `json:"recalls"`
}

// recallView is a visit of the plan with the hour at which it is booked.
type recallView struct {
	schedule.Recall
	Time string `json:"time,omitempty"` // HH:MM; empty while no hour was set
}

// consent is the version of the text that is in force, and how the caller's own
// consent stands.
type consent struct {
	Version string `json:"version"`
	record.ConsentOf
}

// newsView is something about who reads the log, for the family.
type newsView struct {
	Kind   string        `json:"kind" enum:"device,withdrawn,agreed"`
	Person care.PersonID `json:"person"`
	Device string        `json:"device"` // its name
	ID     care.DeviceID `json:"id"`
	At     time.Time     `json:"at"`
}

// viewNews returns what is new to a device: what came after it.
func viewNews(tx *store.Tx, f care.FamilyID, to care.DeviceID) ([]newsView, error) {
	out := []newsView{}
	mine, err := tx.Register().Device(to)
	if err != nil {
		return out, err
	}
	all, err := tx.Access().FamilyNews(f)
	for _, n := range all {
		d, err := tx.Register().Device(n.Device)
		if err != nil || d.Revoked || n.Device == to || n.At.Before(mine.Created) {
			continue
		}
		out = append(out, newsView{n.Kind, n.Person, d.Name, n.Device, n.At})
	}
	return out, err
}

func (c *call) family() error {
	var v familyView
	var has care.Device
	err := c.View(func(tx *store.Tx) (err error) {
		if v, err = c.viewFamily(tx); err != nil {
			return err
		}
		has, err = tx.Register().Device(c.Caller.Device.ID)
		return err
	})
	if err != nil {
		return err
	}
	if err := c.noteApp(has); err != nil {
		return err
	}
	// A browser keeps a cookie for at most 400 days: it is renewed on use, so
	// that a phone in use is never signed out.
	c.SetToken(transport.FamilyCookie, c.HeldToken(transport.FamilyCookie), c.Srv.Now().AddDate(0, 0, 400))
	return c.Reply(v)
}

// noteApp stores which rules the app on a device has and which language it is in,
// when it says others than before. An app of before the question says none.
func (c *call) noteApp(d care.Device) error {
	rules, lang := d.Rules, d.Lang
	if version, err := strconv.Atoi(c.Query("rules")); err == nil && version >= 1 && version <= maxRules {
		rules = version
	}
	said := c.Query("lang")
	if care.IsLanguage(said) {
		lang = strings.Clone(said) // the request's memory is used again
	}
	if rules == d.Rules && lang == d.Lang {
		return nil
	}
	return c.Update(func(tx *store.Tx) error {
		return tx.Register().ChangeDevice(d.ID, func(d *care.Device) { d.Rules, d.Lang = rules, lang })
	})
}

// maxRules is a version that no table will have.
const maxRules = 1 << 20

func (c *call) viewFamily(tx *store.Tx) (familyView, error) {
	who := c.Caller.Person
	id := who.Family
	f, err := tx.Register().Family(id)
	if err != nil {
		return familyView{}, err
	}
	v := familyView{
		Now: tx.Now, Device: c.Caller.Device.ID, Heard: heard(tx, id, c.Caller.Device.ID, c.Caller.Device.Schema), Person: personView{ID: who.ID, Name: who.Name, Role: who.Role, Wearer: who.Wearer},
		Family: familyHead{f.ID, f.Name, f.Zone}, People: []personView{}, Wearers: []wearerView{},
		Vapid: c.Srv.Push.PublicKey(),
	}
	if v.Consent, err = consentOf(tx, who.ID); err != nil {
		return v, err
	}
	if v.News, err = viewNews(tx, id, c.Caller.Device.ID); err != nil {
		return v, err
	}
	practice, err := tx.Register().Practice()
	if err != nil {
		return v, err
	}
	v.Contacts = practice.Contacts
	if len(practice.Languages) > 0 {
		v.Speaks = practice.Languages[0]
	}
	v.MayInvite = practice.ParentsInvite && who.Role == care.Parent
	if v.MayPrivate, err = mayPrivate(tx, who.ID); err != nil {
		return v, err
	}
	if err := tx.Register().Setting("rule_settings", &v.RuleSettings); err != nil {
		return v, err
	}
	if err := tx.Register().Setting(record.LeastRules, &v.LeastRules); err != nil {
		return v, err
	}
	return v, v.members(tx)
}

// members adds the people of the family, and its wearers in the order of their codes.
func (v *familyView) members(tx *store.Tx) error {
	people, err := tx.Register().People(v.Family.ID)
	if err != nil {
		return err
	}
	for _, p := range people {
		if !p.Gone {
			v.People = append(v.People, viewPerson(p))
		}
	}
	wearers, err := tx.Register().Wearers(v.Family.ID)
	if err != nil {
		return err
	}
	slices.SortFunc(wearers, func(a, b care.Wearer) int { return strings.Compare(a.Code, b.Code) })
	for _, w := range wearers {
		wv, err := viewWearer(tx, w)
		if err != nil {
			return err
		}
		v.Wearers = append(v.Wearers, wv)
	}
	return nil
}

func viewPerson(p care.Person) personView { return personView{p.ID, p.Name, p.Role, p.Wearer, p.Mute} }

// recallsAhead is how many visits a family is shown; one that is booked is never
// left out.
const recallsAhead = 3

// endedBy returns who wrote the end of wear into the plan in force; "" when it names none.
func endedBy(tx *store.Tx, w care.WearerID) (who string, err error) {
	docs, err := record.PlanDocs(tx, w)
	for _, d := range slices.Backward(docs) {
		if d.Stopped.IsZero() {
			break
		}
		who = d.ChangedBy // a later version that keeps the end did not write it
	}
	return who, err
}

func viewWearer(tx *store.Tx, w care.Wearer) (wearerView, error) {
	v := wearerView{ID: w.ID, Name: w.Name, Reminders: w.Reminders, Recalls: []recallView{}}
	today, _, err := record.Today(tx)
	if err != nil {
		return v, err
	}
	var f record.File
	err = tx.Try(func() (err error) { f, err = record.OpenFile(tx, w, today.AddDays(-400), today); return err })
	lost := store.Faulted(err)
	if lost { // without the plan there is no answer: a phone would take none for "no plan yet"
		f, err = record.OnlyPlans(tx, w)
	}
	if err != nil || f.Plan() == nil {
		return v, err
	}
	plan := f.Plan().Plan
	plan.Own = w.Reminders.Over(plan).Own
	v.Plan = &plan
	if v.EndedBy, err = endedBy(tx, w.ID); err != nil {
		return v, err
	}
	if lost { // what visits and nights say cannot be told
		return v, nil
	}
	v.Outlook = review.OutlookOf(review.Input{Wearer: w, From: today.AddDays(-90), Today: today, Nights: f.Nights, Plans: f.Plans, Visits: f.Visits,
		Wear: tx.Log().WearFacts(w.ID)})
	for _, r := range f.Open() {
		if len(v.Recalls) < recallsAhead || r.State == "booked" {
			out := recallView{Recall: r}
			if i := slices.IndexFunc(f.Visits, func(x course.Visit) bool { return x.ID == r.Visit }); i >= 0 && r.State == "booked" {
				out.Time = f.Visits[i].Time
			}
			v.Recalls = append(v.Recalls, out)
		}
	}
	return v, nil
}
