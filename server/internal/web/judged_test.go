package web_test

import (
	"encoding/json"
	"os"
	"testing"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// No entry is accepted without a judgement of the server's: one of every kind that a
// family's phone writes, as the app of its version wrote it, and each that the practice
// writes, stands in the log judged by the table in use. (The design of the wear state:
// acceptance without "judged" is impossible.)
func TestWhatIsAcceptedIsJudged(t *testing.T) {
	t.Parallel()
	s, clinic := newSite(t), newSite(t)
	kinds := map[care.EntryKind]bool{}
	for _, file := range []string{"v1", "v2", "v3"} {
		raw, err := os.ReadFile("../../../testdata/care/" + file + ".json")
		if err != nil {
			t.Fatal(err)
		}
		var f struct {
			Tests []struct{ Entry json.RawMessage }
		}
		if err := json.Unmarshal(raw, &f); err != nil {
			t.Fatal(err)
		}
		for _, tc := range f.Tests {
			s.call("POST", "/api/sync", "family", syncBody(string(tc.Entry))) // what it refuses is not in the log
		}
	}
	id := clinic.report(1)
	clinic.taken()
	clinic.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(clinic.wear("clinician").Causes, `{"kind":"cease","body":{"eyes":"both","reason":"examination","review_by":"2026-04-02"}},{"kind":"word","body":{"text":"Please phone us","about":"`+id+`"}},{"kind":"visit","body":{"on":"2026-04-02"}}`), 200, "")
	clinic.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(clinic.wear("clinician").Causes, `{"kind":"resume","body":{"eyes":"both","answers":["`+id+`"],"from":"2026-03-30","basis":"examined"}}`), 200, "")
	for _, of := range []*site{s, clinic} {
		err := of.srv.DB.View(func(tx *store.Tx) error {
			return tx.Log().EachEntry(func(_ care.FamilyID, e *care.Entry) error {
				kinds[e.Kind] = true
				if !e.Judged.Given || e.Judged.Table != alerts.Default().Version {
					t.Errorf("%s %s was accepted with the judgement %+v", e.Kind, e.ID, e.Judged)
				}
				return nil
			})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, k := range []care.EntryKind{
		care.Insertion, care.Removal, care.NotWorn, care.Care, care.Morning, care.Symptoms, care.Note, care.Retraction,
		care.CheckOpen, care.Elsewhere, care.Read, care.Cease, care.Resume, care.Word, care.Visit,
	} {
		if !kinds[k] {
			t.Errorf("no entry of kind %s was accepted", k)
		}
	}
}
