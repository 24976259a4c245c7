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
		want    string
	}{
		{nil, "waiting to be told"},
		{[]escalate.Event{failed}, "no device or mail address could be reached: phone whoever is on duty"},
		{[]escalate.Event{failed, sent("mail: taken")}, "handed over to the mail server, nobody has answered"},
		{[]escalate.Event{sent("mail: taken"), sent("push: taken")}, "handed over to a device, not yet shown"},
	} {
		if got := standing(escalate.Alert{History: c.history}); got != c.want {
			t.Errorf("%v: %q, want %q", c.history, got, c.want)
		}
	}
}
