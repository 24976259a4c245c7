package web

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// dutyLine is who answers now, who comes next, and when nobody does.
type dutyLine struct {
	Name   string        `json:"name"` // empty when nobody is on duty
	Phone  string        `json:"phone"`
	Until  *time.Time    `json:"until"` // when that changes; null when it does not within a week
	Next   string        `json:"next"`  // who comes then; empty for nobody
	Gap    *escalate.Gap `json:"gap"`   // the first gap of the next seven days
	Second string        `json:"second"`
}

// dutyStep is how closely a change of duty is looked for.
const dutyStep = 15 * time.Minute

func dutyOf(tx *store.Tx) (dutyLine, error) {
	var d dutyLine
	r, err := tx.EscalationRules()
	if err != nil {
		return d, err
	}
	on, deputy := escalate.OnDuty(r.Rota, tx.Now)
	if p, err := tx.Person(on); err == nil && on != "" && !p.Gone {
		d.Name, d.Phone = p.Name, p.Phone
	}
	d.Second = name(tx, deputy)
	from := tx.Now.Truncate(dutyStep)
	for t := from.Add(dutyStep); t.Before(from.AddDate(0, 0, 7)); t = t.Add(dutyStep) {
		if next, _ := escalate.OnDuty(r.Rota, t); next != on {
			d.Until, d.Next = &t, name(tx, next)
			break
		}
	}
	p, err := tx.Practice()
	if err != nil {
		return d, err
	}
	today, _, err := practiceToday(tx)
	if err != nil {
		return d, err
	}
	for _, g := range escalate.Gaps(r.Rota, p.Contacts, today, 7) {
		if g.To.After(tx.Now) {
			d.Gap = &g
			break
		}
	}
	return d, nil
}

// numbersOf are the numbers of the grown-ups of a family, and of a wearer who has
// one.
func numbersOf(tx *store.Tx, f care.FamilyID) (names, digits []string, phones []phoneOf, err error) {
	people, err := tx.People(f)
	for _, p := range people {
		if p.Gone {
			continue
		}
		names = append(names, p.Name)
		if p.Phone != "" {
			digits = append(digits, digitsOf(p.Phone))
			phones = append(phones, phoneOf{p.Name, p.Phone})
		}
	}
	return names, digits, phones, err
}

// phoneOf is a number and whose it is.
type phoneOf struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
}

func digitsOf(s string) string {
	var out []rune
	for _, r := range s {
		if r >= '0' && r <= '9' {
			out = append(out, r)
		}
	}
	return string(out)
}
