package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/push/pushtest"
)

func postJSON(t *testing.T, c *http.Client, url string, body any) string {
	t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	res, err := c.Post(url, "application/json", bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	got, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("POST %s: %s %s %v", url, res.Status, got, err)
	}
	return string(got)
}

// A tick after the time of insertion reminds the family that has not logged
// it, and leaves the family alone that has.
func TestTickRemindsOnlyWhoHasNotLogged(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		logged bool
		want   int
	}{{"not logged yet", false, 1}, {"logged already", true, 0}} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			before := time.Date(2026, 3, 24, 21, 0, 0, 0, time.UTC)
			a, clock, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Log: slog.New(slog.DiscardHandler), Dev: true}, before)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = a.Stop() })
			service := pushtest.Start(a.Now)
			t.Cleanup(service.Close)
			endpoint, receiver := service.Register("parent")
			c := signedIn(t, a.URL()+"/demo/parent")
			if _, err := a.Reminder.Tick(context.Background(), a.Now()); err != nil {
				t.Fatal(err) // what was due before is over
			}
			postJSON(t, c, a.URL()+"/api/push/subscription", map[string]string{"endpoint": endpoint, "p256dh": receiver.P256dh(), "auth": receiver.AuthSecret()})
			if tc.logged {
				logInsertions(t, c, a.URL(), before)
			}
			clock.Set(before.Add(31 * time.Minute)) // 21:31; the older brother's insertion is asked for at 21:30
			if _, err := a.Reminder.Tick(context.Background(), a.Now()); err != nil {
				t.Fatal(err)
			}
			got := service.Received()
			if len(got) != tc.want {
				t.Fatalf("%d reminders, want %d", len(got), tc.want)
			}
			for _, m := range got {
				if strings.Contains(string(m.Payload), "Daniel") || !strings.Contains(string(m.Payload), `"kind":"reminder"`) {
					t.Errorf("payload %s", m.Payload)
				}
			}
		})
	}
}

// logInsertions writes tonight's insertion of both brothers.
func logInsertions(t *testing.T, c *http.Client, url string, at time.Time) {
	t.Helper()
	var f struct {
		Device  string
		Person  struct{ ID string }
		Wearers []struct{ ID string }
	}
	getJSON(t, c, url+"/api/family", &f)
	var entries []any
	for i, w := range f.Wearers {
		entries = append(entries, map[string]any{
			"id": fmt.Sprintf("01990000-0000-7000-8000-00000000000%d", i), "wearer": w.ID, "device": f.Device, "dseq": 100000 + i, "author": f.Person.ID,
			"kind": "insertion", "night": "2026-03-24", "wall": at.Format("2006-01-02T15:04:05"), "zone": "Europe/London", "offset": 0,
			"hlc": fmt.Sprintf("%013d-0000", at.UnixMilli()), "v": 1, "body": map[string]any{"at": "20:55", "eyes": "both"},
		})
	}
	reply := postJSON(t, c, url+"/api/sync", map[string]any{"epoch": "", "cursor": 0, "entries": entries})
	if strings.Count(reply, `"accepted"`) != len(entries) {
		t.Fatal(reply)
	}
}
