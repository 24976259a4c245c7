package calc

import (
	"encoding/json"
	"math"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review/stats"
)

func statsTable() []computation {
	return []computation{
		{"adherence", "nights worn of nights answered, Wilson 95 % limits, and the bounds the unlogged nights allow",
			"worn, not_worn, unlogged (whole numbers, 0 to 100000, at least one night in all)",
			`{"worn":25,"not_worn":3,"unlogged":2}`, adherence},
		{"bedtime", "the mean time on the clock's circle; mean is rounded to the minute, mean_minutes is not",
			`times: a list of "HH:MM", at least one; the bare list is accepted too`,
			`{"times":["21:30","22:00","23:45","00:15","22:30"]}`, bedtime},
		{"trend", "a robust straight line (Theil-Sen) with 95 % limits of its slope, null below 5 points",
			"x and y (lists of numbers, 2 to 2000 of each)",
			`{"x":[0,1,2,3,4,5],"y":[0.1,0.1,0.2,0.2,0.3,0.5]}`, trend},
		{"approach", "the least-squares fit of b1(1-exp(-b2 x)) with standard errors",
			"x (0 or above) and y (lists of numbers, 3 to 10000 of each)",
			`{"x":[1,2,4,7,14],"y":[1.74,2.47,2.91,2.99,3.01]}`, approach},
		{"survival", "continued wear (Kaplan-Meier) as curve: a list of time, survival, se (Greenwood; null once survival is 0)",
			"events and censored (lists of times, 0 or above, at least one time in all)",
			`{"events":[6,6,6,7,10,13,16,22,23],"censored":[6,9,10,11,17,19,20,25,32,32,34,35]}`, survival},
		{"rate", "events per 10,000 person-years with exact Poisson 95 % limits",
			"events (whole number, 0 to 1000000), person_years (above 0, at most 1e9)",
			`{"events":2,"person_years":2599}`, rate},
	}
}

func adherence(o *object) any {
	s, err := stats.AdherenceShare(o.whole("worn", 0, 100_000), o.whole("not_worn", 0, 100_000), o.whole("unlogged", 0, 100_000))
	if !o.bad() {
		s = take(o, s, err)
	}
	out := struct {
		Proportion *float64 `json:"proportion"` // null when no night is answered
		Low        float64  `json:"low"`
		High       float64  `json:"high"`
		BoundLow   float64  `json:"bound_low"`
		BoundHigh  float64  `json:"bound_high"`
	}{nil, s.Low, s.High, s.BoundLow, s.BoundHigh}
	if s.Answered() > 0 {
		out.Proportion = number(s.Share)
	}
	return out
}

func bedtime(o *object) any {
	const what = `a list of "HH:MM"`
	var list []string
	if o.bare != nil {
		if json.Unmarshal(o.bare, &list) != nil {
			o.refuse("times", "must be %s", what)
		}
	} else {
		list = into[[]string](o, "times", what)
	}
	var times []civil.Clock
	for _, text := range list {
		t, err := civil.ParseClock(text)
		if err != nil {
			o.refuse("times", "%q is not accepted; it must be %s", text, what)
		}
		times = append(times, t)
	}
	if o.bad() {
		return nil
	}
	c, err := stats.CircularTimes(times)
	c = take(o, c, err)
	out := struct {
		Mean        *string  `json:"mean"` // null when the times have no middle
		MeanMinutes *float64 `json:"mean_minutes"`
		Resultant   *float64 `json:"resultant"`
		SDMinutes   *float64 `json:"sd_minutes"`
		Irregular   bool     `json:"irregular"`
	}{nil, maybe(c.MeanMinutes), number(c.Resultant), maybe(c.SDMinutes), c.Irregular()}
	if out.MeanMinutes != nil {
		text := civil.Clock(int(math.Round(c.MeanMinutes)) % (24 * 60)).String()
		out.Mean = &text
	}
	return out
}

func trend(o *object) any {
	x, y := o.nums("x"), o.nums("y")
	if o.bad() {
		return nil
	}
	found, err := stats.TheilSen(x, y)
	t := take(o, found, err)
	out := struct {
		Slope     *float64 `json:"slope"`
		Low       *float64 `json:"low"`
		High      *float64 `json:"high"`
		Intercept *float64 `json:"intercept"`
	}{Slope: number(t.Slope), Intercept: number(t.Intercept)}
	if t.HasLimits {
		out.Low, out.High = number(t.Low), number(t.High)
	}
	return out
}

func approach(o *object) any {
	x, y := o.nums("x"), o.nums("y")
	if o.bad() {
		return nil
	}
	found, err := stats.FitApproach(x, y)
	a := take(o, found, err)
	return struct {
		B1  *float64 `json:"b1"`
		B2  *float64 `json:"b2"`
		RSS *float64 `json:"rss"`
		SD1 *float64 `json:"sd_b1"`
		SD2 *float64 `json:"sd_b2"`
	}{number(a.B1), number(a.B2), number(a.RSS), number(a.SD1), number(a.SD2)}
}

type survivalStep struct {
	Time     float64  `json:"time"`
	Survival float64  `json:"survival"`
	SE       *float64 `json:"se"`
}

func survival(o *object) any {
	events, censored := o.nums("events"), o.nums("censored")
	if o.bad() {
		return nil
	}
	found, err := stats.KaplanMeier(events, censored)
	curve := []survivalStep{}
	for _, s := range take(o, found, err) {
		curve = append(curve, survivalStep{s.Time, s.Survival, maybe(s.SE)})
	}
	return struct {
		Curve []survivalStep `json:"curve"`
	}{curve}
}

func rate(o *object) any {
	events, years := o.whole("events", 0, 1_000_000), o.num("person_years", 0, 1e9)
	if o.bad() {
		return nil
	}
	per, low, high, err := stats.PoissonRate(events, years)
	_ = take(o, 0, err)
	return struct {
		Per10000 *float64 `json:"per_10000"`
		Low      *float64 `json:"low"`
		High     *float64 `json:"high"`
	}{number(per), number(low), number(high)}
}
