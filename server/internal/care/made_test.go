package care_test

import (
	"encoding/json"
	"os"
	"testing"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// A check that a clock a day ahead dated tomorrow is none of tomorrow's.
func TestAReportIsOfTheNightItWasMadeIn(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../../testdata/care/made.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Name             string
			Night            civil.Date
			Wall, Zone, Made string
			Offset           int
			Recv             time.Time
			SkewMS           int64 `json:"skew_ms"`
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) < 7 {
		t.Fatalf("%d cases, want 7 or more", len(file.Cases))
	}
	for _, c := range file.Cases {
		e := care.Entry{Kind: care.Symptoms, Night: c.Night, Wall: c.Wall, Zone: c.Zone, Offset: c.Offset, Recv: c.Recv, SkewMS: c.SkewMS}
		want, _ := civil.ParseDate(c.Made)
		if got := e.WearFact().Made; got != want {
			t.Errorf("%s: made in the night %q, want %q", c.Name, got, c.Made)
		}
	}
}
