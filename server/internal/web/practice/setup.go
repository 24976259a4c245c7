package practice

import (
	"slices"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/transport"
)

// Step is one step of setting a practice up.
type Step struct {
	Name string   // what is set, and where
	Open []string // what is missing, in words; empty: done
}

// steps are in the order they are taken: later ones depend on earlier ones.
var steps = []struct {
	name  string
	words []string // of what may be missing, see [ready.NotSet]
}{
	{"Zone and name (Settings): dates, hours and reminders are counted by the zone", []string{"zone", "name"}},
	{"Telephone numbers (Settings): what families are shown when an eye is sore", []string{"phone", "emergency", "afterhours", "place"}},
	{"Hours (Settings): when the practice answers", []string{"hours"}},
	{"Rota (Settings): who is told of an alert first, and who next", []string{"rota", "gap", "night", "left", "desk"}},
	{"Notifications, signing in and a passkey (each member of staff, on their own device)", []string{"notifications", "unheard", "signedout", "passkey"}},
	{"Mail (Staff, and serve -smtp): what reaches people whose devices are silent", []string{"mail", "owner"}},
	{"Two administrators (Staff): one lets the other in who has lost their device", []string{"administrator"}},
	{"Backups (serve -backup-dir); try one with restore -rehearsal before you need it", []string{"backup", "readback", "space"}},
	{"A drill (Daily check): a test alert that somebody answers", []string{"drill"}},
	{"The machine: clock, certificate, disk", []string{"clock", "certificate", "disk", "unreadable", "ladder", "outbox", "tick", "push"}},
}

// Setup returns every step with what is still open in it.
func Setup(s *transport.Server) ([]Step, error) {
	var r settingsReply
	err := s.View(func(tx *store.Tx) (err error) { r, err = readSettings(s, tx); return err })
	if err != nil {
		return nil, err
	}
	out := make([]Step, 0, len(steps))
	for _, step := range steps {
		done := Step{Name: step.name}
		for _, m := range r.NotSet {
			if slices.Contains(step.words, m.What) {
				done.Open = append(done.Open, m.Text)
			}
		}
		out = append(out, done)
	}
	return out, nil
}
