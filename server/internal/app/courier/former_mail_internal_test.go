package courier

import (
	"context"
	"errors"
	"log/slog"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/store/storetest"
)

// postbox is a mail server that only notes the addresses.
type postbox struct{ to []string }

func (p *postbox) Send(_ context.Context, _, to, _, _ string) error {
	p.to = append(p.to, to)
	return nil
}

// For a day after an address was changed, or taken away, what is mailed to somebody goes
// to the former one too, so that nobody turns away another's mails unheard.
func TestMailsGoToAFormerAddressForADay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		next  string
		after time.Duration
		want  []string
	}{
		{"new@clinic.example", time.Hour, []string{"old@clinic.example", "new@clinic.example"}},
		{"new@clinic.example", 24 * time.Hour, []string{"new@clinic.example"}},
		{"", time.Hour, []string{"old@clinic.example"}},
		{"", 24 * time.Hour, nil},
	} {
		now := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
		clock := func() time.Time { return now }
		db, err := store.Open(filepath.Join(t.TempDir(), "n.db"), clock)
		if err != nil {
			t.Fatal(err)
		}
		err = db.Update(func(tx *store.Tx) error {
			return errors.Join(storetest.Put(tx, care.Person{ID: "c1", Name: "Dr C", Role: care.Clinician, Mail: c.next}),
				dispatch.MailChanged(tx, "c1", "old@clinic.example", register.StaffChange{ID: "change", By: "a1"}))
		})
		if err != nil {
			t.Fatal(err)
		}
		now = now.Add(c.after)
		var box postbox
		courier := &Courier{DB: db, Mail: &box, Log: slog.New(slog.DiscardHandler), Now: clock, Base: func() string { return "https://clinic.example" }}
		courier.Deliver(t.Context(), escalate.Row{Delivery: escalate.Delivery{Channel: escalate.Mail, Target: "c1", Kind: escalate.KindStaff}, Attempt: 1})
		if !slices.Equal(box.to, c.want) {
			t.Errorf("to %q, %s after: mailed to %q, want %q", c.next, c.after, box.to, c.want)
		}
		db.Close()
	}
}
