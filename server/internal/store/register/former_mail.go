package register

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
)

// FormerMail is a mail address that somebody had until it was changed. Until it ends
// what is mailed to them goes there too, so that nobody turns a person's mails to
// another address without their hearing of it.
type FormerMail struct {
	Person care.PersonID `json:"person"`
	Mail   string        `json:"mail"`
	Until  time.Time     `json:"until"`
}

const formerMails = "former_mails"

// FormerMails returns the addresses that somebody had within [StaffWait].
func (tx *Tx) FormerMails(p care.PersonID) (out []string, err error) {
	var all []FormerMail
	err = tx.Setting(formerMails, &all)
	for _, m := range all {
		if m.Person == p && tx.p.Now.Before(m.Until) {
			out = append(out, m.Mail)
		}
	}
	return out, err
}

// KeepFormerMail keeps an address that was changed for a while, and forgets those whose
// time is over.
func (tx *Access) KeepFormerMail(p care.PersonID, mail string) error {
	var all []FormerMail
	if err := tx.register.Setting(formerMails, &all); err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(m FormerMail) bool { return !tx.p.Now.Before(m.Until) })
	return tx.register.SetSetting(formerMails, append(all, FormerMail{p, mail, tx.p.Now.Add(StaffWait)}))
}
