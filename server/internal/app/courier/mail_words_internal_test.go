package courier

import (
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
)

// A mail names the deputy as the next only where the rota has one.
func TestTheMailNamesADeputyOnlyWhereThereIsOne(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 30, 8, 0, 0, 0, time.UTC)
	for deputy, want := range map[care.PersonID]string{"": "who is on duty is told again", "c2": "the deputy is told too"} {
		l := letter{
			practice: care.Practice{Name: "P", Zone: "UTC"},
			alert:    escalate.Alert{ID: "a-1", State: escalate.Open, Level: escalate.Urgent, Rung: 1, NextStepAt: now.Add(3 * time.Minute)},
		}
		for day := range 7 {
			l.rota.Slots = append(l.rota.Slots, escalate.Slot{Weekday: day, Person: "c1", Deputy: deputy, To: 24 * 60})
		}
		l.rota.Zone = "UTC"
		if _, text := mailWords(escalate.KindAlert, l, now); !strings.Contains(text, "next, unless somebody takes it: "+want+"\n") {
			t.Errorf("with the deputy %q the mail says:\n%s", deputy, text)
		}
	}
}
