package practice

import (
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// oldPhones are the devices of families whose app advises by an older table of
// rules than this program has.
type oldPhones struct {
	Version int        `json:"version"` // of the table here
	Pressed int        `json:"pressed"` // from this version on advice is not old; 0: nothing was pressed
	Phones  []oldPhone `json:"phones"`
}

type oldPhone struct {
	Family   care.FamilyID `json:"family"`
	Name     string        `json:"name"` // of the family
	Person   string        `json:"person"`
	Device   string        `json:"device"`
	Rules    int           `json:"rules"` // 0: it never said
	LastSeen time.Time     `json:"last_seen"`
}

func (c *call) oldPhones() error {
	var out oldPhones
	return c.ReplyView(&out, func(tx *store.Tx) error { return out.read(tx) })
}

func (o *oldPhones) read(tx *store.Tx) error {
	o.Version, o.Phones = alerts.Default().Version, []oldPhone{}
	if err := tx.Register().Setting(record.LeastRules, &o.Pressed); err != nil {
		return err
	}
	families, err := tx.Register().Families()
	if err != nil {
		return err
	}
	for _, f := range families {
		if f.ID == care.DrillFamily {
			continue
		}
		devices, err := tx.Register().Devices(f.ID)
		if err != nil {
			return err
		}
		for _, d := range devices {
			if d.Revoked || d.Rules >= o.Version || d.Family == "" {
				continue
			}
			o.Phones = append(o.Phones, oldPhone{f.ID, f.Name, record.Name(tx, d.Person), d.Name, d.Rules, d.LastSeen})
		}
	}
	return nil
}

// pressRules makes apps with an older table say that their advice is old and to
// phone, because a clinician judges that the correction cannot wait.
func (c *call) pressRules() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	var out oldPhones
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		if err := tx.Register().SetSetting(record.LeastRules, alerts.Default().Version); err != nil {
			return err
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "pressed rules", ""); err != nil {
			return err
		}
		return out.read(tx)
	})
}
