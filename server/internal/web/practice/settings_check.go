package practice

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/record"
)

// Bounds of what a practice may write: far beyond any practice, so that they
// only stop what would make every page slow.
const (
	maxHours  = 50
	maxClosed = 400
	maxSlots  = 200
	maxOff    = 400
)

// phoneNumber is a number as people write it: 2 digits (some emergency numbers)
// to 15 (ITU-T E.164), with the usual signs between.
var phoneNumber = regexp.MustCompile(`^\+?([0-9][ ()./-]*){2,15}$`)

// faults gathers everything that is wrong, so that it can be mended at once.
type faults []*care.Error

func (f *faults) add(field, format string, args ...any) {
	*f = append(*f, care.Refuse("bad-settings", field, format, args...))
}

// join puts all faults into one error: the field is that of the first, the text
// names the field of each, one a line.
func (f faults) join() error {
	if len(f) == 0 {
		return nil
	}
	lines := make([]string, len(f))
	for i, e := range f {
		lines[i] = e.Field + ": " + e.Text
	}
	return care.Refuse("bad-settings", f[0].Field, "%s", strings.Join(lines, "\n"))
}

// check holds everything against what is accepted. Of the minutes of escalation
// it names the first fault only, since their bounds hang on one another.
func (s *settings) check(tx *store.Tx) error {
	var f faults
	f.practice(s.Practice)
	f.contacts(s.Practice.Contacts)
	may, err := ready.OnRota(tx)
	if err != nil {
		return err
	}
	f.rota(s.Rota, may)
	f.take("policy", s.Policy.Check())
	for _, name := range slices.Sorted(maps.Keys(s.RuleSettings)) {
		if err := alerts.Default().CheckSettings(map[string]int{name: s.RuleSettings[name]}); err != nil {
			_, why, _ := strings.Cut(err.Error(), ": ") // its name stands at the field
			f.add("rule_settings."+name, "%s", why)
		}
	}
	return f.join()
}

// take adds an error of another package, under the part it is about.
func (f *faults) take(part string, err error) {
	var e *care.Error
	if errors.As(err, &e) {
		f.add(part+"."+e.Field, "%s", e.Text)
	}
}

func (f *faults) practice(p care.Practice) {
	f.text("practice.name", p.Name)
	f.whereabouts(p)
	if p.PrivateFrom != 0 && (p.PrivateFrom < 10 || p.PrivateFrom > 18) {
		f.add("practice.private_from", "want 10 to 18 years, or 0 for nobody")
	}
	if n := p.VisitMinutes; n != 0 && (n < 5 || n > 240) {
		f.add("practice.visit_minutes", "%d: want 5 to 240 minutes, or 0", n)
	}
	if n := p.PerSession; n < 0 || n > 200 {
		f.add("practice.per_session", "%d: want 1 to 200 appointments, or 0", n)
	}
	if p.OwnerMail != "" && !record.PlainMail(p.OwnerMail) {
		f.add("practice.owner_mail", "%q: want a plain mail address, or nothing", p.OwnerMail)
	}
}

func (f *faults) text(field, text string) {
	if n := utf8.RuneCountInString(text); n < 1 || n > 80 {
		f.add(field, "want 1 to 80 characters, this has %d", n)
	}
	f.shows(field, text)
}

// shows wants a text of one line that shows as it is written, as names do.
func (f *faults) shows(field, text string) {
	if !care.OneLine(text) {
		f.add(field, record.BadCharacters)
	}
}

func (f *faults) zone(field, zone string) {
	if !ready.KnownZone(zone) {
		f.add(field, "zone %q: want an IANA name such as Europe/Berlin", zone)
	}
}

func (f *faults) phone(field, number string, needed bool) {
	if number == "" && !needed {
		return
	}
	if len(number) > 40 || !phoneNumber.MatchString(number) {
		f.add(field, "%q: want a telephone number of 2 to 15 digits", number)
	}
}

// maxPlace is how many characters a line about the emergency department takes.
const maxPlace = 120

// place wants a name where there is an address or hours.
func (f *faults) place(at string, p care.Place) {
	for _, line := range []struct{ field, text string }{{"name", p.Name}, {"address", p.Address}, {"hours", p.Hours}} {
		if utf8.RuneCountInString(line.text) > maxPlace {
			f.add(at+line.field, "%d characters: want at most %d", utf8.RuneCountInString(line.text), maxPlace)
		}
		f.shows(at+line.field, line.text)
	}
	if p.Name == "" && p.Address+p.Hours != "" {
		f.add(at+"name", "want the name of the department beside its address or hours")
	}
}

func (f *faults) contacts(c care.Contacts) {
	const at = "practice.contacts."
	f.text(at+"clinic", c.Clinic)
	f.phone(at+"phone", c.Phone, true)
	f.phone(at+"emergency_number", c.Emergency, true)
	f.phone(at+"after_hours_phone", c.AfterHours, false)
	f.zone(at+"zone", c.Zone)
	f.place(at+"emergency_place.", c.Place)
	f.most(at+"hours", len(c.Hours), maxHours)
	f.most(at+"closed", len(c.Closed), maxClosed)
	for i, h := range c.Hours {
		field := fmt.Sprintf("%shours.%d", at, i)
		if h.Weekday < 0 || h.Weekday > 6 {
			f.add(field, "weekday %d: want 0 (Sunday) to 6 (Saturday)", h.Weekday)
		}
		if h.To <= h.From && h.To != 0 {
			f.add(field, "%s to %s: want an end after the start, or 00:00 for midnight", h.From, h.To)
		}
		if i > 0 && c.Hours[i-1].Weekday == h.Weekday && (c.Hours[i-1].To > h.From || c.Hours[i-1].To == 0) {
			f.add(field, "%s to %s begins before %s, when the hours before it end", h.From, h.To, c.Hours[i-1].To)
		}
	}
	if slices.ContainsFunc(c.Closed, civil.Date.IsZero) {
		f.add(at+"closed", "want dates such as 2026-12-25")
	}
}

func (f *faults) most(field string, n, most int) {
	if n > most {
		f.add(field, "%d: want %d at most", n, most)
	}
}

// rota checks slot by slot, so that each fault is named.
func (f *faults) rota(r escalate.Rota, may map[care.PersonID]bool) {
	f.zone("rota.zone", r.Zone)
	f.most("rota.slots", len(r.Slots), maxSlots)
	f.most("rota.off", len(r.Off), maxOff)
	person := func(field string, p care.PersonID) {
		if p != "" && !may[p] {
			f.add(field, "whoever was chosen is no clinician or desk of this practice, has left, or is not let in yet")
		}
	}
	for i, s := range r.Slots {
		field := fmt.Sprintf("rota.slots.%d", i)
		f.one(field, escalate.Rota{Zone: "UTC", Slots: []escalate.Slot{s}}.Check())
		person(field+".person", s.Person)
		person(field+".deputy", s.Deputy)
	}
	f.overlaps(r.Slots)
	f.most("rota.dates", len(r.Dates), maxOff)
	f.most("rota.holidays", len(r.Holidays), maxOff)
	f.most("rota.swaps", len(r.Swaps), maxOff)
	for i, d := range r.Dates {
		field := fmt.Sprintf("rota.dates.%d", i)
		f.one(field, escalate.Rota{Zone: "UTC", Dates: []escalate.Duty{d}}.Check())
		person(field+".person", d.Person)
		person(field+".deputy", d.Deputy)
		for _, o := range r.Dates[:i] {
			if o.Date == d.Date && meet(minutes(o.From, o.To), minutes(d.From, d.To)) {
				f.add(field, "%s: %s to %s overlaps %s to %s", d.Date, d.From, d.To, o.From, o.To)
			}
		}
	}
	for i, x := range r.Swaps {
		f.one(fmt.Sprintf("rota.swaps.%d", i), escalate.Rota{Zone: "UTC", Swaps: []escalate.Swap{x}}.Check())
	}
	for i, o := range r.Off {
		field := fmt.Sprintf("rota.off.%d", i)
		f.one(field, escalate.Rota{Zone: "UTC", Off: []escalate.Absence{o}}.Check())
		person(field+".person", o.Person)
	}
}

// stretch is from one minute to another of a fortnight, which begins on a Monday.
type stretch struct{ from, to int }

func meet(a, b stretch) bool { return a.from < b.to && b.from < a.to }

func minutes(from, to civil.Clock) stretch {
	s := stretch{int(from), int(to)}
	if to <= from {
		s.to += 24 * 60
	}
	return s
}

// fortnight is when a slot holds within two weeks: in both, or in one of them.
func fortnight(s escalate.Slot) (out []stretch) {
	const day = 24 * 60
	at := minutes(s.From, s.To)
	weeks := []int{0, 1}
	if !s.Since.IsZero() {
		weeks = []int{s.Since.DaysSince(civil.MustDate("2000-01-03")) / 7 % 2} // a Monday
	}
	for _, w := range weeks {
		shift := (7*w + (s.Weekday+6)%7) * day
		out = append(out, stretch{at.from + shift, at.to + shift})
	}
	return out
}

// overlaps refuses two slots that hold at once: nobody could say who is on duty. A
// slot over the last midnight of a fortnight goes on into the next one.
func (f *faults) overlaps(slots []escalate.Slot) {
	const whole = 14 * 24 * 60
	both := func(a, b escalate.Slot) bool {
		for _, x := range fortnight(a) {
			for _, y := range fortnight(b) {
				for _, shift := range []int{-whole, 0, whole} {
					if meet(x, stretch{y.from + shift, y.to + shift}) {
						return true
					}
				}
			}
		}
		return false
	}
	for i, a := range slots {
		for _, b := range slots[:i] {
			if both(a, b) {
				f.add(fmt.Sprintf("rota.slots.%d", i), "%s to %s overlaps %s to %s; want one person on duty at a time, and a deputy", a.From, a.To, b.From, b.To)
			}
		}
	}
}

func (f *faults) one(field string, err error) {
	var e *care.Error
	if errors.As(err, &e) {
		f.add(field, "%s", e.Text)
	}
}
