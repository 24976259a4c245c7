package ready

import (
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// TrialMail is the setting that holds the [Trials].
const TrialMail = "trial_mail"

// Owner stands for the practice's owner among those who get a trial mail: that is an
// address of the settings, and no member of staff.
const Owner care.PersonID = "owner"

// Trials are the last trial mails, by person. Arrived is when the last one did, to
// whomever.
type Trials struct {
	Arrived time.Time               `json:"arrived,omitzero"`
	People  map[care.PersonID]Trial `json:"people,omitempty"`
}

// Trial is the last trial mail to somebody.
type Trial struct {
	To      string    `json:"to"` // address
	Number  string    `json:"number"`
	Sent    time.Time `json:"sent"`
	Arrived time.Time `json:"arrived,omitzero"`
}

// ReadTrials reads them.
func ReadTrials(tx *store.Tx) (t Trials, err error) {
	err = tx.Register().Setting(TrialMail, &t)
	if t.People == nil {
		t.People = map[care.PersonID]Trial{}
	}
	return t, err
}

// arrives reports whether a trial mail has arrived at an address of somebody's.
func (t Trials) arrives(who care.PersonID, at string) bool {
	last := t.People[who]
	return at != "" && last.To == at && !last.Arrived.IsZero()
}

// untested names whom the ladder mails and no test mail has reached: those of the rota,
// and the owner.
func (l *lines) untested(tx *store.Tx, t Trials, o Own) {
	var names []string
	for _, id := range peopleOf(o.Rota) {
		p, err := tx.Register().Person(id)
		if err == nil && !p.Gone && !t.arrives(id, p.Mail) {
			names = append(names, record.Name(tx, id))
		}
	}
	if own := o.Practice.OwnerMail; own != "" && !t.arrives(Owner, own) {
		names = append(names, "the owner")
	}
	l.say(len(names) > 0, "untested", "No test mail has arrived yet at: %s. The ladder of an alert mails them. Send one to each under Staff, to the owner under Settings, and enter the code in it.", strings.Join(names, ", "))
}
