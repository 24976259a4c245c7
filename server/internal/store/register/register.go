// Package register keeps who there is and what lets them in: families, people,
// wearers and devices; codes, sessions, passkeys, subscriptions, calendar
// addresses and consents; plans, visits, follow-ups and appointments.
package register

import "nightkeep/server/internal/store/pairs"

// Tx is the part of a transaction about families, people, wearers, devices and the
// practice.
type Tx struct{ p *pairs.Tx }

// Access is the part about what lets somebody in, or reaches them.
type Access struct {
	p        *pairs.Tx
	register *Tx
}

// Chart is the part about what the practitioner wrote of a wearer.
type Chart struct{ p *pairs.Tx }

// New gives the parts of one transaction.
func New(p *pairs.Tx) (Tx, Access, Chart) {
	r := Tx{p}
	return r, Access{p, &Tx{p}}, Chart{p}
}

// Setting reads a named JSON value of the practice into v. A missing name leaves v
// as it is.
func (tx *Tx) Setting(name string, v any) error { return tx.p.Setting(name, v) }

// SetSetting stores a named JSON value.
func (tx *Tx) SetSetting(name string, v any) error { return tx.p.SetSetting(name, v) }
