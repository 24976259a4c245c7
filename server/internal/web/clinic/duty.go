package clinic

import (
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// dutyLine is who answers now, who comes next, and when nobody does.
type dutyLine struct {
	Name   string        `json:"name"` // empty when nobody is on duty
	Phone  string        `json:"phone"`
	Until  *time.Time    `json:"until"` // when that changes; null when it does not within a week
	Next   string        `json:"next"`  // who comes then; empty for nobody
	Gap    *escalate.Gap `json:"gap"`   // the first gap of the next seven days
	Second string        `json:"second"`
	Tested tested        `json:"tested"`
	Asked  bool          `json:"asked"` // a colleague asks the caller to take a duty
}

// tested is what the daily test message says of the devices of whoever is on duty.
type tested struct {
	Devices int        `json:"devices"` // that receive alerts
	Shown   *time.Time `json:"shown"`   // when one of them last showed it; null: never
	// Silent is set when none of them has shown what it owes within half a day.
	Silent bool `json:"silent"`
}

// testedOf looks at the devices of a person.
func testedOf(tx *store.Tx, p care.PersonID) (t tested, err error) {
	devices, err := tx.Access().SubscribedStaffDevices()
	t.Silent = true
	for _, d := range devices {
		if d.Person != p || p == "" {
			continue
		}
		t.Devices++
		t.Silent = t.Silent && escalate.Unheard(d.Owes, tx.Now)
		if !d.Heard.IsZero() && (t.Shown == nil || d.Heard.After(*t.Shown)) {
			t.Shown = &d.Heard
		}
	}
	t.Silent = t.Silent && t.Devices > 0
	return t, err
}

// asked reports whether a colleague asks somebody to take a duty, from today on.
func asked(tx *store.Tx, who care.PersonID, today civil.Date) (bool, error) {
	var asks []struct {
		With care.PersonID `json:"with"`
		On   civil.Date    `json:"on"`
	}
	err := tx.Register().Setting("swaps", &asks)
	for _, a := range asks {
		if a.With == who && !a.On.Before(today) {
			return true, err
		}
	}
	return false, err
}

// dutyStep is how closely a change of duty is looked for.
const dutyStep = 15 * time.Minute

func dutyOf(tx *store.Tx) (dutyLine, error) {
	var d dutyLine
	r, err := dispatch.Rules(tx)
	if err != nil {
		return d, err
	}
	on, deputy := escalate.OnDuty(r.Rota, tx.Now)
	if p, err := tx.Register().Person(on); err == nil && on != "" && !p.Gone {
		d.Name, d.Phone = p.Name, p.Phone
	}
	d.Second = record.Name(tx, deputy)
	if d.Tested, err = testedOf(tx, on); err != nil {
		return d, err
	}
	from := tx.Now.Truncate(dutyStep)
	for t := from.Add(dutyStep); t.Before(from.AddDate(0, 0, 7)); t = t.Add(dutyStep) {
		if next, _ := escalate.OnDuty(r.Rota, t); next != on {
			d.Until, d.Next = &t, record.Name(tx, next)
			break
		}
	}
	p, err := tx.Register().Practice()
	if err != nil {
		return d, err
	}
	today, _, err := record.Today(tx)
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

// duty returns whoever is on duty and the deputy, with their telephones.
func duty(tx *store.Tx) ([]onDutyNow, error) {
	out := []onDutyNow{}
	r, err := dispatch.Rules(tx)
	if err != nil {
		return out, err
	}
	on, next := escalate.OnDuty(r.Rota, tx.Now)
	for _, id := range []care.PersonID{on, next} {
		if p, err := tx.Register().Person(id); err == nil && id != "" && !p.Gone {
			out = append(out, onDutyNow{p.Name, p.Role, p.Phone})
		}
	}
	return out, nil
}
