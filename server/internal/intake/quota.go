package intake

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
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
	firstReport   = quota.Limit{Most: 1, Per: time.Minute}
)

const familyShare = 3 // a family may add so many times what a device may

// Quotas hold what devices and families have added of late. They are kept in
// memory and begin anew with the server.
type Quotas struct {
	devices, families, first *quota.Book
}

// NewQuotas returns quotas of which nothing is used.
func NewQuotas() *Quotas {
	limits := []quota.Limit{entriesAtOnce, entriesADay, bytesADay, reportsAtOnce, reportsADay}
	family := make([]quota.Limit, len(limits))
	for i, l := range limits {
		family[i] = quota.Limit{Most: familyShare * l.Most, Per: l.Per}
	}
	return &Quotas{quota.NewBook(limits...), quota.NewBook(family...), quota.NewBook(firstReport)}
}

// admit returns the entries of a request that may be stored now: all of them,
// or the one of [Quotas.pass], or a [care.TooMany] error with the time to wait.
func (q *Quotas) admit(caller register.Caller, list []parsed, now time.Time, over time.Duration) ([]parsed, error) {
	size, reports := 0, 0
	for _, p := range list {
		size += len(p.raw)
		if p.entry.Kind == care.Symptoms {
			reports++
		}
	}
	first := firstReportOf(list)
	passes := first >= 0 && q.pass(caller, now)
	costs := []int{len(list), len(list), size, reports, reports}
	device, family := string(caller.Device.ID), string(caller.Person.Family)
	wait := max(over, q.devices.Wait(now, device, costs...), q.families.Wait(now, family, costs...))
	if wait == 0 {
		q.devices.Take(now, device, costs...)
		q.families.Take(now, family, costs...)
		return list, nil
	}
	if passes {
		return list[first : first+1], nil
	}
	return nil, tooMuch(wait)
}

// firstReportOf returns where the first readable symptom report stands, -1 when
// there is none.
func firstReportOf(list []parsed) int {
	return slices.IndexFunc(list, func(p parsed) bool { return p.err == nil && p.entry.Kind == care.Symptoms })
}

func tooMuch(wait time.Duration) error {
	return care.Later("too-much", wait, "this phone has sent very much in a short time; what it holds stays on it and is sent later")
}

// pass reports whether this is the person's first symptom report of the minute:
// no limit ever holds that one back.
func (q *Quotas) pass(caller register.Caller, now time.Time) bool {
	return q.first.Take(now, string(caller.Person.ID), 1) == 0
}
