package calc

import (
	"math"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/vision"
)

func courseTable() []computation {
	return []computation{
		{"effect", "the treatment effect night by night; residual_d is each morning after removal, evening_d before the next insertion, intervals hold 90 %",
			"baseline_d (-12 to 0), nights: a list of worn_hours (0 to 24) and awake_hours (hours out of lenses until the next insertion, 0 to 48; a missed night has worn_hours 0); " +
				"readings, may be absent: a list of night (1 = the first), hours (since removal, 0 to 48) and one of rating (1 to 5), loss_logmar (-1 to 2) with distance_m (1 to 10), or residual_d (-15 to 15) with sd_d (0.05 to 3)",
			`{"baseline_d":-3,"nights":[{"worn_hours":8,"awake_hours":16},{"worn_hours":8,"awake_hours":16},{"worn_hours":0,"awake_hours":24},{"worn_hours":8,"awake_hours":16}],"readings":[{"night":1,"hours":12,"rating":2},{"night":2,"hours":12,"rating":3},{"night":4,"hours":12,"loss_logmar":0.12,"distance_m":4}]}`, effect},
		{"growth", "axial growth per year and eye, beside published rates for the age; no rate is given in words",
			"birth (YYYY-MM-DD), sex (female or male, may be absent), first_night and stopped (may be absent; readings of the 28 days after the first are left out), " +
				"readings: a list of date, eye (right or left), mm (14 to 40), instrument, treatment (another one at the time, may be absent); readings before, on and after lenses and under another treatment are never pooled",
			`{"birth":"2015-03-01","sex":"female","readings":[{"date":"2025-01-10","eye":"right","mm":24.5,"instrument":"A"},{"date":"2025-07-10","eye":"right","mm":24.68,"instrument":"A"}]}`, growth},
	}
}

func (o *object) wornNights() []vision.WornNight {
	var out []vision.WornNight
	o.each("nights", func(c *object) {
		out = append(out, vision.WornNight{Worn: c.num("worn_hours", 0, 24), Awake: c.num("awake_hours", 0, 48)})
	})
	return out
}

func (o *object) effectReadings(nights int) []vision.Reading {
	var out []vision.Reading
	if !o.has("readings") {
		return nil
	}
	o.each("readings", func(c *object) {
		r := vision.Reading{Night: c.whole("night", 1, math.Max(1, float64(nights))) - 1, Hours: c.num("hours", 0, 48)}
		switch {
		case c.has("rating"):
			r.Rating = c.whole("rating", 1, 5)
		case c.has("loss_logmar"):
			r.Loss, r.Distance = c.num("loss_logmar", -1, 2), c.num("distance_m", 1, 10)
		default:
			r.Residual, r.SD = c.num("residual_d", -15, 15), c.num("sd_d", 0.05, 3)
		}
		out = append(out, r)
	})
	return out
}

type interval struct {
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

func intervalOf(i vision.Interval) interval {
	return interval{number(i.Value), number(i.Low), number(i.High)}
}

// eveningHours is how long after removal an evening is: 14 hours.
const eveningHours = 14

func effect(o *object) any {
	baseline, nights := o.num("baseline_d", -12, 0), o.wornNights()
	readings := o.effectReadings(len(nights))
	if o.bad() {
		return nil
	}
	fitted, err := vision.FitEffect(baseline, nights, readings)
	f := take(o, fitted, err)
	if o.bad() {
		return nil
	}
	status, why := f.Status()
	clear := f.ClearHours()
	first, off := f.RateIntervals()
	morning := f.Residuals()
	evening := make([]float64, len(morning))
	for i, e := range morning {
		evening[i] = f.Rates().Lose(e+f.T, nights[i].Awake) - f.T
	}
	return struct {
		Residual   []float64    `json:"residual_d"`
		Evening    []float64    `json:"evening_d"`
		ClearHours *float64     `json:"clear_hours"`
		ClearLow   *float64     `json:"clear_low"`
		ClearHigh  *float64     `json:"clear_high"`
		Status     string       `json:"status"`
		Why        string       `json:"why"`
		Drift      vision.Drift `json:"drift"`
		MissOne    interval     `json:"evening_after_1_missed_d"`
		MissTwo    interval     `json:"evening_after_2_missed_d"`
		First      interval     `json:"first_night_share"`
		Off        interval     `json:"loss_hours"`
	}{morning, evening, number(clear.Value), number(clear.Low), number(clear.High), string(status), why, f.Drift(),
		intervalOf(f.Missing(1, eveningHours)), intervalOf(f.Missing(2, eveningHours)), intervalOf(first), intervalOf(off)}
}

type eyeGrowth struct {
	Rate       *float64           `json:"mm_per_year"`
	Low        *float64           `json:"low"`
	High       *float64           `json:"high"`
	Class      vision.GrowthClass `json:"class"`
	Reason     string             `json:"reason,omitempty"`
	Years      float64            `json:"years"`
	Period     string             `json:"period,omitempty"`
	Earlier    []earlierGrowth    `json:"earlier,omitempty"`
	Beside     []vision.Beside    `json:"beside"`
	Percentile *percentile        `json:"last_reading_percentile,omitempty"`
	Infant     *float64           `json:"published_mean_mm,omitempty"` // to age 7
	DPerMM     *float64           `json:"d_per_mm_estimate,omitempty"`
}

type earlierGrowth struct {
	Period string             `json:"period"`
	Rate   *float64           `json:"mm_per_year"`
	Low    *float64           `json:"low"`
	High   *float64           `json:"high"`
	Class  vision.GrowthClass `json:"class"`
}

type percentile struct {
	Percentile    float64 `json:"percentile"`
	Population    string  `json:"population"`
	Approximation string  `json:"approximation"`
}

func growth(o *object) any {
	birth := o.date("birth")
	sex := ""
	if o.has("sex") {
		sex = o.one("sex", "female", "male")
	}
	var worn vision.LensTime
	if o.has("first_night") {
		worn.From = o.date("first_night")
	}
	if o.has("stopped") {
		worn.To = o.date("stopped")
	}
	eyes := map[string][]vision.Measured{}
	n := o.each("readings", func(c *object) {
		eye := c.one("eye", "right", "left")
		m := vision.Measured{Date: c.date("date"), Value: c.num("mm", vision.MinLength, vision.MaxLength), Instrument: into[string](c, "instrument", "the instrument's name")}
		if !c.bad() && m.Instrument == "" {
			c.refuse("instrument", "must name the instrument")
		}
		if c.has("treatment") {
			m.Treatment = into[string](c, "treatment", "the treatment's name")
		}
		eyes[eye] = append(eyes[eye], m)
	})
	if n == 0 {
		o.refuse("readings", "at least one reading is needed")
	}
	if o.bad() {
		return nil
	}
	out := map[string]eyeGrowth{}
	for eye, list := range eyes {
		g, err := vision.AxialGrowth(birth, []vision.LensTime{worn}, list)
		out[eye] = describeGrowth(take(o, g, err), birth, sex, list)
	}
	return out
}

func describeGrowth(g vision.Growth, birth civil.Date, sex string, list []vision.Measured) eyeGrowth {
	last := list[0]
	for _, m := range list {
		if m.Date.After(last.Date) {
			last = m
		}
	}
	lastAge := vision.YearsBetween(birth, last.Date)
	age := lastAge
	if g.Used > 0 {
		age = g.AgeAtStart
	}
	out := eyeGrowth{Class: g.Class, Reason: g.Reason, Years: g.Years, Beside: vision.PublishedGrowth(age)}
	if out.Beside == nil {
		out.Beside = []vision.Beside{}
	}
	out.Period = g.Period
	for _, e := range g.Earlier {
		out.Earlier = append(out.Earlier, earlierGrowth{e.Period, number(e.Rate), number(e.Low), number(e.High), e.Class})
	}
	if g.HasRate {
		out.Rate, out.Low, out.High = number(g.Rate), number(g.Low), number(g.High)
	}
	if p, err := vision.LengthPercentile(last.Value, lastAge); err == nil {
		out.Percentile = &percentile{p, vision.LengthPopulation, vision.LengthApproximation}
	}
	if mm, err := vision.InfantLength(lastAge, sex == "female"); err == nil && sex != "" {
		out.Infant = &mm
	}
	if d, err := vision.DioptresPerMM(lastAge); err == nil {
		out.DPerMM = &d
	}
	return out
}
