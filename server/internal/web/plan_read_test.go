package web_test

import (
	"encoding/json"
	"testing"

	"nightkeep/server/internal/web/record"
)

// Once somebody of the family has said on a phone that they read the plan, the console
// says when, by the phone's clock (21:40 there, UTC in this log); another version stays
// unread, and so does one whose word was taken back.
func TestAPlanThatWasReadSaysSo(t *testing.T) {
	t.Parallel()
	s := planned(t)
	read := func() (at []string) {
		for _, p := range decode[struct{ Plans []record.PlanDoc }](t, s.says("GET", "/api/clinic/wearers/w1/plan", "clinician", "", 200, "")).Plans {
			said := ""
			if p.ReadAt != nil {
				said = p.ReadAt.UTC().Format("2006-01-02 15:04")
			}
			at = append(at, said)
		}
		return at
	}
	if got := read(); len(got) != 1 || got[0] != "" {
		t.Fatalf("nobody read it, and the console says %q", got)
	}
	s.logs(1, "plan-ack", "2026-03-26", `{"plan":3}`) // of a version to come: this one is not read by it
	if got := read(); got[0] != "" {
		t.Errorf("another version was read: %q", got)
	}
	s.logs(2, "plan-ack", "2026-03-26", `{"plan":1}`)
	if got := read(); got[0] != "2026-03-26 21:40" {
		t.Errorf("read: %q", got)
	}
	const back = `{"id":"01900000-0000-7000-8000-000000000003","dseq":3,"kind":"retraction","retracts":"01900000-0000-7000-8000-000000000002","night":"2026-03-26","wall":"2026-03-26T21:50:00","v":1,"body":{}}`
	s.says("POST", "/api/sync", "family", syncBody(entryJSON(back)), 200, `"accepted"`)
	if got := read(); got[0] != "" {
		t.Errorf("taken back: %q", got)
	}
	doc := decode[struct{ Plans []map[string]any }](t, s.says("GET", "/api/clinic/wearers/w1/plan", "clinician", "", 200, "")).Plans[0]
	for _, own := range []string{"changed_by", "changed_at", "version"} {
		delete(doc, own)
	}
	doc["base"], doc["min_hours"] = 1, 7 // as the page sends it, with when the version before was read
	next, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	s.logs(4, "plan-ack", "2026-03-26", `{"plan":1}`)
	s.says("POST", "/api/clinic/wearers/w1/plan", "clinician", string(next), 200, "")
	if got := read(); len(got) != 2 || got[0] != "" || got[1] != "2026-03-26 21:40" {
		t.Errorf("a new version: %q", got)
	}
}
