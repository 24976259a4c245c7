package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// A mail at night says how grave it is, which practice, for how long nobody has
// answered, who was told when and who is next on the practice's clock, and
// where it is taken; it names neither the wearer nor a finding. Minutes are
// those of the default policy: deputy and mail at 3, everybody at 10, lapsed at
// 60.
func TestTheMailAtNightSaysWhatItIs(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	err := d.DB.Update(func(tx *store.Tx) error {
		return tx.Register().PutPractice(care.Practice{Name: "Harbour Street", Zone: "Europe/Madrid", OwnerMail: "owner@example.com", Contacts: care.Contacts{Zone: "Europe/Madrid"}})
	})
	if err != nil {
		t.Fatal(err)
	}
	d.raise(t, "a-1") // 10:00 in Madrid: UTC+1, summer time begins on 29 March 2026
	for range 61 {
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
		d.pass(time.Minute)
	}
	var first, last string
	for _, text := range d.mails.texts {
		if first == "" {
			first = text
		}
		last = text
	}
	at := func(after time.Duration) string {
		zone, _ := time.LoadLocation("Europe/Madrid")
		return monday.Add(after).In(zone).Format("15:04")
	}
	for name, c := range map[string]struct {
		text string
		says []string
	}{
		"first": {first, []string{"EMERGENCY at Harbour Street.", "It has waited ", "nobody has taken it", at(0) + "  told who is on duty", "next, unless somebody takes it", "/clinic#today/a-1", "(times of Europe/Madrid)"}},
		"last":  {last, []string{"EMERGENCY at Harbour Street.", "NOBODY HAS ANSWERED", "It has waited 60 minutes", at(60*time.Minute) + "  told everybody on the rota"}},
	} {
		for _, word := range c.says {
			if !strings.Contains(c.text, word) {
				t.Errorf("the %s mail does not say %q:\n%s", name, word, c.text)
			}
		}
		for _, word := range []string{"W-1", "w1", "pain", "eye"} {
			if strings.Contains(strings.ToLower(c.text), word) {
				t.Errorf("the %s mail says %q:\n%s", name, word, c.text)
			}
		}
	}
}

// Before there is a rota no mail says that its people were told: a drill, which often is
// the first thing tried, says who gets it instead.
func TestTheMailClaimsNoRotaWhereThereIsNone(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	err := d.DB.Update(func(tx *store.Tx) error { return tx.Register().SetSetting("rota", escalate.Rota{Zone: "UTC"}) })
	if err != nil {
		t.Fatal(err)
	}
	d.drillPhone(t)
	d.drill(t)
	d.pass(time.Minute)
	if err := d.Climb(); err != nil {
		t.Fatal(err)
	}
	d.work(t)
	if len(d.mails.texts) == 0 {
		t.Fatal("the drill was mailed to nobody")
	}
	for _, text := range d.mails.texts {
		if strings.Contains(text, "rota") || !strings.Contains(text, "nobody is on duty: told everybody who gets alerts, and the owner") {
			t.Errorf("the mail says:\n%s", text)
		}
	}
}

// While the mail server takes nothing and nobody has a device, nobody was told: the mail
// that goes out at last says so of each step before it, the same step of one minute once,
// and claims a step only from when something was taken.
func TestTheMailSaysWhatCouldNotBeSent(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	err := d.DB.Update(func(tx *store.Tx) error {
		var errs []error
		for _, device := range []care.DeviceID{"phone", "tablet", "old", "ben"} {
			errs = append(errs, tx.Access().DropSubscription(device))
		}
		return errors.Join(errs...)
	})
	if err != nil {
		t.Fatal(err)
	}
	minute := func() {
		t.Helper()
		if err := d.Climb(); err != nil {
			t.Fatal(err)
		}
		d.work(t)
		d.pass(time.Minute)
	}
	d.mails.answer = errors.New("unreachable")
	d.raise(t, "a-1")
	for range 8 {
		minute()
	}
	d.mails.answer = nil
	for range 40 {
		minute()
	}
	if len(d.mails.texts) < 2 {
		t.Fatalf("mailed %d times, want after the outage and again", len(d.mails.texts))
	}
	first, last := d.mails.texts[0], d.mails.texts[len(d.mails.texts)-1]
	if n := strings.Count(first, "09:00  nothing could be sent to who is on duty\n"); n != 1 || strings.Contains(first, "09:00  told") {
		t.Errorf("after an outage from 09:00 to 09:08 the first mail says:\n%s", first)
	}
	if !strings.Contains(last, "  told everybody on the rota\n") || !strings.Contains(last, "09:00  nothing could be sent to who is on duty\n") {
		t.Errorf("a later mail says:\n%s", last)
	}
}
