package review

import (
	"math"

	"nightkeep/schedule/civil"
)

// minutesPerDay is the length of the clock's circle.
const minutesPerDay = 24 * 60

// bedtime describes the insertion times; see [CircularTimes].
func bedtime(rows []NightRow) Bedtime {
	var times []civil.Clock
	for _, r := range rows {
		if c, err := civil.ParseClock(r.In); err == nil {
			times = append(times, c)
		}
	}
	b := Bedtime{N: len(times)}
	c, err := CircularTimes(times)
	if b.Resultant = c.Resultant; err != nil || c.Resultant == 0 {
		return b // no times, or all round the clock: they have no middle
	}
	b.Mean = civil.Clock(int(math.Round(c.MeanMinutes)) % minutesPerDay).String()
	b.SDMinutes = math.Round(c.SDMinutes*10) / 10
	return b
}
