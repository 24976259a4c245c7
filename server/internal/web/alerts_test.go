package web_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// Two people take the same alert at the same moment, each by three taps: one of
// them has it, the other is told politely who has it and since when, and history
// and audit log hold one acknowledgement.
func TestTakingAnAlertAtTheSameMoment(t *testing.T) {
	t.Parallel()
	for round := range 5 {
		t.Run(fmt.Sprint(round), func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			s.update(func(tx *store.Tx) error {
				rules, err := dispatch.Rules(tx)
				if err != nil {
					return err
				}
				_, err = dispatch.Apply(tx, rules, escalate.Alert{ID: "a-1", Wearer: "w1", Family: "f1", Rule: "pain-persists"},
					escalate.Event{Kind: escalate.Raised, Level: escalate.Routine, Entry: "e-1"}) // of a red flag the desk cannot take one
				return err
			})
			type answer struct {
				status int
				body   string
			}
			answers := make([]answer, 6)
			var wg sync.WaitGroup
			start := make(chan struct{})
			for i := range answers {
				wg.Go(func() {
					<-start
					answers[i].status, answers[i].body = s.call("POST", "/api/clinic/alerts/a-1/acknowledge", []string{"clinician", "desk"}[i%2], "")
				})
			}
			close(start)
			wg.Wait()
			taken := ""
			for i, a := range answers {
				if a.status == 200 && taken == "" {
					taken = []string{"C", "K"}[i%2]
				}
			}
			notice := fmt.Sprintf(`"code":"already-acknowledged","message":"already acknowledged by %s at 22:00 on 28 March"`, taken)
			for i, a := range answers {
				mine := []string{"C", "K"}[i%2] == taken
				if mine && a.status != 200 || !mine && (a.status != 409 || !strings.Contains(a.body, notice)) {
					t.Errorf("taken by %s; tap %d: %d %s", taken, i, a.status, a.body)
				}
			}
			err := s.srv.DB.View(func(tx *store.Tx) error {
				a, err := tx.Duty().Alert("a-1")
				if err != nil {
					return err
				}
				n := 0
				for _, e := range a.History {
					if e.Kind == escalate.Acknowledge {
						n++
					}
				}
				lines, _, err := tx.Audit().Lines(1, 1000)
				for _, l := range lines {
					if l.Did == "alert "+string(escalate.Acknowledge) {
						n += 10
					}
				}
				if n != 11 || a.AckName != taken {
					t.Errorf("acknowledged by %s; %d in the history, %d in the audit log, want one each by %s", a.AckName, n%10, n/10, taken)
				}
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}
