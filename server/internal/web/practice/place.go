package practice

import (
	"slices"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/phone"
	"nightkeep/server/internal/store"
)

// whereabouts is what a practice is asked first: where it is and which languages its
// families speak. Hours, nights, telephone numbers and what is printed depend
// on it, so nothing of that can be saved before.
type whereabouts struct {
	Zone      string   `json:"zone"`      // IANA
	Country   string   `json:"country"`   // ISO 3166-1, two letters
	Languages []string `json:"languages"` // BCP 47, the most spoken first
	Revision  string   `json:"revision"`  // as of [settings]
}

// savePlace stores the place and leaves every other setting as it is.
func (c *call) savePlace() error {
	var wanted whereabouts
	if err := c.Read(&wanted); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	var r settingsReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		s, err := storedSettings(tx)
		if err != nil {
			return err
		}
		if wanted.Revision != s.Revision {
			return errSettingsChanged
		}
		p := &s.Practice
		p.Zone, p.Country, p.Languages = strings.TrimSpace(wanted.Zone), strings.TrimSpace(wanted.Country), wanted.Languages
		p.Contacts.Zone, s.Rota.Zone = p.Zone, p.Zone
		var f faults
		f.whereabouts(*p)
		if err := f.join(); err != nil {
			return err
		}
		if err := s.store(tx, c.Caller.Person.ID); err != nil {
			return err
		}
		r, err = readSettings(c.Srv, tx)
		return err
	})
}

var errSettingsChanged = care.Errorf(care.Conflict, "settings-changed", "somebody else has saved the settings since you opened them; nothing of yours was saved")

// whereabouts checks zone, country and languages.
func (f *faults) whereabouts(p care.Practice) {
	f.zone("practice.zone", p.Zone)
	if p.Country == "" {
		f.add("practice.country", "choose the country")
	} else if !phone.Known(p.Country) {
		f.add("practice.country", "choose the country: two capital letters of ISO 3166-1, such as GB")
	}
	if len(p.Languages) == 0 {
		f.add("practice.languages", "want at least one of %s", strings.Join(care.Languages(), ", "))
	}
	for i, l := range p.Languages {
		if !slices.Contains(care.Languages(), l) || slices.Index(p.Languages, l) != i {
			f.add("practice.languages", "%q: want each of %s once at most", l, strings.Join(care.Languages(), ", "))
		}
	}
}
