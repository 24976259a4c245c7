package practice

import (
	"encoding/json"
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/retention"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/log"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/record"
)

// retentionReply is the rule of keeping and whose time is over. An administrator
// sees ids and dates, no names, and erases one family at a time.
type retentionReply struct {
	retention.Rule
	Due      []keptFamily `json:"due"`       // the longest over first
	AuditDue uint64       `json:"audit_due"` // lines at the beginning of the audit log whose time is over
	Held     int          `json:"held"`      // entries of a newer app, kept unread
	HeldDue  int          `json:"held_due"`  // of them, those whose time is over
}

type keptFamily struct {
	Family care.FamilyID `json:"family"`
	Last   civil.Date    `json:"last"`  // of any activity
	Until  civil.Date    `json:"until"` // the last day of keeping
}

func (c *call) retention() error {
	var r retentionReply
	if err := c.View(func(tx *store.Tx) (err error) { r, err = keeping(tx); return err }); err != nil {
		return err
	}
	return c.Reply(r)
}

// setRetention stores the rule. It erases nothing.
func (c *call) setRetention() error {
	var rule retention.Rule
	if err := c.Read(&rule); err != nil {
		return err
	}
	if err := rule.Check(); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	var r retentionReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) (err error) {
		if err := tx.Register().SetSetting("retention", rule); err != nil {
			return err
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "changed time of keeping", ""); err != nil {
			return err
		}
		r, err = keeping(tx)
		return err
	})
}

// cutAudit cuts the lines whose time is over off the audit log.
func (c *call) cutAudit() error {
	return c.forgetOld(func(tx *store.Tx, o oldThings) error { return tx.Audit().CutTo(c.Caller.Person.ID, o.audit) })
}

// forgetHeld forgets the entries kept unread whose time is over.
func (c *call) forgetHeld() error {
	return c.forgetOld(func(tx *store.Tx, o oldThings) error { return tx.Log().ForgetHeld(c.Caller.Person.ID, o.held) })
}

func (c *call) forgetOld(forget func(*store.Tx, oldThings) error) error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	var r retentionReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		var rule retention.Rule
		if err := tx.Register().Setting("retention", &rule); err != nil {
			return err
		}
		o, err := findOld(tx, rule)
		if err != nil {
			return err
		}
		if err := forget(tx, o); err != nil {
			return err
		}
		r, err = keeping(tx)
		return err
	})
}

// oldThings is what besides families need not be kept any more.
type oldThings struct {
	audit   audit.Cut // up to where the audit log may be cut
	lines   uint64    // how many lines that would cut
	held    []log.Held
	allHeld int
}

func findOld(tx *store.Tx, rule retention.Rule) (o oldThings, err error) {
	today, loc, err := record.Today(tx)
	if err != nil {
		return o, err
	}
	cut, err := tx.Audit().Anchor()
	if err != nil {
		return o, err
	}
	o.audit, err = tx.Audit().Old(func(at time.Time) bool { return rule.LineDue(civil.DateOf(at.In(loc)), today) })
	if err != nil {
		return o, err
	}
	o.lines = o.audit.Lines - cut.Lines
	all := tx.Log().AllHeld()
	o.allHeld = len(all)
	for _, h := range all {
		if at := h.Written(); !at.IsZero() && rule.HeldDue(civil.DateOf(at.In(loc)), today) {
			o.held = append(o.held, h)
		}
	}
	return o, nil
}

func keeping(tx *store.Tx) (retentionReply, error) {
	r := retentionReply{Due: []keptFamily{}}
	if err := tx.Register().Setting("retention", &r.Rule); err != nil {
		return r, err
	}
	old, err := findOld(tx, r.Rule)
	if err != nil {
		return r, err
	}
	r.AuditDue, r.Held, r.HeldDue = old.lines, old.allHeld, len(old.held)
	if r.Years == 0 {
		return r, nil
	}
	today, loc, err := record.Today(tx)
	if err != nil {
		return r, err
	}
	all, err := tx.Register().Families()
	if err != nil {
		return r, err
	}
	for _, f := range all {
		if f.ID == care.DrillFamily {
			continue
		}
		x, err := keptRecord(tx, f, loc)
		if err != nil {
			return r, err
		}
		if r.Rule.Due(x, today) {
			r.Due = append(r.Due, keptFamily{f.ID, x.Last, r.KeptUntil(x)})
		}
	}
	slices.SortStableFunc(r.Due, func(a, b keptFamily) int { return a.Until.Compare(b.Until) })
	return r, nil
}

// keptRecord looks for the last sign of life of a family: its making, an entry
// taken in, a device heard of, a plan, a visit, an alert or a follow-up.
func keptRecord(tx *store.Tx, f care.Family, loc *time.Location) (retention.Record, error) {
	x := retention.Record{Last: civil.DateOf(f.Created.In(loc))}
	day := func(d civil.Date) {
		if d.After(x.Last) {
			x.Last = d
		}
	}
	seen := func(t time.Time) {
		if !t.IsZero() {
			day(civil.DateOf(t.In(loc)))
		}
	}
	newest, err := lastEntry(tx, f.ID)
	if err != nil {
		return x, err
	}
	seen(newest)
	devices, err := tx.Register().Devices(f.ID)
	if err != nil {
		return x, err
	}
	for _, d := range devices {
		seen(d.LastSeen)
	}
	wearers, err := tx.Register().Wearers(f.ID)
	if err != nil {
		return x, err
	}
	for _, w := range wearers {
		birth, err := civil.ParseDate(w.Birth)
		if err != nil {
			birth = civil.Date{} // unknown
		}
		x.Births = append(x.Births, birth)
		live, err := wearerSigns(tx, w.ID, day, seen)
		if err != nil {
			return x, err
		}
		x.Live = x.Live || live
	}
	return x, nil
}

func wearerSigns(tx *store.Tx, w care.WearerID, day func(civil.Date), seen func(time.Time)) (live bool, err error) {
	visits, err := register.Visits[struct {
		Date civil.Date `json:"date"`
	}](tx.Chart(), w)
	if err != nil {
		return false, err
	}
	for _, v := range visits {
		day(v.Date)
	}
	plans, err := tx.Chart().Plans(w)
	if err != nil {
		return false, err
	}
	for _, p := range plans {
		seen(p.At)
	}
	calls, err := tx.Chart().FollowUps(w)
	if err != nil {
		return false, err
	}
	for _, c := range calls {
		seen(c.At)
	}
	alerts, err := tx.Duty().WearerAlerts(w)
	for _, a := range alerts {
		seen(a.Opened)
		seen(a.ClosedAt)
		live = live || a.Live()
	}
	return live, err
}

// lastEntry returns when the newest entry of a log was taken in; zero for an
// empty log.
func lastEntry(tx *store.Tx, f care.FamilyID) (time.Time, error) {
	last, _, err := tx.Log().Head(f)
	if err != nil || last == 0 {
		return time.Time{}, err
	}
	page, err := tx.Log().Page(f, last-1, 1, 1)
	if err != nil || len(page.Entries) == 0 {
		return time.Time{}, err
	}
	var e struct {
		Recv time.Time `json:"recv"`
	}
	if json.Unmarshal(page.Entries[0], &e) != nil || e.Recv.IsZero() {
		return tx.Now, nil // one that cannot be read: nothing is over before somebody has looked
	}
	return e.Recv, nil
}
