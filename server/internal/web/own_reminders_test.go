package web_test

import (
	"encoding/json"
	"strings"
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// Own times are taken within the plan and refused with the reason outside it;
// an older app that does not know of them leaves them as they are.
func TestAFamilyKeepsItsOwnTimes(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	own := `{"wearer":"w1","own":{"every":{"insertion_at":"20:30"},"free":{"removal_at":"08:00"},"free_nights":[5,6],"holidays":[{"from":"2026-07-20","to":"2026-08-30"}]}}`
	s.says("POST", "/api/reminders", "family", own, 422, "no-plan")
	s.update(func(tx *store.Tx) error {
		_, err := tx.Chart().PutPlan("w1", "c1", json.RawMessage(`{"zone":"Europe/Lisbon","first_night":"2026-03-01","eyes":"both","wear_from":"20:00","wear_to":"08:00","min_hours":6,"insertion_at":"21:00","removal_at":"07:00","evening_sight_at":"18:30","quiet_from":"22:30","quiet_to":"06:30"}`))
		return err
	})
	s.says("POST", "/api/reminders", "family", own, 200, "")
	s.says("POST", "/api/reminders", "family", `{"wearer":"w1","lock_screen_words":"plain"}`, 200, "")
	s.says("POST", "/api/reminders", "family", `{"wearer":"w1","own":{"every":{"insertion_at":"19:00"}}}`, 422, "a time from 20:00 to 02:00")
	if got := s.says("GET", "/api/family", "family", "", 200, ""); !strings.Contains(got, `"insertion_at":"20:30"`) || !strings.Contains(got, `"free_nights":[5,6]`) {
		t.Errorf("the family reads back %s", got)
	}
}

// A phone's name can be changed: by a parent any of the family's, by a teen their
// own, nobody's of another family.
func TestAPhoneIsRenamed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.says("PUT", "/api/devices/d1", "teen", `{"name":"Mine"}`, 403, "not-allowed")
	s.says("PUT", "/api/devices/d2", "family", `{"name":"Mine"}`, 404, "no-such-device")
	s.says("PUT", "/api/devices/dr", "family", `{"name":"Mine"}`, 404, "no-such-device")
	s.says("PUT", "/api/devices/dt", "family", `{"name":"  "}`, 422, "bad-device-name")
	s.says("PUT", "/api/devices/dt", "teen", `{"name":" Blue phone "}`, 200, "")
	s.says("GET", "/api/devices", "family", "", 200, `"name":"Blue phone"`)
	if !s.audited("t1", "renamed device", "dt") {
		t.Error("the audit log does not say who renamed it")
	}
}

// A parent invites the second one where the practice allows it; a teen never does,
// and who writes already is not made twice.
func TestAParentInvitesTheSecond(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.teens()
	s.says("POST", "/api/family/people", "family", `{"name":"Otto"}`, 403, "clinic-invites")
	s.says("GET", "/api/family", "family", "", 200, `"may_invite":false`)
	s.update(func(tx *store.Tx) error {
		return tx.Register().SetSetting("practice", care.Practice{ParentsInvite: true})
	})
	s.says("GET", "/api/family", "family", "", 200, `"may_invite":true`)
	s.says("GET", "/api/family", "teen", "", 200, `"may_invite":false`)
	s.says("POST", "/api/family/people", "teen", `{"name":"Otto"}`, 403, "not-allowed")
	s.says("POST", "/api/family/people", "family", `{"name":"P"}`, 422, "name-taken")
	code := func() string {
		return decode[struct{ Code string }](t, s.says("POST", "/api/family/people", "family", `{"name":"Otto"}`, 200, "/join#")).Code
	}
	code()
	s.says("POST", "/api/join", "", `{"code":"`+code()+`","device_name":"Phone","consent":"2"}`, 200, "")
	if got := s.says("GET", "/api/family", "family", "", 200, ""); strings.Count(got, `"name":"Otto"`) != 1 {
		t.Errorf("Otto is there twice: %s", got)
	}
	s.says("POST", "/api/family/people", "family", `{"name":"Otto"}`, 422, "name-taken")
}

// Who leaves which reminders to the others is the person's own choice.
func TestAPersonLeavesReminders(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.says("POST", "/api/reminders/mine", "family", `{"off":["sync"]}`, 422, "bad-choice")
	s.says("POST", "/api/reminders/mine", "family", `{"off":["case","case"]}`, 422, "bad-choice")
	s.says("POST", "/api/reminders/mine", "family", `{"off":["removal","case"]}`, 200, "")
	s.says("GET", "/api/family", "family", "", 200, `"mute":["removal","case"]`)
}
