package web_test

import (
	"testing"

	"nightkeep/server/internal/store"
)

// A setting without which the practice cannot write in a family's log cannot be read:
// what it says is refused as not stored and nothing of it is, alerts come, ring and are
// taken as ever, and machines are told. Once it can be read again the same is said.
func TestASettingOfThePracticesWordThatCannotBeRead(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"practice_device", "mac_key"} {
		s := newSite(t)
		set := func(v any) {
			t.Helper()
			s.update(func(tx *store.Tx) error { return tx.Register().SetSetting(name, v) })
		}
		stop := say(nil, `{"kind":"cease","body":{"eyes":"both","reason":"other","review_by":"2026-04-10"}}`)
		set(7)
		s.says("POST", "/api/clinic/wearers/w1/say", "clinician", stop, 503, `"cannot-store"`)
		if s.audited("c1", "say cease", "w1") {
			t.Errorf("%s: the audit log says that a stop was said", name)
		}
		if raw := s.says("POST", "/api/sync", "family", syncBody(severe(`"dseq":1`)), 200, `"accepted"`); s.live().Level != "emergency" {
			t.Errorf("%s: severe pain rings nobody: %s", name, raw)
		}
		s.says("POST", "/api/clinic/alerts/"+s.live().ID+"/acknowledge", "clinician", "", 200, `"acknowledged"`)
		s.says("GET", "/healthz", "", "", 200, `"unreadable"`)
		set(nil)
		causes := s.wear("desk").Causes
		s.says("POST", "/api/clinic/wearers/w1/say", "clinician", say(causes, `{"kind":"cease","body":{"eyes":"both","reason":"other","review_by":"2026-04-10"}}`), 200, `"stop"`)
		if !s.audited("c1", "say cease", "w1") {
			t.Errorf("%s: the stop is not in the audit log", name)
		}
	}
}
