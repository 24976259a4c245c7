package practice

import (
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// breach is one breach of personal data: the facts, what it may bring about, and
// what was done, after the General Data Protection Regulation, article 33(3) and (5).
// Nothing of it is ever taken out: what is learnt later is a line more.
type breach struct {
	ID string `json:"id"`
	breachFacts
	By    string       `json:"by"` // a name, as it was then
	At    time.Time    `json:"at"`
	Lines []breachLine `json:"lines"`
}

type breachFacts struct {
	Found    string `json:"found"`    // when the practice became aware of it: a date, YYYY-MM-DD, and a time where known
	What     string `json:"what"`     // what happened
	Whose    string `json:"whose"`    // categories and about how many people and records; no names
	Effects  string `json:"effects"`  // likely consequences
	Measures string `json:"measures"` // taken or proposed
	Told     string `json:"told"`     // authority and people told, when; or why not
}

type breachLine struct {
	Text string    `json:"text"`
	By   string    `json:"by"`
	At   time.Time `json:"at"`
}

type breachText struct {
	Text string `json:"text"`
}

type breachList struct {
	Breaches []breach `json:"breaches"` // the newest first
}

const (
	breachesSetting = "breaches"
	maxBreachText   = 2000
)

func readBreaches(tx *store.Tx) (out breachList, err error) {
	out.Breaches = []breach{}
	return out, tx.Register().Setting(breachesSetting, &out.Breaches)
}

func (c *call) breaches() error {
	var out breachList
	return c.ReplyView(&out, func(tx *store.Tx) (err error) { out, err = readBreaches(tx); return err })
}

// wanted trims a text and refuses one that is empty or too long.
func wanted(field string, text *string) error {
	if *text = strings.TrimSpace(*text); *text == "" || utf8.RuneCountInString(*text) > maxBreachText {
		return care.Refuse("bad-field", field, "want 1 to %d characters; \"not known yet\" will do, and a line later", maxBreachText)
	}
	return nil
}

func (c *call) addBreach() error {
	var req breachFacts
	if err := c.Read(&req); err != nil {
		return err
	}
	for _, f := range []struct {
		field string
		text  *string
	}{{"found", &req.Found}, {"what", &req.What}, {"whose", &req.Whose}, {"effects", &req.Effects}, {"measures", &req.Measures}, {"told", &req.Told}} {
		if err := wanted(f.field, f.text); err != nil {
			return err
		}
	}
	return c.changeBreaches("noted breach", func(tx *store.Tx, all []breach, by string) ([]breach, string, error) {
		b := breach{access.NewID(), req, by, tx.Now, []breachLine{}}
		return append([]breach{b}, all...), b.ID, nil
	})
}

// lineToBreach adds what was learnt or done later.
func (c *call) lineToBreach() error {
	var req breachText
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := wanted("text", &req.Text); err != nil {
		return err
	}
	id := c.Params("id")
	return c.changeBreaches("added to breach", func(tx *store.Tx, all []breach, by string) ([]breach, string, error) {
		for i := range all {
			if all[i].ID == id {
				all[i].Lines = append(all[i].Lines, breachLine{req.Text, by, tx.Now})
				return all, id, nil
			}
		}
		return nil, "", care.Errorf(care.NotFound, "no-such-breach", "the register has no such breach")
	})
}

func (c *call) changeBreaches(did string, change func(*store.Tx, []breach, string) ([]breach, string, error)) error {
	var out breachList
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		have, err := readBreaches(tx)
		if err != nil {
			return err
		}
		var id string
		if out.Breaches, id, err = change(tx, have.Breaches, c.Caller.Person.Named().Name); err != nil {
			return err
		}
		if err := tx.Register().SetSetting(breachesSetting, out.Breaches); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, did, id)
	})
}
