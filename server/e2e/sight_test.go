package e2e_test

import (
	"encoding/json"
	"testing"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// gapJS reads off the drawn ring where its gap is: at that one of four places of
// the ring's middle line, two details from the centre (ISO 8596), that is barest.
// A picture is twelve details wide. Empty while no ring is drawn.
const gapJS = `(() => {
	const c = document.querySelector('.stage canvas'), at = c?.getContext('2d');
	if (!c) return '';
	const mid = c.width / 2, out = c.width / 6;
	const ink = (x, y) => at.getImageData(Math.floor(x) - 1, Math.floor(y) - 1, 2, 2).data.reduce((n, v, i) => i % 4 === 3 ? n + v : n, 0);
	const all = [['right', ink(mid + out, mid)], ['left', ink(mid - out, mid)], ['down', ink(mid, mid + out)], ['up', ink(mid, mid - out)]].sort((a, b) => a[1] - b[1]);
	return all[1][1] > all[0][1] + 100 ? all[0][0] : '';
})()`

// statusJS is what the test says of the ring that is shown.
const statusJS = `(document.querySelector('.acuity [role=status]')?.textContent ?? '')`

// The sight test from the card to the saved run, in every engine: each ring has
// one gap where the app believes it to be, so that whoever answers what is drawn
// is right every time, down to the smallest ring of the screen.
func TestSightTestIsRunAndSaved(t *testing.T) {
	inEngines(t, nil, func(t *testing.T, e engine) {
		a := demoAt(t, bedtime)
		w := phoneIn(t, e, bedtime)
		w.goTo(a.URL() + "/demo/parent")
		w.ready()
		w.do(`location.hash = '#/acuity'`)
		// what is missing says so, one after the other, and has the focus
		w.tap("card-done", "card-sure", "acuity-start")
		w.until(`document.activeElement.dataset.test === 'by-tape' && document.querySelectorAll('main .entry-fault').length === 3`)
		w.tap("acuity-left", "by-tape", "acuity-start")
		w.until(`document.activeElement.dataset.test === 'acuity-ready'`)
		w.tap("acuity-ready", "acuity-start")
		w.shot("sight-test-ring")
		answers := 0
		for ; read[bool](w, `!!document.querySelector('`+css("acuity-run")+`')`); answers++ {
			w.until(gapJS)
			said := read[string](w, statusJS)
			w.tap("way-" + read[string](w, gapJS))
			w.until(statusJS + ` !== ` + quoted(said))
		}
		w.shot("sight-test-result")
		w.see("acuity-result", "left eye")
		w.see("acuity-result", "best row of a usual chart") // in words first; the notation is folded away
		w.see("traffic", "do not drive, ride or cycle")
		if read[bool](w, `document.querySelector('[data-test=acuity-result]').innerText.includes('logMAR')`) {
			t.Error("a figure stands in the practitioner's notation before it is asked for")
		}
		w.tap("acuity-notation")
		w.see("acuity-notation", "For the practitioner")
		w.see("acuity-result", "logMAR")
		w.tap("confirm")
		w.savedAndSent()
		var run struct {
			Eye    string
			Trials [][2]float64
		}
		if err := json.Unmarshal(lastOf(t, a, care.AcuityRun).Body, &run); err != nil {
			t.Fatal(err)
		}
		if run.Eye != "left" || len(run.Trials) != answers {
			t.Errorf("the server has %d rings of the %s eye, want %d of the left", len(run.Trials), run.Eye, answers)
		}
		for i, ring := range run.Trials {
			if ring[1] != 1 {
				t.Errorf("ring %d of %.2f logMAR is marked wrong", i+1, ring[0])
			}
		}
		w.sound()
	})
}

// lastOf is the last entry of a kind about the night of bedtime, as the server
// has it.
func lastOf(t *testing.T, a program, kind care.EntryKind) care.Entry {
	t.Helper()
	return lastOn(t, a, kind, "2026-03-24")
}

// lastOn is lastOf for any night.
func lastOn(t *testing.T, a program, kind care.EntryKind, date string) (last care.Entry) {
	t.Helper()
	err := a.DB.View(func(tx *store.Tx) error {
		night := civil.MustDate(date)
		return tx.Register().AllWearers(func(w care.Wearer) bool {
			return tx.Log().WearerEntries(w.ID, night, night, func(e care.Entry) bool {
				if e.Kind == kind {
					last = e
				}
				return true
			}) == nil
		})
	})
	if err != nil || last.ID == "" {
		t.Fatalf("the server has no %s, %v", kind, err)
	}
	return last
}
