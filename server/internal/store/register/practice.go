package register

import (
	"time"

	"nightkeep/server/internal/care"
)

// Practice returns what the practice says about itself.
func (tx *Tx) Practice() (care.Practice, error) {
	var p care.Practice
	err := tx.p.Setting("practice", &p)
	return p, err
}

// PutPractice stores what the practice says about itself.
func (tx *Tx) PutPractice(p care.Practice) error { return tx.p.SetSetting("practice", p) }

// readBack is the setting that holds when a backup was last tried and worked.
const readBack = "read_back"

// instant is a setting that is a time.
type instant struct {
	At time.Time `json:"at"`
}

// ReadBack returns when a backup was last tried and worked; zero: never.
func (tx *Tx) ReadBack() (time.Time, error) {
	var last instant
	err := tx.Setting(readBack, &last)
	return last.At, err
}

// SetReadBack keeps that a backup was tried and worked.
func (tx *Tx) SetReadBack(at time.Time) error { return tx.SetSetting(readBack, instant{at}) }
