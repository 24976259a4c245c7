package episode

import (
	"slices"
	"strings"
	"time"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
)

const water alerts.Sign = "water"

// WetAt is when the newest of some entries that says "water" was written, in its own
// zone: an eye check that was asked, or the care of a night. Zero when none does.
func WetAt(entries []*care.Entry) (last time.Time) {
	for _, e := range entries {
		wet := e.Kind == care.Symptoms && e.Report().Water == "yes"
		if e.Kind == care.Care {
			signs := care.NightSignsOf(e.Night, []*care.Entry{e})
			wet = signs.Water
		}
		if at := WrittenAt(e); wet && at.After(last) {
			last = at
		}
	}
	return last
}

// WaterSaid adds a "yes" to water that was said before the episode, or in the log: a
// later "no" lowers nothing and stands beside it. One that a report of the episode says
// itself stays.
func (ep *Episode) WaterSaid(at time.Time) {
	def := alerts.Default().Signs[slices.IndexFunc(alerts.Default().Signs, func(s alerts.SignDef) bool {
		return s.Name == water && s.Scope == alerts.OfReport
	})]
	if at.IsZero() || slices.ContainsFunc(ep.Seen, func(s EpisodeSign) bool { return s.Sign == def.Label }) {
		return
	}
	say := func(answer string) string {
		return strings.ToLower(alerts.English().Say("answer.water." + answer))
	}
	yes := EpisodeSign{Sign: def.Label, Answer: say("yes"), At: at}
	if slices.Contains(ep.Denied, def.Label) {
		yes.Since = say("no")
	}
	isWater := func(label string) bool { return label == def.Label }
	ep.Denied, ep.Open = slices.DeleteFunc(ep.Denied, isWater), slices.DeleteFunc(ep.Open, isWater)
	ep.Seen = append(ep.Seen, yes)
}
