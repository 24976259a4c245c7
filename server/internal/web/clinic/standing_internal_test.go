package clinic

import (
	"testing"

	"nightkeep/server/internal/escalate"
)

// Where an alert stands is said of the way that was gone: a mail is not a device,
// and the newest word counts.
func TestStandingNamesTheWay(t *testing.T) {
	t.Parallel()
	sent := func(text string) escalate.Event { return escalate.Event{Kind: escalate.Sent, Text: text} }
	failed := escalate.Event{Kind: escalate.Failed, Text: "push: no device with notifications"}
	for _, c := range []struct {
		history []escalate.Event
		comes   bool
		want    string
	}{
		{nil, false, "waiting to be told"},
		{[]escalate.Event{failed}, true, "waiting to be told"}, // a mail is on its way
		{[]escalate.Event{failed}, false, "no device or mail address could be reached: phone whoever is on duty"},
		{[]escalate.Event{failed, sent("mail: taken")}, false, "handed over to the mail server, nobody has answered"},
		{[]escalate.Event{sent("mail: taken"), sent("push: taken")}, false, "handed over to a device, not yet shown"},
	} {
		if got := standing(escalate.Alert{History: c.history}, c.comes); got != c.want {
			t.Errorf("%v: %q, want %q", c.history, got, c.want)
		}
	}
}
