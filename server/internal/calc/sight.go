package calc

import (
	"encoding/json"

	"nightkeep/server/internal/vision"
)

func sightTable() []computation {
	return []computation{
		{"optotype", "the size of an optotype and of its detail; drawn is the nearest with whole device pixels",
			"logmar (-1 to 2), distance_m (0.2 to 20), px_per_mm (1 to 100 device pixels, may be absent)",
			`{"logmar":0,"distance_m":3,"px_per_mm":10.39}`, optotype},
		{"acuity", "the threshold after trials, and the next size by minimum expected entropy",
			"shape weibull with slope (multiplies log10 units; a list estimates it too), logistic with scale, or normal with sd (each above 0, at most 1000); guess (0 to 0.99); lapse (0 to 0.5); " +
				`grid [from, to, step] (at most 1001 points within -100 to 100); prior ("uniform" or {"mean", "sd"}); trials [[logmar, 1 or 0], ...], may be empty`,
			`{"shape":"weibull","slope":6,"guess":0.25,"lapse":0.02,"grid":[-0.3,1,0.05],"prior":"uniform","trials":[[0.4,1],[0.15,0]]}`, acuity},
		{"acuity-convert", "one acuity in every notation; letters is the 4 m letter score, 85 - 50 logMAR",
			"exactly one of logmar (-1 to 3), decimal, snellen_m (the x of 6/x), snellen_ft (the x of 20/x), letters",
			`{"snellen_ft":40}`, convert},
	}
}

func optotype(o *object) any {
	logmar := o.num("logmar", vision.MinLogMAR, vision.MaxLogMAR)
	distance := o.num("distance_m", vision.MinDistance, vision.MaxDistance)
	px := o.numOr("px_per_mm", vision.MinPxPerMM, vision.MaxPxPerMM, 0)
	type drawn struct {
		DetailPx int     `json:"detail_px"`
		LogMAR   float64 `json:"logmar"`
	}
	var out struct {
		HeightMM float64  `json:"height_mm"`
		DetailMM float64  `json:"detail_mm"`
		HeightPx *float64 `json:"height_px,omitempty"`
		Drawn    *drawn   `json:"drawn,omitempty"`
		Smallest *float64 `json:"smallest_logmar,omitempty"`
	}
	if o.bad() {
		return nil
	}
	size, err := vision.OptotypeSize(logmar, distance, px)
	size = take(o, size, err)
	out.HeightMM, out.DetailMM = size.HeightMM, size.DetailMM
	if px > 0 {
		out.HeightPx = number(size.HeightPx)
		detail, real := size.Drawn(distance, px)
		out.Drawn = &drawn{detail, real}
		out.Smallest = number(vision.SmallestLogMAR(distance, px))
	}
	return out
}

func (o *object) acuityModel() vision.AcuityModel {
	var m vision.AcuityModel
	m.Shape = vision.Shape(o.one("shape", "weibull", "logistic", "normal"))
	spread := map[vision.Shape]string{vision.Weibull: "slope", vision.Logistic: "scale", vision.Normal: "sd"}[m.Shape]
	if raw, ok := o.fields[spread]; ok && len(raw) > 0 && raw[0] == '[' {
		m.Spreads = o.nums(spread)
	} else if spread != "" {
		m.Spread = o.num(spread, 1e-6, 1000)
	}
	m.Guess, m.Lapse = o.num("guess", 0, 0.99), o.num("lapse", 0, 0.5)
	grid := o.nums("grid")
	if !o.bad() && len(grid) != 3 {
		o.refuse("grid", "must be [from, to, step]")
	}
	if o.bad() {
		return m
	}
	m.From, m.To, m.Step = grid[0], grid[1], grid[2]
	if m.From < -100 || m.To > 100 {
		o.refuse("grid", "must lie within -100 to 100")
	}
	o.prior(&m)
	return m
}

func (o *object) prior(m *vision.AcuityModel) {
	if raw := o.fields["prior"]; len(raw) > 0 && raw[0] == '"' {
		o.one("prior", "uniform")
		return
	}
	o.child("prior", func(c *object) {
		m.PriorMean, m.PriorSD = c.num("mean", -100, 100), c.num("sd", 1e-6, 1000)
	})
}

func (o *object) trials() []vision.Trial {
	const what = "a list of [logmar, 1 or 0]"
	var out []vision.Trial
	for _, raw := range into[[]json.RawMessage](o, "trials", what) {
		var pair []*float64
		if json.Unmarshal(raw, &pair) != nil || len(pair) != 2 || pair[0] == nil || pair[1] == nil || *pair[1] != 0 && *pair[1] != 1 || *pair[0] < -100 || *pair[0] > 100 {
			o.refuse("trials", "%s is not accepted; it must be %s", raw, what)
			return nil
		}
		out = append(out, vision.Trial{Size: *pair[0], Correct: *pair[1] == 1})
	}
	if len(out) > 10_000 {
		o.refuse("trials", "%d trials; accepted is at most 10000", len(out))
	}
	return out
}

func acuity(o *object) any {
	m, trials := o.acuityModel(), o.trials()
	if o.bad() {
		return nil
	}
	a, err := vision.NewAcuity(m)
	if a = take(o, a, err); o.bad() {
		return nil
	}
	for _, t := range trials {
		if err := a.Add(t); err != nil {
			return take[any](o, nil, err)
		}
	}
	v := a.Verdict()
	out := struct {
		Mean     *float64 `json:"mean"`
		SD       *float64 `json:"sd"`
		Next     *float64 `json:"next"`
		Mode     *float64 `json:"mode"`
		Slope    *float64 `json:"mean_slope,omitempty"`
		Trials   int      `json:"trials"`
		Done     bool     `json:"done"`
		Reliable bool     `json:"reliable"`
		Reasons  []string `json:"reasons,omitempty"`
	}{number(a.Mean()), number(a.SD()), number(a.Next()), number(a.Mode()), nil, len(trials), v.Done, v.Reliable, v.Reasons}
	if len(m.Spreads) > 0 {
		out.Slope = number(a.MeanSpread())
	}
	return out
}

func convert(o *object) any {
	var given string
	for _, name := range []string{"logmar", "decimal", "snellen_m", "snellen_ft", "letters"} {
		if !o.has(name) {
			continue
		}
		if given != "" {
			o.refuse(name, "only one notation is accepted, and %s is there too", given)
		}
		given = name
	}
	if given == "" {
		o.refuse("logmar", "missing: one notation is needed")
	}
	if o.bad() {
		return nil
	}
	value := into[float64](o, given, "a number")
	if o.bad() {
		return nil
	}
	n, err := vision.ParseNotation(given, value)
	return take(o, n, err)
}
