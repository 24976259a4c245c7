package practice

import (
	"fmt"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

// dutyDays is how far ahead duties are listed.
const dutyDays = 28

// swapAsk is a swap that one person asked for and the other has not confirmed.
type swapAsk struct {
	ID   string        `json:"id"`
	By   care.PersonID `json:"by"`
	With care.PersonID `json:"with"`
	On   civil.Date    `json:"on"`            // the duty of By, which With is to take
	Back civil.Date    `json:"back,omitzero"` // the duty of With that By takes for it; zero for none
	At   time.Time     `json:"at"`
}

type dutyList struct {
	Duties []dutyRow `json:"duties"`
	Asks   []askRow  `json:"asks"` // for or by the caller
}

type dutyRow struct {
	Start      civil.Date    `json:"start"` // by which it is swapped
	From       time.Time     `json:"from"`
	To         time.Time     `json:"to"`
	Person     care.PersonID `json:"person"`
	Name       string        `json:"name"`
	Phone      string        `json:"phone"`
	Deputy     care.PersonID `json:"deputy"`
	DeputyName string        `json:"deputy_name"`
}

type askRow struct {
	swapAsk
	ByName   string       `json:"by_name"`
	WithName string       `json:"with_name"`
	Alone    []civil.Date `json:"alone"` // duties that have a deputy now and would have none
}

func (c *call) duties() error {
	r := dutyList{Duties: []dutyRow{}, Asks: []askRow{}}
	return c.ReplyView(&r, func(tx *store.Tx) error {
		rules, err := dispatch.Rules(tx)
		if err != nil {
			return err
		}
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		for _, d := range escalate.Duties(rules.Rota, today, dutyDays) {
			p, err := tx.Register().Person(d.Person)
			if err != nil || p.Gone {
				continue
			}
			r.Duties = append(r.Duties, dutyRow{d.Start, d.From, d.To, d.Person, p.Name, p.Phone, d.Deputy, record.Name(tx, d.Deputy)})
		}
		asks, err := swapAsks(tx)
		for _, a := range asks {
			if me := c.Caller.Person.ID; (a.By == me || a.With == me) && !a.On.Before(today) {
				r.Asks = append(r.Asks, askRow{a, record.Name(tx, a.By), record.Name(tx, a.With), a.alone(rules.Rota, today)})
			}
		}
		return err
	})
}

func swapAsks(tx *store.Tx) (all []swapAsk, err error) {
	err = tx.Register().Setting("swaps", &all)
	return all, err
}

type swapRequest struct {
	With care.PersonID `json:"with"`
	On   civil.Date    `json:"on"`
	Back civil.Date    `json:"back,omitzero"`
	Sure bool          `json:"sure,omitempty"` // what is unlikely was asked about
}

// askSwap asks a colleague to take a duty of one's own, and may offer one of theirs
// for it. It changes no duty: the colleague has to confirm.
func (c *call) askSwap() error {
	var req swapRequest
	if err := c.Read(&req); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		a := swapAsk{ID: access.NewID(), By: c.Caller.Person.ID, With: req.With, On: req.On, Back: req.Back, At: tx.Now}
		if _, err := a.swaps(tx); err != nil {
			return err
		}
		if err := c.askUnlikely(tx, a, req.Sure); err != nil {
			return err
		}
		all, err := swapAsks(tx)
		if err != nil {
			return err
		}
		all = slices.DeleteFunc(all, func(x swapAsk) bool {
			return x.By == a.By && x.On == a.On || x.On.Before(civil.DateOf(tx.Now).AddDays(-1))
		})
		if err := tx.Register().SetSetting("swaps", append(all, a)); err != nil {
			return err
		}
		return tx.Audit().Append(a.By, "asked to swap a duty", string(a.With)+" "+a.On.String())
	})
}

// acceptSwap is the second person's word: now the duty changes.
func (c *call) acceptSwap() error {
	return c.settleAsk(func(tx *store.Tx, a swapAsk) error {
		me := c.Caller.Person.ID
		if a.With != me {
			return care.Errorf(care.Forbidden, "not-yours", "only whoever was asked can confirm a swap")
		}
		swaps, err := a.swaps(tx)
		if err != nil {
			return err
		}
		var rota escalate.Rota
		if err := tx.Register().Setting("rota", &rota); err != nil {
			return err
		}
		rota.Swaps = slices.DeleteFunc(append(rota.Swaps, swaps...), func(x escalate.Swap) bool { return x.On.Before(civil.DateOf(tx.Now).AddDays(-7)) })
		if err := tx.Register().SetSetting("rota", rota); err != nil {
			return err
		}
		return tx.Audit().Append(me, "swapped a duty", string(a.By)+" "+a.On.String())
	})
}

// dropSwap withdraws what one asked, or says no to what one was asked.
func (c *call) dropSwap() error {
	return c.settleAsk(func(tx *store.Tx, a swapAsk) error {
		me := c.Caller.Person.ID
		if a.By != me && a.With != me {
			return care.Errorf(care.Forbidden, "not-yours", "only the two people of a swap can end it")
		}
		return tx.Audit().Append(me, "ended a swap that was asked for", string(a.By)+" "+a.On.String())
	})
}

// settleAsk ends what was asked for.
func (c *call) settleAsk(f func(*store.Tx, swapAsk) error) error {
	return c.DoneUpdate(func(tx *store.Tx) error {
		all, err := swapAsks(tx)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(all, func(a swapAsk) bool { return a.ID == c.Params("id") })
		if i < 0 {
			return care.Errorf(care.NotFound, "no-swap", "nobody asks for this swap any more")
		}
		if err := f(tx, all[i]); err != nil {
			return err
		}
		return tx.Register().SetSetting("swaps", slices.Delete(all, i, i+1))
	})
}

// swaps are the places that change; an error says in words why they cannot.
func (a *swapAsk) swaps(tx *store.Tx) ([]escalate.Swap, error) {
	may, err := ready.OnRota(tx)
	if err != nil {
		return nil, err
	}
	if a.With == a.By || !may[a.With] {
		return nil, care.Refuse("bad-person", "with", "want a colleague who answers alerts")
	}
	var rota escalate.Rota
	if err := tx.Register().Setting("rota", &rota); err != nil {
		return nil, err
	}
	today, _, err := record.Today(tx)
	if err != nil {
		return nil, err
	}
	out := []escalate.Swap{{On: a.On, Out: a.By, In: a.With}}
	if !holds(rota, a.On, today, a.By) {
		return nil, care.Refuse("no-duty", "on", "you have no duty that begins on %s in the next %d days", a.On, dutyDays)
	}
	if !a.Back.IsZero() {
		if !holds(rota, a.Back, today, a.With) {
			return nil, care.Refuse("no-duty", "back", "%s has no duty that begins on %s in the next %d days", record.Name(tx, a.With), a.Back, dutyDays)
		}
		out = append(out, escalate.Swap{On: a.Back, Out: a.With, In: a.By})
	}
	for _, x := range out {
		if slices.ContainsFunc(rota.Off, func(o escalate.Absence) bool { return o.Person == x.In && !x.On.Before(o.From) && !x.On.After(o.To) }) {
			return nil, care.Errorf(care.Conflict, "away", "%s is away on %s", record.Name(tx, x.In), x.On)
		}
	}
	return out, nil
}

// askUnlikely asks about a clinician's duty that somebody of the desk is to take,
// who cannot end the ladder of a red flag, and about duties left without a deputy.
func (c *call) askUnlikely(tx *store.Tx, a swapAsk, sure bool) error {
	with, err := tx.Register().Person(a.With)
	if err != nil {
		return err
	}
	var doubts []string
	if c.Caller.Person.Role == care.Clinician && with.Role != care.Clinician {
		doubts = append(doubts, with.Name+" is no clinician and cannot take a red flag: in that duty the ladder goes on until a clinician answers.")
	}
	var rota escalate.Rota
	if err := tx.Register().Setting("rota", &rota); err != nil {
		return err
	}
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	for _, day := range a.alone(rota, today) {
		doubts = append(doubts, fmt.Sprintf("Nobody would be the deputy in the duty of %s: the step of the ladder to the deputy would reach nobody.", day))
	}
	return record.AskUnless(sure, doubts)
}

// alone are the dates whose duty has a deputy now and would have none after the
// swap: whoever takes it was the deputy.
func (a swapAsk) alone(rota escalate.Rota, today civil.Date) []civil.Date {
	after := rota
	after.Swaps = append(slices.Clone(rota.Swaps), escalate.Swap{On: a.On, Out: a.By, In: a.With})
	if !a.Back.IsZero() {
		after.Swaps = append(after.Swaps, escalate.Swap{On: a.Back, Out: a.With, In: a.By})
	}
	lacks := func(r escalate.Rota, day civil.Date) bool {
		return slices.ContainsFunc(escalate.Duties(r, today, dutyDays), func(d escalate.OnDutyFor) bool { return d.Start == day && d.Deputy == "" })
	}
	found := []civil.Date{}
	for _, day := range []civil.Date{a.On, a.Back} {
		if !day.IsZero() && lacks(after, day) && !lacks(rota, day) {
			found = append(found, day)
		}
	}
	return found
}

// askUnclinical asks about the duties that no clinician holds and that were not in
// the rota before: whoever is on duty then cannot end the ladder of a red flag.
func askUnclinical(tx *store.Tx, before, wanted escalate.Rota, sure bool) error {
	staff, err := tx.Register().Staff()
	if err != nil {
		return err
	}
	clinical := func(p care.PersonID) bool {
		return slices.ContainsFunc(staff, func(s care.Person) bool { return s.ID == p && s.Role == care.Clinician })
	}
	var found []string
	for _, s := range wanted.Slots {
		if !slices.Contains(before.Slots, s) && !clinical(s.Person) && !clinical(s.Deputy) {
			found = append(found, fmt.Sprintf("%s, %s to %s", time.Weekday(s.Weekday), s.From, s.To))
		}
	}
	for _, d := range wanted.Dates {
		if !slices.Contains(before.Dates, d) && !clinical(d.Person) && !clinical(d.Deputy) {
			found = append(found, fmt.Sprintf("%s, %s to %s", d.Date, d.From, d.To))
		}
	}
	if len(found) == 0 || sure {
		return nil
	}
	more := ""
	if n := len(found) - 1; n > 0 {
		more = fmt.Sprintf(", and in %d more duties", n)
	}
	return record.AskUnless(false, []string{"No clinician is on duty on " + found[0] + more + ": a red flag then climbs on until one answers."})
}

// holds reports whether somebody is on duty or the deputy in something that begins
// on a date from today on.
func holds(r escalate.Rota, on, today civil.Date, who care.PersonID) bool {
	return slices.ContainsFunc(escalate.Duties(r, today, dutyDays), func(d escalate.OnDutyFor) bool {
		return d.Start == on && (d.Person == who || d.Deputy == who)
	})
}
