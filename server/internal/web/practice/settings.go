package practice

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/phone"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// Usual is what a new practice starts from: a name to be changed. It has no zone
// and no telephone number, since a wrong one is worse than none.
func Usual() care.Practice {
	return care.Practice{Name: ready.UsualName, Contacts: care.Contacts{Clinic: ready.UsualName}}
}

// settings is everything a practice decides for itself.
type settings struct {
	Practice     care.Practice   `json:"practice"`
	Rota         escalate.Rota   `json:"rota"`
	Policy       escalate.Policy `json:"policy"`
	RuleSettings map[string]int  `json:"rule_settings"` // a limit that is absent has its default
	// Revision names what these settings were read as. A save that names
	// another than the stored one is answered with a conflict, so that nobody
	// overwrites what they have not seen.
	Revision string `json:"revision"`
}

type settingsRequest struct {
	settings
	Sure bool `json:"sure,omitempty"` // what is unlikely was asked about
}

type settingsReply struct {
	settings
	Gaps   []escalate.Gap   `json:"gaps"`    // over the next 28 days, from today on
	Limits []alerts.Setting `json:"limits"`  // of the rules, with their bounds and why
	NotSet []ready.NotSet   `json:"not_set"` // what somebody ought to see to, the gravest first
	Setup  []Step           `json:"setup"`   // the same as the steps of setting up, in the order they are taken
	// Countries are the codes that a practice can name as its own.
	Countries []string `json:"countries"`
	OwnerTest reach    `json:"owner_test"` // of the owner's mail
}

func (c *call) settings() error {
	var r settingsReply
	return c.ReplyView(&r, func(tx *store.Tx) (err error) {
		r, err = readSettings(c.Srv, tx)
		return err
	})
}

func readSettings(s *transport.Server, tx *store.Tx) (r settingsReply, err error) {
	if r.settings, err = storedSettings(tx); err != nil {
		return r, err
	}
	own, err := ready.Read(tx)
	if err != nil {
		return r, err
	}
	r.Gaps = list(own.Gaps)
	r.Limits = alerts.Default().Settings
	r.Countries = phone.Countries()
	trials, err := ready.ReadTrials(tx)
	if err != nil {
		return r, err
	}
	r.OwnerTest = reached(trials, care.Person{ID: ready.Owner, Mail: own.Practice.OwnerMail})
	r.NotSet, err = ready.Find(s, tx, own)
	r.Setup = setup(r.NotSet)
	return r, err
}

func storedSettings(tx *store.Tx) (s settings, err error) {
	s = settings{Policy: escalate.DefaultPolicy(), RuleSettings: map[string]int{}}
	for _, part := range s.parts() {
		if err := tx.Register().Setting(part.name, part.value); err != nil {
			return s, err
		}
	}
	s = s.tidy()
	s.Revision, err = s.revision()
	return s, err
}

// revision is a digest of every part, whoever wrote it.
func (s *settings) revision() (string, error) {
	h := sha256.New()
	for _, part := range s.parts() {
		raw, err := json.Marshal(part.value)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%d %s", len(raw), raw)
	}
	return hex.EncodeToString(h.Sum(nil)[:8]), nil
}

// part is one of the named values settings are stored under.
type part struct {
	name  string
	value any // a pointer into settings
}

func (s *settings) parts() []part {
	return []part{{"practice", &s.Practice}, {"rota", &s.Rota}, {"policy", &s.Policy}, {"rule_settings", &s.RuleSettings}}
}

// tidy puts what has no order into one, and gives every list a JSON array.
func (s settings) tidy() settings {
	p, c := &s.Practice, &s.Practice.Contacts
	for _, text := range []*string{&p.Name, &p.Country, &p.OwnerMail, &c.Clinic, &c.Phone, &c.AfterHours, &c.Emergency, &c.Place.Name, &c.Place.Address, &c.Place.Hours} {
		*text = record.Composed(*text)
	}
	c.Closed = list(slices.Compact(slices.SortedFunc(slices.Values(c.Closed), civil.Date.Compare)))
	c.Hours = list(slices.SortedFunc(slices.Values(c.Hours), func(a, b care.Hours) int {
		return (a.Weekday-b.Weekday)*24*60 + int(a.From-b.From)
	}))
	p.Languages = list(p.Languages)
	s.Rota.Slots, s.Rota.Off, s.Rota.Swaps = list(s.Rota.Slots), list(s.Rota.Off), list(s.Rota.Swaps)
	s.Rota.Dates = list(slices.SortedFunc(slices.Values(s.Rota.Dates), func(a, b escalate.Duty) int { return cmp.Or(a.Date.Compare(b.Date), int(a.From-b.From)) }))
	s.Rota.Holidays = list(slices.Compact(slices.SortedFunc(slices.Values(s.Rota.Holidays), civil.Date.Compare)))
	if s.RuleSettings == nil {
		s.RuleSettings = map[string]int{}
	}
	return s
}

// list is s, and an empty list rather than none.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func (c *call) saveSettings() error {
	var req settingsRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	wanted := req.tidy()
	var r settingsReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		before, err := storedSettings(tx)
		if err != nil {
			return err
		}
		if wanted.Revision != before.Revision {
			return errSettingsChanged
		}
		if err := wanted.check(tx); err != nil {
			return err
		}
		if err := askUnclinical(tx, before.Rota, wanted.Rota, req.Sure); err != nil {
			return err
		}
		if err := wanted.store(tx, c.Caller.Person.ID); err != nil {
			return err
		}
		if was := before.Practice.OwnerMail; !strings.EqualFold(was, wanted.Practice.OwnerMail) {
			if err := dispatch.MailChanged(tx, escalate.PracticeOwner, was, register.StaffChange{ID: access.NewID()}); err != nil {
				return err
			}
		}
		r, err = readSettings(c.Srv, tx)
		return err
	})
}

// store stores the parts that changed and writes down which they were.
func (s *settings) store(tx *store.Tx, by care.PersonID) error {
	before, err := storedSettings(tx)
	if err != nil {
		return err
	}
	var changed []string
	old := before.parts()
	for i, part := range s.parts() {
		same, err := sameJSON(old[i].value, part.value)
		if err != nil {
			return err
		}
		if same {
			continue
		}
		changed = append(changed, part.name)
		if err := tx.Register().SetSetting(part.name, part.value); err != nil {
			return err
		}
	}
	if len(changed) == 0 {
		return nil
	}
	return tx.Audit().Append(by, "changed settings", strings.Join(changed, " "))
}

func sameJSON(a, b any) (bool, error) {
	rawA, err := json.Marshal(a)
	if err != nil {
		return false, err
	}
	rawB, err := json.Marshal(b)
	return string(rawA) == string(rawB), err
}
