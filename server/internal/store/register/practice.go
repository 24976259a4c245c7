package register

import "nightkeep/server/internal/care"

// Practice returns what the practice says about itself.
func (tx *Tx) Practice() (care.Practice, error) {
	var p care.Practice
	err := tx.p.Setting("practice", &p)
	return p, err
}

// PutPractice stores what the practice says about itself.
func (tx *Tx) PutPractice(p care.Practice) error { return tx.p.SetSetting("practice", p) }
