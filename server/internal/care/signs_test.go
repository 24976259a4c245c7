package care_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"nightkeep/alerts"
	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

func nightEntry(id int, night, kind, body string) *care.Entry {
	return &care.Entry{
		ID: care.EntryID([]string{"a", "b", "c", "d", "e", "f", "g"}[id]), Wearer: "w1", Kind: care.EntryKind(kind), V: 1,
		Night: civil.MustDate(night), Zone: "Europe/Lisbon", HLC: "1774734000000-000" + string(rune('0'+id)), Body: json.RawMessage(body),
	}
}

// nightSigns works out the signs of every night of one wearer and passes each
// through its stored form, as the store does.
func nightSigns(t *testing.T, entries []*care.Entry) []care.NightSigns {
	t.Helper()
	var out []care.NightSigns
	for _, n := range care.Fold(entries) {
		b := care.NightSignsOf(n.Date, care.Live(n.Wearer, n.Date, entries))
		again, err := care.ReadNightSigns(b.Date, b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(b, again); d != "" {
			t.Errorf("signs of %s change when stored (-worked out +read):\n%s", b.Date, d)
		}
		out = append(out, again)
	}
	return out
}

// Values worked out by hand. The night of 28 March 2026 loses an hour in
// Lisbon: 21:30 to 06:30 is eight hours, not nine.
func TestAlertNightsTakeTheWorse(t *testing.T) {
	t.Parallel()
	nights := nightSigns(t, []*care.Entry{
		nightEntry(0, "2026-03-27", "care", `{"closed_at":"11:50","rinse":"solution"}`),
		nightEntry(1, "2026-03-28", "insertion", `{"at":"17:30","eyes":"left"}`),
		nightEntry(2, "2026-03-28", "insertion", `{"at":"21:30","eyes":"right"}`),
		nightEntry(3, "2026-03-28", "removal", `{"at":"06:30","eyes":"both"}`),
		nightEntry(4, "2026-03-28", "care", `{"tap_water":false,"rinse":"tap-water"}`),
		nightEntry(5, "2026-03-28", "morning", `{"redness":0,"comfort":4,"moved":"freely"}`),
		nightEntry(6, "2026-03-28", "morning", `{"redness":2,"comfort":1,"moved":"stuck"}`),
	})
	plan := schedule.Plan{SoakMinutes: 360}
	got := care.AlertNights(nights, plan, civil.MustDate("2026-03-28"), 1)[0]
	for sign, want := range map[alerts.Sign]alerts.Value{
		"worn": alerts.Word("yes"), "worn_minutes": alerts.Number(480), "tap_water": alerts.Word("yes"),
		"redness": alerts.Number(2), "comfort": alerts.Number(1), "stuck": alerts.Word("stuck"),
		"soak_short": alerts.Word("yes"), // closed 11:50, six hours end at 17:50, in at 17:30
	} {
		if got.Value(sign) != want {
			t.Errorf("%s: got %v, want %v", sign, got.Value(sign), want)
		}
	}
	if got.Value("topping_off") != (alerts.Value{}) {
		t.Error("topping off was not answered and must stay unknown")
	}
}

// Water said in a check is kept with the night, and is no water of that night: when
// it was, nobody said.
func TestNightSignsKeepWaterSaidInACheck(t *testing.T) {
	t.Parallel()
	nights := nightSigns(t, []*care.Entry{
		nightEntry(0, "2026-03-27", "symptoms", `{"right":{"pain":"none"},"water":"yes"}`),
		nightEntry(1, "2026-03-28", "symptoms", `{"right":{"pain":"none"},"water":"no"}`),
	})
	if len(nights) != 2 || !nights[0].WetSaid || nights[0].Water || nights[1].WetSaid {
		t.Errorf("%+v", nights)
	}
}

// Nights and facts on the vectors that the phone's twin is checked on:
// testdata/care/signs.json, worked out by hand.
func TestSignsOfNightsVectors(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/signs.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name        string
			FirstNight  civil.Date          `json:"first_night"`
			SoakMinutes int                 `json:"soak_minutes"`
			CareSystem  schedule.CareSystem `json:"care_system"`
			Today       civil.Date
			Entries     []json.RawMessage
			Nights      map[civil.Date]map[string]any
			Facts       map[string]any
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil || len(file.Cases) == 0 {
		t.Fatalf("%d cases, %v", len(file.Cases), err)
	}
	for _, c := range file.Cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			var entries []*care.Entry
			for _, r := range c.Entries {
				e, err := care.DecodeEntry(r)
				if err != nil {
					t.Fatal(err)
				}
				entries = append(entries, &e)
			}
			plan := schedule.Plan{FirstNight: c.FirstNight, SoakMinutes: c.SoakMinutes, CareSystem: c.CareSystem}
			list := nightSigns(t, entries)
			nights := map[civil.Date]map[string]any{}
			for back, night := range care.AlertNights(list, plan, c.Today.AddDays(30), 90) {
				if night == nil {
					continue
				}
				signs := alerts.Signs{}
				for _, def := range alerts.Default().Signs {
					if v := night.Value(def.Name); v != (alerts.Value{}) {
						signs[def.Name] = v
					}
				}
				nights[c.Today.AddDays(30-back)] = plainSigns(t, signs)
			}
			if d := cmp.Diff(c.Nights, nights); d != "" {
				t.Errorf("nights (-want +got):\n%s", d)
			}
			if d := cmp.Diff(c.Facts, plainSigns(t, care.AlertFacts(list, plan, c.Today))); d != "" {
				t.Errorf("facts (-want +got):\n%s", d)
			}
		})
	}
}

func plainSigns(t *testing.T, s alerts.Signs) map[string]any {
	t.Helper()
	raw, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]any{}
	if err := json.Unmarshal(raw, &out); err != nil {
		t.Fatal(err)
	}
	return out
}
