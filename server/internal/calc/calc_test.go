package calc_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/server/internal/calc"
)

func run(t *testing.T, name, in string) map[string]any {
	t.Helper()
	var out bytes.Buffer
	if err := calc.Run(name, strings.NewReader(in), &out); err != nil {
		t.Fatalf("%s %s: %v", name, in, err)
	}
	var v map[string]any
	if err := json.Unmarshal(out.Bytes(), &v); err != nil {
		t.Fatalf("%s: output %q: %v", name, out.String(), err)
	}
	return v
}

func TestNamesAreTheAgreedOnes(t *testing.T) {
	t.Parallel()
	want := []string{"vertex", "powervector", "mean-refraction", "transpose", "suitability", "optotype", "acuity", "acuity-convert",
		"adherence", "bedtime", "trend", "approach", "survival", "rate", "effect", "growth"}
	if diff := cmp.Diff(want, calc.Names()); diff != "" {
		t.Errorf("names (-want +got):\n%s", diff)
	}
	var out bytes.Buffer
	if err := calc.List(&out); err != nil {
		t.Fatal(err)
	}
	for _, name := range want {
		if !strings.Contains(out.String(), "\n"+name+": ") && !strings.HasPrefix(out.String(), name+": ") {
			t.Errorf("%s is not listed", name)
		}
	}
}

// Each number is a published or hand-worked one; the fields are the contract.
func TestAnswers(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name, in string
		want     map[string]float64
		tol      float64
	}{
		{"vertex", `{"sphere":-6,"vertex_mm":12}`, map[string]float64{"sphere": -6 / 1.072, "cylinder": 0, "axis": 0}, 1e-12},
		{"powervector", `{"sphere":-3,"cylinder":-1.5,"axis":180}`, map[string]float64{"m": -3.75, "j0": 0.75, "j45": 0, "b": math.Sqrt(14.625)}, 1e-12},
		{"mean-refraction", `[{"sphere":-2,"cylinder":-2,"axis":180},{"sphere":1,"cylinder":-1,"axis":90}]`, map[string]float64{"sphere": -1, "cylinder": -0.5, "axis": 180}, 1e-12},
		{"transpose", `{"sphere":-2,"cylinder":1.5,"axis":90}`, map[string]float64{"sphere": -0.5, "cylinder": -1.5, "axis": 180}, 0},
		{"optotype", `{"logmar":0,"distance_m":4,"px_per_mm":10}`, map[string]float64{"height_mm": 5.81777, "detail_mm": 1.163553, "height_px": 58.1777}, 5e-5},
		{"acuity", `{"shape":"weibull","slope":6,"guess":0.25,"lapse":0.02,"grid":[-0.3,1,0.05],"prior":"uniform","trials":[[0.4,1],[0.15,0],[0.5,1]]}`, map[string]float64{"mean": 0.354471, "sd": 0.204554, "next": 0.35}, 6e-7},
		{"acuity-convert", `{"letters":70}`, map[string]float64{"logmar": 0.3, "decimal": 0.501187, "snellen_m": 11.9716, "snellen_ft": 39.9052, "letters": 70}, 5e-5},
		{"adherence", `{"worn":18,"not_worn":2,"unlogged":0}`, map[string]float64{"proportion": 0.9, "low": 0.6989663547715128, "high": 0.972133518786232, "bound_low": 0.9, "bound_high": 0.9}, 1e-9},
		{"bedtime", `["21:30","22:00","23:45","00:15","22:30"]`, map[string]float64{"resultant": 0.96315, "sd_minutes": 62.803}, 5e-4},
		{"rate", `{"events":2,"person_years":2599}`, map[string]float64{"per_10000": 7.7, "low": 0.93, "high": 27.8}, 0.01},
		{"effect", `{"baseline_d":-3.56,"nights":[{"worn_hours":8,"awake_hours":16}]}`, map[string]float64{}, 0},
	} {
		got := run(t, tt.name, tt.in)
		for field, want := range tt.want {
			v, ok := got[field].(float64)
			if !ok || math.Abs(v-want) > tt.tol {
				t.Errorf("%s %s: %s is %v, want %v", tt.name, tt.in, field, got[field], want)
			}
		}
	}
}

func TestShapesOfTheNestedAnswers(t *testing.T) {
	t.Parallel()
	s := run(t, "suitability", `{"right":{"sphere":-6,"cylinder":-1.75,"axis":180},"left":{"sphere":-7},"age_years":10}`)
	if got := s["right"].(map[string]any)["range"]; got != "usual" {
		t.Errorf("right: got %v, want usual", got)
	}
	if got := s["left"].(map[string]any)["range"]; got != "outside the usual range" {
		t.Errorf("left: got %v, want outside", got)
	}
	e := run(t, "effect", `{"baseline_d":-3.56,"nights":[{"worn_hours":8,"awake_hours":16}]}`)
	if got := e["residual_d"].([]any)[0].(float64); math.Abs(got+1.495) > 0.01 { // 58 % removed, Chan 2008
		t.Errorf("residual after one night: got %v, want -1.495", got)
	}
	if e["status"] != "not enough data" {
		t.Errorf("status without readings: got %v", e["status"])
	}
	g := run(t, "growth", `{"birth":"2015-03-01","readings":[{"date":"2025-01-10","eye":"left","mm":24.5,"instrument":"A"},{"date":"2025-07-10","eye":"left","mm":24.68,"instrument":"A"}]}`)
	left := g["left"].(map[string]any)
	if got := left["mm_per_year"].(float64); math.Abs(got-0.36) > 1e-9 || left["class"] != "moderate" {
		t.Errorf("growth: got %v, %v, want 0.36, moderate", got, left["class"])
	}
	k := run(t, "survival", `{"events":[1,2],"censored":[1]}`)
	if got := len(k["curve"].([]any)); got != 2 {
		t.Errorf("survival: got %d steps, want 2", got)
	}
}

func TestWrongInputIsRefusedWithWhatIsAccepted(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, in, says string }{
		{"no-such", `{}`, "accepted is one of vertex"},
		{"vertex", `{"sphere":-6,"cylinder":-2,"axis":180}`, "vertex_mm: missing field"},
		{"vertex", `{"sphere":-6,"cylinder":-2,"vertex_mm":12}`, "axis: missing field"},
		{"vertex", `{"sphere":-60,"vertex_mm":12}`, "-30 to 30"},
		{"vertex", `{"Sphere":-6,"vertex_mm":12}`, "sphere: missing field"},
		{"vertex", `{"sphere":"-6","vertex_mm":12}`, "must be a number"},
		{"vertex", `{"sphere":-6,"vertex_mm":null}`, "must be a number"},
		{"vertex", `{"sphere":-6,"vertex_mm":12,"extra":1}`, "extra: unknown field"},
		{"vertex", `{"sphere":-6,"sphere":-5,"vertex_mm":12}`, "stands twice"},
		{"vertex", `{"sphere":-6,"vertex_mm":12} {}`, "something after"},
		{"vertex", `[1]`, "not a JSON object"},
		{"vertex", ``, "not a JSON object"},
		{"transpose", `{"sphere":-6,"cylinder":-1,"axis":181}`, "0 to 180"},
		{"mean-refraction", `[]`, "at least one"},
		{"mean-refraction", `[{"sphere":1,"cyl":2}]`, "refractions[0].cyl: unknown field"},
		{"suitability", `{"right":{"sphere":-1},"age_years":9}`, "left: missing field"},
		{"acuity", `{"shape":"gauss","guess":0.25,"lapse":0.02,"grid":[0,1,0.1],"prior":"uniform","trials":[]}`, "weibull, logistic, normal"},
		{"acuity", `{"shape":"normal","slope":6,"guess":0.25,"lapse":0.02,"grid":[0,1,0.1],"prior":"uniform","trials":[]}`, "sd: missing field"},
		{"acuity", `{"shape":"normal","sd":0.1,"guess":0.25,"lapse":0.02,"grid":[1,0,0.1],"prior":"uniform","trials":[]}`, "from below to"},
		{"acuity", `{"shape":"normal","sd":0.1,"guess":0.25,"lapse":0.02,"grid":[0,1,0.1],"prior":"flat","trials":[]}`, "uniform"},
		{"acuity", `{"shape":"normal","sd":0.1,"guess":0.25,"lapse":0.02,"grid":[0,1,0.1],"prior":"uniform","trials":[[0.3,2]]}`, "1 or 0"},
		{"acuity-convert", `{"logmar":0,"decimal":1}`, "only one notation"},
		{"acuity-convert", `{}`, "one notation is needed"},
		{"acuity-convert", `{"decimal":0}`, "decimal"},
		{"adherence", `{"worn":1.5,"not_worn":0,"unlogged":0}`, "whole number"},
		{"adherence", `{"worn":0,"not_worn":0,"unlogged":0}`, "no night"},
		{"bedtime", `["24:00"]`, "HH:MM"},
		{"rate", `{"events":1000000,"person_years":1e-308}`, "too large"},
		{"trend", `{"x":[0,1,2],"y":[1e308,-1e308,1e308]}`, "too large"},
		{"approach", `{"x":[1,2,3],"y":[2,2,2]}`, "before the first point"},
		{"trend", `{"x":[1,2],"y":[1]}`, "as many of each"},
		{"survival", `{"events":[-1],"censored":[]}`, "0 or above"},
		{"rate", `{"events":1,"person_years":0}`, "above 0"},
		{"effect", `{"baseline_d":1,"nights":[]}`, "-12 to 0"},
		{"effect", `{"baseline_d":-3,"nights":[{"worn_hours":25,"awake_hours":0}]}`, "0 to 24"},
		{"effect", `{"baseline_d":-3,"nights":[{"worn_hours":8,"awake_hours":16}],"readings":[{"night":2,"hours":1,"rating":3}]}`, "1 to 1"},
		{"growth", `{"birth":"2015-02-30","readings":[]}`, "YYYY-MM-DD"},
		{"growth", `{"birth":"2015-02-20","readings":[{"date":"2014-01-01","eye":"right","mm":24,"instrument":"A"}]}`, "before the birth"},
	} {
		var out bytes.Buffer
		err := calc.Run(tt.name, strings.NewReader(tt.in), &out)
		var bad *calc.InputError
		if !errors.As(err, &bad) {
			t.Errorf("%s %s: got %v, want an InputError", tt.name, tt.in, err)
			continue
		}
		if !strings.Contains(bad.Text, tt.says) || !strings.Contains(bad.Text, "accepted") {
			t.Errorf("%s %s: %q does not say %q and what is accepted", tt.name, tt.in, bad.Text, tt.says)
		}
		if out.Len() > 0 {
			t.Errorf("%s: wrote %q beside the error", tt.name, out.String())
		}
	}
}

// The minus sign of typesetting is U+2212 (Unicode, Mathematical Operators).
func TestTypesetMinusIsReadAsMinus(t *testing.T) {
	t.Parallel()
	var typeset, plain bytes.Buffer
	if err := calc.Run("transpose", strings.NewReader("{\"sphere\":\u22123,\"cylinder\":\u22121,\"axis\":180}"), &typeset); err != nil {
		t.Fatal(err)
	}
	if err := calc.Run("transpose", strings.NewReader(`{"sphere":-3,"cylinder":-1,"axis":180}`), &plain); err != nil {
		t.Fatal(err)
	}
	if typeset.String() != plain.String() {
		t.Errorf("got %s, want %s", typeset.String(), plain.String())
	}
}
