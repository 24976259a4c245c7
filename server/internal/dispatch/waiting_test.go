package dispatch_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/dispatch"
	"nightkeep/server/internal/remind"
	"nightkeep/server/internal/store"
)

// A reminder that waits comes back from the file as it was, also after the file was
// closed and opened again, and one that is taken does not.
func TestWaitingRemindersAreInTheFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "n.db")
	at := time.Date(2026, 3, 28, 21, 0, 0, 0, time.UTC)
	ledger := func() dispatch.Reminders {
		t.Helper()
		db, err := store.Open(path, func() time.Time { return at })
		if err != nil {
			t.Fatal(err)
		}
		return dispatch.Reminders{DB: db}
	}
	wait := func(f care.FamilyID, tag string) remind.Waiting {
		item := schedule.Item{Rule: "insertion", Date: civil.MustDate("2026-03-28"), To: "all", At: at, UsefulUntil: at.Add(4 * time.Hour), Key: "insertion", Group: "evening"}
		return remind.Waiting{At: at.Add(time.Minute), Tried: 2, Message: remind.Message{
			Family: f, To: "all", Words: "plain", Items: []remind.WearerItem{{Wearer: "w1", Item: item}}, Tag: tag, UsefulUntil: at.Add(4 * time.Hour)}}
	}
	r := ledger()
	one, two, other := wait("f1", "one"), wait("f1", "two"), wait("f2", "one")
	if err := errors.Join(r.Wait([]remind.Waiting{one, two, other}, nil), r.DB.Close()); err != nil {
		t.Fatal(err)
	}
	r = ledger()
	got, err := r.Waiting()
	if d := cmp.Diff([]remind.Waiting{one, two, other}, got); d != "" || err != nil {
		t.Errorf("after a restart (-want +got), %v:\n%s", err, d)
	}
	if err := errors.Join(r.Wait(nil, []remind.Waiting{one}), r.DB.Close()); err != nil {
		t.Fatal(err)
	}
	r = ledger()
	defer r.DB.Close()
	if got, err = r.Waiting(); err != nil || len(got) != 2 || got[0].Message.Tag != "two" || got[1].Message.Family != "f2" {
		t.Errorf("after one was taken %+v, %v; want the other two", got, err)
	}
}
