package review

import (
	"math"

	"nightkeep/schedule/civil"
)

// minutesPerDay is the length of the clock's circle.
const minutesPerDay = 24 * 60

// bedtime describes the insertion times on a circle, so that 23:50 and 00:10
// lie 20 minutes apart (circular mean and standard deviation, Mardia 1972).
func bedtime(rows []NightRow) Bedtime {
	var sin, cos float64
	b := Bedtime{}
	for _, r := range rows {
		c, err := civil.ParseClock(r.In)
		if err != nil {
			continue
		}
		b.N++
		angle := 2 * math.Pi * float64(c) / minutesPerDay
		sin, cos = sin+math.Sin(angle), cos+math.Cos(angle)
	}
	if b.N == 0 {
		return b
	}
	n := float64(b.N)
	b.Resultant = math.Min(1, math.Hypot(sin/n, cos/n))
	if b.Resultant < 1e-9 {
		return b // times all round the clock have no middle
	}
	mean := int(math.Round(math.Atan2(sin, cos)*minutesPerDay/(2*math.Pi))) + minutesPerDay
	b.Mean = civil.Clock(mean % minutesPerDay).String()
	b.SDMinutes = math.Round(math.Sqrt(-2*math.Log(b.Resultant))*minutesPerDay/(2*math.Pi)*10) / 10
	return b
}
