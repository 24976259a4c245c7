package episode

import (
	"slices"
	"time"

	"nightkeep/alerts"
)

// ToldOfRules returns what the phone shows of findings about the log, of which its
// page heads with the worst: how soon and the lens first, what was found, then the
// steps. Names of no rule are passed over; false when all are. Which version of the
// rules the phone had is not known of a log.
func ToldOfRules(ids []string, at time.Time) (EpisodeTold, bool) {
	var worst *alerts.Rule
	rules := alerts.Default().Rules
	for i := range rules {
		r := &rules[i]
		if slices.Contains(ids, r.ID) && (worst == nil || r.Level > worst.Level) {
			worst = r
		}
	}
	if worst == nil {
		return EpisodeTold{}, false
	}
	say := alerts.English()
	out := alerts.Outcome{Level: worst.Level, Actions: worst.Actions}
	t := EpisodeTold{At: at, Level: worst.Level, Here: alerts.Default().Version}
	for _, head := range out.Headline() {
		t.Steps = append(t.Steps, say.Say(head))
	}
	t.Steps = append(t.Steps, say.Say(worst.Family)+".")
	for _, a := range worst.Actions {
		t.Steps = append(t.Steps, say.Say("action."+a))
	}
	return t, true
}
