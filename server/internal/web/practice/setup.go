package practice

import (
	"slices"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
	"nightkeep/server/internal/web/transport"
)

// Step is one step of setting a practice up. The console's first page and
// `check -setup` walk the same steps.
type Step struct {
	Name string `json:"name"`
	Why  string `json:"why"`
	Page string `json:"page"` // of the console where it is set; empty: on the machine
	// Invite says that no new family is invited while it is open.
	Invite bool     `json:"invite"`
	Open   []string `json:"open"` // what is missing, in words; empty: done
}

// steps are in the order they are taken: later ones depend on earlier ones.
var steps = []struct {
	Step
	words []string // of what may be missing, see [ready.NotSet]
}{
	{Step{"Zone, country and languages", "Nights, hours and reminders are counted by the zone, telephone numbers are read as the country's, and paper is printed in the languages. Nothing that depends on them is saved before.", "settings", false, nil},
		[]string{"zone", "country", "languages"}},
	{Step{"Name and telephone numbers", "They are what a family with a sore eye has, without a network too.", "settings", false, nil},
		[]string{"name", "phone", "emergency", "afterhours", "place"}},
	{Step{"Hours", "A family must know when somebody answers, and that nobody watches at other times.", "settings", false, nil},
		[]string{"hours"}},
	{Step{"Staff", "The rota names people, and an alert needs a clinician who takes it. Whoever is added in the console is let in when somebody else of the practice has confirmed it there, or after 24 hours. Where Nightkeep runs, staff add -role clinician lets them in at once.", "staff", false, nil},
		[]string{"clinician"}},
	{Step{"Rota", "It says who hears of an alert first, and who next.", "settings", false, nil},
		[]string{"rota", "gap", "night", "left", "desk"}},
	{Step{"Devices that ring", "An alert that no device shows is found late. Each member of staff signs in at their own device, makes a passkey there and turns notifications on.", "staff", false, nil},
		[]string{"notifications", "unheard", "signedout", "passkey", "staffphone"}},
	{Step{"Mail, tested", "Mail reaches people whose devices are silent. Only a mail that was read shows that it arrives: everybody on the rota, and the owner, reads one. The server is set where Nightkeep is started: serve -smtp.", "staff", false, nil},
		[]string{"mail", "owner", "untested"}},
	{Step{"A backup, read back", "A backup that nobody has tried may be none. Copies are made where Nightkeep is started: serve -backup-dir; they are tried with restore -rehearsal.", "settings", false, nil},
		[]string{"restored", "backup", "readback", "rehearsal", "space"}},
	{Step{"A second administrator", "One lets the other in who has lost their device.", "staff", false, nil},
		[]string{"administrator"}},
	{Step{"A drill", "A test alert that somebody answers shows that the whole way works.", "check", false, nil},
		[]string{"drill", "rang"}},
	{Step{"Alert rules, approved", "They act from the first start; local law and emergency ways may differ from them. A clinician reads and approves them.", "rules", false, nil},
		[]string{"approved"}},
	{Step{"The machine: clock, certificate, disk", "Reminders and the ladder of alerts run by its clock, and phones trust its certificate.", "", false, nil},
		[]string{"clock", "certificate", "disk", "unreadable", "reports", "ladder", "outbox", "tick", "push"}},
}

// setup sorts what is missing into the steps.
func setup(missing []ready.NotSet) []Step {
	out := make([]Step, 0, len(steps))
	for _, s := range steps {
		step := s.Step
		step.Open = []string{}
		for _, m := range missing {
			if slices.Contains(s.words, m.What) {
				step.Open, step.Invite = append(step.Open, m.Text), step.Invite || m.Invite
			}
		}
		out = append(out, step)
	}
	return out
}

// Setup returns every step with what is still open in it.
func Setup(s *transport.Server) ([]Step, error) {
	var r settingsReply
	err := s.View(func(tx *store.Tx) (err error) { r, err = readSettings(s, tx); return err })
	return r.Setup, err
}
