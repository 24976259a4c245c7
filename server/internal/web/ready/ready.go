// Package ready says what a practice has not seen to, and whether a new family may
// be invited: one list for the settings, the daily check, the setting up and the
// gate.
package ready

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// UsualName is what a practice is called until it says otherwise.
const UsualName = "Our practice"

// GapDays is how far ahead gaps in the rota are shown, in days: four weeks show
// every weekly slot and the absences that are usually known.
const GapDays = 28

// NotSet is one thing a practice has not seen to.
type NotSet struct {
	What string `json:"what"` // stable word: one of [holding], of package watch, or left, notifications, staffphone, unheard, signedout, passkey, desk, owner, administrator, clinician, name, unreadable, untested, rang, restored
	Text string `json:"text"` // what follows from it
	// Invite says that no new family is invited while it stands so; never in the
	// demo, which asks for none of it.
	Invite bool `json:"invite"`
}

// holding are the words of what a family relies on from its first night: whom to
// phone, when, where to go, and that an alert reaches somebody.
var holding = []string{"zone", "country", "languages", "emergency", "phone", "afterhours", "place", "hours", "rota", "gap", "night", "mail", "drill", "readback"}

// Own are the settings of the practice itself that the list is about.
type Own struct {
	Practice care.Practice
	Rota     escalate.Rota
	Gaps     []escalate.Gap // over the next [GapDays] days, from today on
}

// Read reads them.
func Read(tx *store.Tx) (o Own, err error) {
	today, _, err := record.Today(tx)
	if err != nil {
		return o, err
	}
	if o.Practice, err = tx.Register().Practice(); err != nil {
		return o, err
	}
	err = tx.Register().Setting("rota", &o.Rota)
	o.Gaps = escalate.Gaps(o.Rota, o.Practice.Contacts, today, GapDays)
	return o, err
}

// Find returns what is missing, the gravest first.
func Find(s *transport.Server, tx *store.Tx, o Own) ([]NotSet, error) {
	l := &lines{}
	l.numbers(o)
	l.rota(o)
	if err := l.people(s, tx, o); err != nil {
		return nil, err
	}
	l.say(len(o.Practice.Contacts.Hours) == 0, "hours", "No hours: families cannot be told when the practice answers.")
	back, err := tx.Register().ReadBack()
	if err != nil {
		return nil, err
	}
	l.machine(s, back.IsZero())
	l.say(back.IsZero(), "readback", "No backup was read back yet, so nobody knows whether one can be: restore one into another folder with restore -rehearsal, and note under Settings that it worked.")
	if err := l.tried(s, tx, o); err != nil {
		return nil, err
	}
	if err := l.lacks(tx, o); err != nil {
		return nil, err
	}
	admins, able, err := administrators(s, tx)
	l.say(admins == 0, "administrator", "No administrator: nobody can set anything in the console. Make one with staff add -role administrator.")
	l.say(admins == 1, "administrator", "Only one administrator: when they lose their device, nobody in the console can let anybody in.")
	l.say(admins > 1 && able < 2, "administrator", "Of the administrators at most one has a passkey or is signed in: when they lose their device, nobody in the console can let anybody in.")
	l.say(o.Practice.Name == "" || o.Practice.Name == UsualName, "name", "The practice has no name of its own yet.")
	for i := range l.list {
		l.list[i].Invite = l.list[i].Invite && s.Demo == nil // the demo invites whatever stands open
	}
	return l.list, err
}

// lines is the list as it is made.
type lines struct{ list []NotSet }

func (l *lines) say(missing bool, what, format string, args ...any) {
	if missing {
		l.list = append(l.list, NotSet{what, fmt.Sprintf(format, args...), slices.Contains(holding, what)})
	}
}

func (l *lines) numbers(o Own) {
	c := o.Practice.Contacts
	l.say(c.Emergency == "", "emergency", "No emergency number: a family told to seek help at once is shown none.")
	l.say(c.Phone == "", "phone", "No telephone number of the practice: families have nothing to call.")
	l.say(c.AfterHours == "", "afterhours", "No telephone for after hours: at night and at weekends a family with a sore eye is shown a number that nobody answers.")
	l.say(c.Place.Name == "", "place", "No emergency eye department: a family told to go at once is not told where.")
	l.say(!KnownZone(o.Practice.Zone), "zone", "No time zone: no family can be added yet.")
	l.say(o.Practice.Country == "", "country", "No country: no family can be added yet, since telephone numbers are read as the country's.")
	l.say(len(o.Practice.Languages) == 0, "languages", "No languages: no family can be added yet, since nobody knows which words they read.")
}

func (l *lines) rota(o Own) {
	l.say(len(o.Rota.Slots) == 0, "rota", "No rota: nobody is on duty, so an alert goes at once to everybody of the practice who has notifications on, and to the owner by mail when that is set.")
	within, outside := gapTime(o.Gaps)
	l.say(len(o.Rota.Slots) > 0 && within > 0, "gap", "Nobody is on duty for %s of the clinic's own hours over the next %d days.", inHours(within), GapDays)
	l.say(len(o.Rota.Slots) > 0 && outside > 0 && !o.Practice.Unwatched, "night", "Outside hours nobody is on duty for %s over the next %d days: fill the rota, or say under Settings that nobody watches at night.", inHours(outside), GapDays)
}

// machine says what is wrong with the server; never is that no backup was ever
// tried, which is said elsewhere.
func (l *lines) machine(s *transport.Server, never bool) {
	if bad := s.Unreadable(); len(bad) > 0 {
		var names []string
		for _, u := range bad[:min(len(bad), 5)] {
			names = append(names, u.Bucket+" "+u.Key)
		}
		l.say(true, "unreadable", "%d stored records cannot be read and are set aside: %s. The rest is served. Keep a backup from before, and have the administrator run a check.", len(bad), strings.Join(names, ", "))
	}
	for _, t := range s.Troubles() {
		said := t.What == "duty" || t.What == "restored" || t.What == "unreadable" || t.What == "rehearsal" && never // with more, elsewhere here
		l.say(!said, t.What, "%s", t.Text)
	}
}

// tried says what was set and was never seen to work.
func (l *lines) tried(s *transport.Server, tx *store.Tx, o Own) error {
	mail, err := ReadTrials(tx)
	if err != nil {
		return err
	}
	l.say(s.TestMail != nil && mail.Arrived.IsZero(), "mail", "No test mail has arrived yet, so nobody knows whether alerts do: send one under Staff, and enter the code in it.")
	l.say(s.TestMail == nil, "mail", "No mail server: an alert that no device shows is not sent by mail. It is set where the server is started.")
	l.say(s.TestMail != nil && o.Practice.OwnerMail == "", "owner", "No mail address of the owner: when nobody answers an alert, nobody above the rota is told.")
	if s.TestMail != nil && !mail.Arrived.IsZero() {
		l.untested(tx, mail, o)
	}
	return errors.Join(l.drill(tx, o), l.approved(tx))
}

// lacks says what a restore took back, until somebody has seen to it.
func (l *lines) lacks(tx *store.Tx, o Own) error {
	var lost store.Lacks
	if err := tx.Register().Setting(store.LacksSetting, &lost); err != nil || lost.At.IsZero() {
		return err
	}
	at := lost.At.In(zoneOf(o)).Format("2 January 15:04")
	l.say(lost.Alerts > 0, "restored", "Alerts were open when a backup was put back on %s, and were carried into it (alerts: %d): deal with them in the list of alerts.", at, lost.Alerts)
	l.say(lost.Left > 0, "restored", "Alerts were open when a backup was put back on %s, and could not be carried into it (alerts: %d): phone the families that reported of late now. Who they are stands in the file that was kept: restore -rehearsal shows it.", at, lost.Left)
	if told := lost.Phones; told.Families > 0 {
		l.say(true, "restored", "Since %s phones say that the data file is older than what they were told (families: %d; entries that were not in it: %d or more). The phones send them again by themselves; what the practice did meanwhile is not known: look through staff, families, plans, closings, bookings and settings of the days before.", at, told.Families, told.Entries)
		return nil
	}
	shut := lost.Shut
	l.say(shut.Staff+shut.Families+shut.Devices > 0, "restored", "The data file that was put in place on %s has lost what lets people in (staff: %d; families of whom no phone is let in: %d; phones and browsers: %d): make the staff links, invite the families anew, and phone them: what such phones report does not arrive.", at, shut.Staff, shut.Families, shut.Devices)
	l.say(lost.Blind, "restored", "Which alerts were open in the data file before %s is not known: phone the families that reported of late.", at)
	if lost.Unknown || len(lost.Did) == 0 {
		l.say(true, "restored", "A backup, a repaired or an older file was put back on %s, and what it lacks is not known: look through staff, families, plans, closings, bookings and settings of the days before.", at)
		return nil
	}
	var done []string
	for _, did := range slices.Sorted(maps.Keys(lost.Did)) {
		done = append(done, fmt.Sprintf("%s (%d)", did, lost.Did[did]))
	}
	l.say(true, "restored", "A backup was put back on %s. What was done after it had been made is not in it: %s. Each stands in the audit log as “not in the backup”: look at it, do it again, and say there when all is seen to.", at, strings.Join(done, ", "))
	return nil
}

// overdueAfter is how long after the last drill a monthly one is overdue; our
// choice: it is due after four weeks.
const overdueAfter = 42 * 24 * time.Hour

func (l *lines) drill(tx *store.Tx, o Own) error {
	all, err := intake.Drills(tx)
	all = slices.DeleteFunc(all, func(a escalate.Alert) bool { return a.Live() })
	switch {
	case err != nil:
		return err
	case len(all) == 0:
		l.say(true, "drill", "No drill was answered yet, so nobody knows whether an alert reaches anybody: start one under Daily check.")
	case all[0].Outcome == escalate.DrillUnanswered:
		l.say(true, "drill", "Nobody answered the last drill, of %s: find out why, and start another under Daily check.", all[0].Opened.In(zoneOf(o)).Format("2 January 15:04"))
	default:
		// It counts for the gate: somebody answered. That it rang nobody is said.
		l.say(all[0].First(escalate.Sent).IsZero() && all[0].First(escalate.Shown).IsZero(), "rang", "The last drill, of %s, rang nowhere: no device and no mailbox had its message before it was taken on an open page. Start another while nobody looks at the list.", all[0].Opened.In(zoneOf(o)).Format("2 January 15:04"))
		l.say(o.Practice.Monthly && tx.Now.Sub(all[0].Opened) > overdueAfter, "drill", "The last drill was on %s, and one is due each month: start one under Daily check.", all[0].Opened.In(zoneOf(o)).Format("2 January"))
	}
	return nil
}

func zoneOf(o Own) *time.Location {
	loc, err := civil.LoadZone(o.Practice.Zone)
	if err != nil {
		return time.UTC
	}
	return loc
}

// RulesApproved is the setting that holds who has approved which table of rules.
const RulesApproved = "rules_approved"

// Approval says that a clinician has read a table of rules and stands by it here.
type Approval struct {
	Version int       `json:"version"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
}

func (l *lines) approved(tx *store.Tx) error {
	var a Approval
	if err := tx.Register().Setting(RulesApproved, &a); err != nil {
		return err
	}
	version := alerts.Default().Version
	l.say(a.Version != version, "approved", "No clinician has approved table %d of the alert rules: local law and emergency ways may differ from it. Read it under Alert rules.", version)
	return nil
}

// KnownZone reports whether a zone has a name that means the same on every
// machine.
func KnownZone(zone string) bool {
	_, err := civil.LoadZone(zone)
	return err == nil && zone != "" && zone != "Local"
}

// administrators counts those who have not left, and those of them who can act:
// by a passkey, or signed in somewhere. In the demo, where everybody signs in by
// a link, all can.
func administrators(s *transport.Server, tx *store.Tx) (n, able int, err error) {
	staff, err := tx.Register().Staff()
	if err != nil {
		return 0, 0, err
	}
	for _, p := range staff {
		if p.Role != care.Administrator || p.Gone {
			continue
		}
		n++
		sessions, err := tx.Access().Sessions(p.ID)
		if err != nil {
			return 0, 0, err
		}
		keys, err := tx.Access().Passkeys(p.ID)
		if err != nil {
			return 0, 0, err
		}
		if s.Demo != nil || len(sessions)+len(keys) > 0 {
			able++
		}
	}
	return n, able, nil
}

// people names those of the rota who left, and those who could not act on an
// alert: no device, a device that stays silent, signed out, no passkey, or
// the desk alone.
func (l *lines) people(s *transport.Server, tx *store.Tx, o Own) error {
	devices, err := tx.Access().SubscribedStaffDevices()
	if err != nil {
		return err
	}
	staff, err := tx.Register().Staff()
	if err != nil {
		return err
	}
	may, err := OnRota(tx)
	if err != nil {
		return err
	}
	var left, silent, unphoned []string
	for _, p := range peopleOf(o.Rota) {
		name := record.Name(tx, p)
		if !may[p] {
			left = append(left, name)
			continue
		}
		if slices.ContainsFunc(staff, func(s care.Person) bool { return s.ID == p && s.Phone == "" }) {
			unphoned = append(unphoned, name)
		}
		if !slices.ContainsFunc(devices, func(d care.Device) bool { return d.Person == p }) {
			silent = append(silent, name)
		}
	}
	l.say(len(left) > 0, "left", "On the rota but not among those who answer alerts: %s.", strings.Join(left, ", "))
	l.say(len(silent) > 0, "notifications", "On the rota without a device that receives alerts: %s. Each turns it on at their own device.", strings.Join(silent, ", "))
	l.say(len(unphoned) > 0, "staffphone", "On the rota without a telephone number: %s. When their device is silent, nobody of the practice can phone them: an administrator enters it under Staff.", strings.Join(unphoned, ", "))
	for _, d := range devices {
		l.say(escalate.Unheard(d.Owes, tx.Now), "unheard", "%s's device %q has shown no test message since %s: open Nightkeep there and test it.",
			record.Name(tx, d.Person), d.Name, d.Owes.Format("2 January"))
	}
	l.say(len(devices) == 0 && len(o.Rota.Slots) == 0, "notifications", "No device of the practice receives alerts. Each member of staff turns it on at their own device.")
	if s.Demo == nil {
		if err := l.passkeys(tx, o.Rota, may); err != nil {
			return err
		}
	}
	clinicians := slices.ContainsFunc(staff, func(p care.Person) bool { return p.Role == care.Clinician && !p.Gone })
	l.say(!clinicians, "clinician", "No clinician: nobody can prescribe a plan, or stop the alarm of a red flag. Add one under Staff, or at once with staff add -role clinician.")
	return l.deskAlone(tx, staff, o)
}

// passkeys names who of the rota has none; who has one signs in again when signed
// out.
func (l *lines) passkeys(tx *store.Tx, rota escalate.Rota, may map[care.PersonID]bool) error {
	var out, keyless []string
	for _, p := range peopleOf(rota) {
		if !may[p] {
			continue
		}
		sessions, err := tx.Access().Sessions(p)
		if err != nil {
			return err
		}
		keys, err := tx.Access().Passkeys(p)
		if err != nil {
			return err
		}
		switch name := record.Name(tx, p); {
		case len(keys) > 0:
		case len(sessions) == 0:
			out = append(out, name)
		default:
			keyless = append(keyless, name)
		}
	}
	l.say(len(out) > 0, "signedout", "On the rota, signed in nowhere and without a passkey: %s. An alert can be opened by them nowhere: an administrator makes them a link under Staff.", strings.Join(out, ", "))
	l.say(len(keyless) > 0, "passkey", "On the rota without a passkey: %s. When their window locks they cannot open an alert until an administrator makes them a link.", strings.Join(keyless, ", "))
	return nil
}

// deskAlone says for how long nobody is on duty who may stop the ladder of a red
// flag.
func (l *lines) deskAlone(tx *store.Tx, staff []care.Person, o Own) error {
	clinician := map[care.PersonID]bool{}
	for _, p := range staff {
		clinician[p.ID] = p.Role == care.Clinician && !p.Gone
	}
	today, _, err := record.Today(tx)
	if err != nil {
		return err
	}
	alone := -total(o.Gaps)
	alone += total(escalate.Gaps(o.Rota.Only(func(p care.PersonID) bool { return clinician[p] }), o.Practice.Contacts, today, GapDays))
	l.say(alone > 0, "desk", "The desk alone is on duty for %s over the next %d days: only a clinician stops the alarm of a red flag. Add a clinician as deputy.", inHours(alone), GapDays)
	return nil
}

func total(gaps []escalate.Gap) time.Duration {
	within, outside := gapTime(gaps)
	return within + outside
}

// OnRota returns those who may take a slot, or an alert: whoever may answer one and is
// let in.
func OnRota(tx *store.Tx) (map[care.PersonID]bool, error) {
	staff, err := tx.Register().Staff()
	if err != nil {
		return nil, err
	}
	notYet, err := tx.Access().NotInYet()
	if err != nil {
		return nil, err
	}
	out := map[care.PersonID]bool{}
	for _, p := range staff {
		out[p.ID] = !p.Gone && p.Role != care.Administrator && !notYet[p.ID]
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
