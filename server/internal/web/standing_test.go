package web_test

import (
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// That nobody can be reached is said once every way was tried: not while a mail is on
// its way beside a push that no device takes, nor before the ladder has looked at an
// alert that a restore carried over.
func TestNobodyCanBeReachedIsSaidOnceAllWasTried(t *testing.T) {
	t.Parallel()
	const waits, nobody = `"step":"waiting to be told"`, `"step":"no device or mail address could be reached: phone whoever is on duty"`
	s := newSite(t)
	s.says("POST", "/api/sync", "family", syncBody(severe(`"dseq":1`)), 200, "accepted")
	step := func(when, want string) {
		t.Helper()
		if _, raw := s.call("GET", "/api/clinic/alerts", "clinician", ""); !strings.Contains(raw, want) {
			t.Errorf("%s: want %s in %s", when, want, raw)
		}
	}
	out := dispatch.Outbox{DB: s.srv.DB}
	rows, err := out.Lease(simNow, 100, time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	var mails []escalate.Row
	for _, r := range rows {
		switch {
		case r.Kind.OfFamily():
		case r.Channel == escalate.Mail:
			mails = append(mails, r)
		default:
			if err := out.Drop(r, simNow, "push: no device with notifications"); err != nil {
				t.Fatal(err)
			}
		}
	}
	if len(mails) == 0 || len(mails) == len(rows) {
		t.Fatalf("want pushes and mails to the practice: %+v", rows)
	}
	step("mails are on their way", waits)
	for _, r := range mails {
		if err := out.Retry(r, simNow.Add(time.Minute), "mail: the server does not answer"); err != nil {
			t.Fatal(err)
		}
	}
	step("no mail was taken", nobody)

	next := func(at time.Time) {
		s.update(func(tx *store.Tx) error {
			a, err := tx.Duty().Alert(care.AlertID(s.live().ID))
			if err != nil {
				return err
			}
			a = a.Carried(true, at)
			return tx.Duty().PutAlert(a)
		})
	}
	next(simNow)
	step("just carried over", waits)
	next(simNow.Add(-time.Minute))
	step("the ladder did not look for a minute", nobody)
}
