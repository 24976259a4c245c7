package practice

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// usualName is what a practice is called until it says otherwise.
const usualName = "Our practice"

// Usual is what a new practice starts from: a name to be changed and
// the IANA zone given. It has no telephone number, since a wrong one is worse
// than none.
func Usual(zone string) care.Practice {
	return care.Practice{Name: usualName, Zone: zone, Contacts: care.Contacts{Clinic: usualName, Zone: zone}}
}

// notSet is one thing a practice has not seen to.
type notSet struct {
	What string `json:"what"` // stable word: name, zone, phone, emergency, rota, gap, hours, notifications, unheard, mail, owner, administrator, left, and the words of package watch
	Text string `json:"text"` // what follows from it
}

// findNotSet returns what is missing, the gravest first.
func findNotSet(s *transport.Server, tx *store.Tx, r settingsReply) ([]notSet, error) {
	out := []notSet{}
	say := func(missing bool, what, format string, args ...any) {
		if missing {
			out = append(out, notSet{what, fmt.Sprintf(format, args...)})
		}
	}
	c := r.Practice.Contacts
	say(c.Emergency == "", "emergency", "No emergency number: a family told to seek help at once is shown none.")
	say(c.Phone == "", "phone", "No telephone number of the practice: families have nothing to call.")
	say(!knownZone(r.Practice.Zone), "zone", "No time zone: dates and hours are counted in UTC.")
	say(len(r.Rota.Slots) == 0, "rota", "No rota: nobody is on duty, so an alert goes at once to everybody of the practice who has notifications on, and to the owner by mail when that is set.")
	within, outside := gapTime(r.Gaps)
	say(len(r.Rota.Slots) > 0 && within > 0, "gap", "Nobody is on duty for %s of the clinic's own hours over the next %d days.", inHours(within), gapDays)
	say(len(r.Rota.Slots) > 0 && outside > 0, "gap", "Outside hours nobody is on duty for %s over the next %d days.", inHours(outside), gapDays)
	people, err := unreachable(tx, r.Rota)
	if err != nil {
		return nil, err
	}
	out = append(out, people...)
	say(len(c.Hours) == 0, "hours", "No hours: families cannot be told when the practice answers.")
	if bad := s.Unreadable(); len(bad) > 0 {
		var names []string
		for _, u := range bad[:min(len(bad), 5)] {
			names = append(names, u.Bucket+" "+u.Key)
		}
		say(true, "unreadable", "%d stored records cannot be read and are set aside: %s. The rest is served. Keep a backup from before, and have the administrator run a check.", len(bad), strings.Join(names, ", "))
	}
	for _, t := range s.Troubles() {
		if t.What != "duty" && t.What != "unreadable" { // said above, with more
			out = append(out, notSet{t.What, t.Text})
		}
	}
	arrives, err := mailArrives(tx)
	if err != nil {
		return nil, err
	}
	say(s.TestMail != nil && !arrives, "mail", "No test mail has arrived yet, so nobody knows whether alerts do: send one under Staff, and enter the number in it.")
	say(s.TestMail == nil, "mail", "No mail server: an alert that no device shows is not sent by mail. It is set where the server is started.")
	say(s.TestMail != nil && r.Practice.OwnerMail == "", "owner", "No mail address of the owner: when nobody answers an alert, nobody above the rota is told.")
	admins, err := administrators(tx)
	if err != nil {
		return nil, err
	}
	say(admins == 0, "administrator", "No administrator: nobody can set anything in the console. Make one with staff add -role administrator.")
	say(admins == 1, "administrator", "Only one administrator: when they lose their device, nobody in the console can let anybody in.")
	say(r.Practice.Name == "" || r.Practice.Name == usualName, "name", "The practice has no name of its own yet.")
	return out, nil
}

// unreachable names those of the rota who left, and who has no device that an
// alert could be shown on.
func unreachable(tx *store.Tx, r escalate.Rota) ([]notSet, error) {
	devices, err := tx.Access().SubscribedStaffDevices()
	if err != nil {
		return nil, err
	}
	staff, err := tx.Register().Staff()
	if err != nil {
		return nil, err
	}
	may := onRota(staff)
	has := func(p care.PersonID) bool {
		return slices.ContainsFunc(devices, func(d care.Device) bool { return d.Person == p })
	}
	var left, silent []string
	for _, p := range peopleOf(r) {
		switch {
		case !may[p]:
			left = append(left, record.Name(tx, p))
		case !has(p):
			silent = append(silent, record.Name(tx, p))
		}
	}
	var out []notSet
	if len(left) > 0 {
		out = append(out, notSet{"left", "On the rota but not among those who answer alerts: " + strings.Join(left, ", ") + "."})
	}
	if len(silent) > 0 {
		out = append(out, notSet{"notifications", "On the rota without a device that receives alerts: " + strings.Join(silent, ", ") + ". Each turns it on at their own device."})
	}
	for _, d := range devices {
		if escalate.Unheard(d.Owes, tx.Now) {
			out = append(out, notSet{"unheard", fmt.Sprintf("%s's device %q has shown no test message since %s: open Nightkeep there and test it.",
				record.Name(tx, d.Person), d.Name, d.Owes.Format("2 January"))})
		}
	}
	if len(devices) == 0 && len(r.Slots) == 0 {
		out = append(out, notSet{"notifications", "No device of the practice receives alerts. Each member of staff turns it on at their own device."})
	}
	return out, nil
}

// peopleOf returns everybody of the rota once, whether away or not.
func peopleOf(r escalate.Rota) []care.PersonID {
	var out []care.PersonID
	for _, s := range r.Slots {
		for _, p := range []care.PersonID{s.Person, s.Deputy} {
			if p != "" && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}

// gapTime adds up gaps within and outside the clinic's hours.
func gapTime(gaps []escalate.Gap) (within, outside time.Duration) {
	for _, g := range gaps {
		if g.Hours {
			within += g.To.Sub(g.From)
		} else {
			outside += g.To.Sub(g.From)
		}
	}
	return within, outside
}

func inHours(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	return fmt.Sprintf("%d h", int(d.Round(time.Hour).Hours()))
}
