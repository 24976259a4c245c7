package intake

import (
	"slices"
	"sync"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

// What one device may add to the log, and three times as much its family. The
// numbers are our choice: a wearer writes some 20 entries a day, so a phone that
// was offline for half a year sends what it holds without a pause, and what one
// device can cost everybody stays small. An entry that is stored already costs
// nothing, so phones offer all of theirs again after a restore. Over the limit
// the phone keeps what it holds and is told when to come back.
var (
	entriesAtOnce = quota.Limit{Most: 1500, Per: 5 * time.Minute}
	entriesADay   = quota.Limit{Most: 4000, Per: 24 * time.Hour}
	bytesADay     = quota.Limit{Most: 8 << 20, Per: 24 * time.Hour}
	reportsAtOnce = quota.Limit{Most: 60, Per: 10 * time.Minute}
	reportsADay   = quota.Limit{Most: 200, Per: 24 * time.Hour}
)

const familyShare = 3 // a family may add so many times what a device may

// Quotas hold what devices and families have added of late. They are kept in
// memory and begin anew with the server.
type Quotas struct {
	devices, families *quota.Book
	first             passes
}

// NewQuotas returns quotas of which nothing is used.
func NewQuotas() *Quotas {
	limits := []quota.Limit{entriesAtOnce, entriesADay, bytesADay, reportsAtOnce, reportsADay}
	family := make([]quota.Limit, len(limits))
	for i, l := range limits {
		family[i] = quota.Limit{Most: familyShare * l.Most, Per: l.Per}
	}
	return &Quotas{devices: quota.NewBook(limits...), families: quota.NewBook(family...)}
}

// admit returns the entries of a request that may be stored now: all of them, or the
// reports among them, or the first report of the person's minute, or a [care.TooMany]
// error with the time to wait. undo takes back the pass of a report that could not be
// stored.
func (q *Quotas) admit(caller register.Caller, list []parsed, first reportAt, now time.Time, over time.Duration) (out []parsed, undo func(), err error) {
	undo = func() {}
	who := pass{caller.Person.ID, first.unread}
	passes := first.at >= 0 && q.first.take(who, now)
	if passes {
		undo = func() { q.first.giveBack(who) }
	}
	wait := q.spend(caller, list, now, over)
	if wait == 0 {
		return list, undo, nil
	}
	reports := reportsOf(list)
	if len(reports) > 0 && len(reports) < len(list) && q.spend(caller, reports, now, over) == 0 {
		return reports, undo, nil
	}
	if passes {
		return list[first.at : first.at+1], undo, nil
	}
	return nil, undo, tooMuch(wait)
}

// spend takes what entries cost of a device's and its family's share and returns 0, or
// takes nothing and returns how long to wait.
func (q *Quotas) spend(caller register.Caller, list []parsed, now time.Time, over time.Duration) time.Duration {
	size, reports := 0, len(reportsOf(list))
	for _, p := range list {
		size += len(p.raw)
	}
	costs := []int{len(list), len(list), size, reports, reports}
	device, family := string(caller.Device.ID), string(caller.Person.Family)
	wait := max(over, q.devices.Wait(now, device, costs...), q.families.Wait(now, family, costs...))
	if wait == 0 {
		q.devices.Take(now, device, costs...)
		q.families.Take(now, family, costs...)
	}
	return wait
}

// reportsOf returns the symptom reports among entries.
func reportsOf(list []parsed) []parsed {
	return slices.DeleteFunc(slices.Clone(list), func(p parsed) bool { return !p.report })
}

// pass is of a person's first symptom report of a minute, which no limit ever holds
// back. One that cannot be read has its own: it is told all the same, and the same
// report mended may follow at once.
type pass struct {
	who    care.PersonID
	unread bool
}

// passes hold in which minute each was last taken.
type passes struct {
	mu   sync.Mutex
	last map[pass]time.Time
}

// take reports whether a pass was not taken yet in this minute, and notes that it is.
func (p *passes) take(of pass, now time.Time) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	minute := now.Truncate(time.Minute)
	if last, known := p.last[of]; known && last.Equal(minute) {
		return false
	}
	if p.last == nil {
		p.last = map[pass]time.Time{}
	}
	p.last[of] = minute
	return true
}

func (p *passes) giveBack(of pass) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.last, of)
}

// reportAt is where a symptom report stands in a list, -1 for none.
type reportAt struct {
	at     int
	unread bool
}

// firstReportOf returns the first symptom report that some condition holds of: one
// that can be read, or else one that would be kept as it came.
func firstReportOf(list []parsed, and func(parsed) bool) reportAt {
	for _, unread := range []bool{false, true} {
		at := slices.IndexFunc(list, func(p parsed) bool {
			return p.report && (p.err != nil) == unread && and(p)
		})
		if at >= 0 {
			return reportAt{at, unread}
		}
	}
	return reportAt{at: -1}
}

// isNew returns whether an entry is not in the log of a family yet.
func isNew(tx *store.Tx, family care.FamilyID) func(parsed) bool {
	return func(p parsed) bool {
		_, err := tx.Log().Entry(family, p.entry.ID)
		return err != nil
	}
}

func anyOf(parsed) bool { return true }

func tooMuch(wait time.Duration) error {
	return care.Later("too-much", wait, "this phone has sent very much in a short time; what it holds stays on it and is sent later")
}
