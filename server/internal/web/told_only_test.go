package web_test

import (
	"fmt"
	"strings"
	"testing"

	"nightkeep/server/internal/store"
)

// What a phone said of "no lens" counts where this program cannot read the entry: of a later
// version of the log, of an unknown kind, or with a body it does not take. The mark is the
// worse of what the phone and the server judged (the design of the wear state, "mark(e)"),
// so each eye has it, the practice is told, and the other phones of the family are told too.
func TestWhatAPhoneSaidOfNoLensIsHeardUnread(t *testing.T) {
	t.Parallel()
	const told = `"told":{"right":%q,"left":%q,"table":9}`
	for _, c := range []struct{ name, over, right, left, want string }{
		{"an insertion of a later version", `"kind":"insertion","v":9,"body":{"at":"21:40","eyes":"both",TOLD}`, "stop", "stop", "told-only urgent both"},
		{"of one eye", `"kind":"insertion","v":9,"body":{"at":"21:40","eyes":"both",TOLD}`, "stop", "none", "told-only urgent right"},
		{"a kind of a later version", `"kind":"hologram","v":9,"body":{"x":1,TOLD}`, "stop", "stop", "told-only urgent both"},
		{"a check of a later version", `"kind":"check-open","v":9,"body":{"eyes":"left",TOLD}`, "none", "rest", "told-only routine left"},
		{"an unknown kind of this version", `"kind":"hologram","v":3,"body":{TOLD}`, "stop", "stop", "told-only urgent both"},
		{"a body that is not of its kind", `"kind":"morning","v":1,"body":{"comfort":"awful",TOLD}`, "stop", "stop", "told-only urgent both"},
		{"an entry that is read, and that nothing here would stop", `"kind":"morning","v":1,"body":{"comfort":4,TOLD}`, "stop", "stop", "told-only urgent both"},
		{"a lens that went in under a stop that the phone knew of", `"kind":"insertion","v":1,"body":{"at":"21:40","eyes":"both",TOLD}`, "stop", "stop", "worn-stopped urgent both"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := newSite(t)
			over := strings.Replace(c.over, "TOLD", fmt.Sprintf(told, c.right, c.left), 1)
			entry := syncBody(entryJSON(`{` + over + `}`))
			for range 2 { // sent again it rings nobody twice
				s.says("POST", "/api/sync", "family", entry, 200, `"verdict":"`)
				if got, times := s.heardOf(); len(got) != 1 || got[0] != c.want || times != 0 {
					t.Errorf("the queue is %v, counted %d times; want %q once", got, times, c.want)
				}
			}
			w := s.wear("desk")
			if w.Wear.Right.State != c.right || w.Wear.Left.State != c.left || len(w.Causes) != 1 {
				t.Errorf("wear %+v, want right %s and left %s by one cause", w, c.right, c.left)
			}
			// The family's other phone: the entry comes with the log, or else with the alert.
			raw := s.says("POST", "/api/sync", "family", strings.Replace(syncBody(), `}`, `,"schema":3}`, 1), 200, "")
			if !strings.Contains(raw, `"told":{`) || !strings.Contains(raw, `"stop"`) && !strings.Contains(raw, `"rest"`) {
				t.Errorf("the other phones are not told: %s", raw)
			}
		})
	}
}

// A kept stop that stands is on the family's other phones also when its alert has long been
// closed; once a clinician lets lenses in again it holds nothing back.
func TestAKeptStopStaysOnThePhones(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	entry := syncBody(entryJSON(`{"kind":"hologram","v":9,"body":{"told":{"right":"stop","left":"stop","table":9}}}`))
	s.says("POST", "/api/sync", "family", entry, 200, `"held"`)
	const ask = `{"epoch":"","cursor":0,"entries":[],"schema":3}`
	kept := func() int { return strings.Count(s.says("POST", "/api/sync", "family", ask, 200, ""), `"kept":[{`) }
	a := s.live()
	s.update(func(tx *store.Tx) error {
		have, err := tx.Duty().WearerAlerts("w1")
		if err != nil {
			return err
		}
		have[0].State, have[0].ClosedAt = "closed", simNow.AddDate(0, 0, -40)
		return tx.Duty().PutAlert(have[0])
	})
	if kept() != 1 {
		t.Errorf("40 days after the alert %s was closed the other phones know nothing of the stop", a.ID)
	}
	causes := s.wear("desk").Causes
	s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(causes, `{"kind":"resume","body":{"eyes":"both","answers":["`+causes[0]+`"],"from":"2026-03-28","basis":"examined"}}`), 200, `"none"`)
	if kept() != 0 {
		t.Error("a stop that was answered is sent on")
	}
}
