package family

import (
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// privatePerDay is how many private words one person may send: our choice, far
// more than anybody needs.
var privatePerDay = quota.Limit{Most: 30, Per: 24 * time.Hour}

// maxPrivate is the longest private text, as of a word of the practice.
const maxPrivate = 1000

// privateRequest is what a teen writes to the practice's clinicians alone. The
// device makes the id, so that one sent twice is kept once.
type privateRequest struct {
	ID   care.EntryID `json:"id"`
	Text string       `json:"text"`
}

// mayPrivate reports whether a person may write to the clinicians alone: a teen, of
// the age that the practice has set.
func mayPrivate(tx *store.Tx, id care.PersonID) (bool, error) {
	me, err := tx.Register().Person(id)
	if err != nil {
		return false, err
	}
	if me.Role != care.Teen || me.Wearer == "" {
		return false, nil
	}
	p, err := tx.Register().Practice()
	if err != nil || p.PrivateFrom == 0 {
		return false, err
	}
	w, err := tx.Register().Wearer(me.Wearer)
	if err != nil {
		return false, err
	}
	born, err := civil.ParseDate(w.Birth)
	if err != nil {
		return false, nil // an age that is not known is not old enough
	}
	loc, err := civil.LoadZone(p.Zone)
	if err != nil {
		loc = time.UTC
	}
	return !civil.DateOf(tx.Now.In(loc)).Before(born.AddMonths(12 * p.PrivateFrom)), nil
}

// private keeps what a teen writes to the clinicians alone, outside the family's
// log.
func (c *call) private() error {
	var req privateRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	req.Text = strings.TrimSpace(req.Text)
	if n := utf8.RuneCountInString(req.Text); n < 1 || n > maxPrivate {
		return care.Refuse("bad-text", "text", "want 1 to %d characters", maxPrivate)
	}
	if !care.IsEntryID(string(req.ID)) {
		return care.Refuse("bad-id", "id", "want a UUID")
	}
	me := c.Caller.Person
	if err := c.TakeQuota(c.room.private, string(me.ID)); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		may, err := mayPrivate(tx, me.ID)
		if err != nil {
			return err
		}
		if !may {
			return care.Errorf(care.Forbidden, "no-private-words", "this clinic does not take private words from you here: phone it, or ask to be phoned alone")
		}
		w := register.PrivateWords{ID: req.ID, By: me.ID, At: tx.Now, Text: req.Text}
		if err := tx.Chart().PutPrivate(me.Wearer, w); err != nil {
			return err
		}
		return tx.Audit().Append(me.ID, "wrote private words", string(me.Wearer))
	})
}
