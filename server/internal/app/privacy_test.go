package app_test

import (
	"archive/zip"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/app"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/store"
)

// The archive of a family of the demo can be read: a page that names its
// people, a table with one line for each night, and the log. After erasing it
// from the command line the file no longer holds its name anywhere.
func TestExportThenErase(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	a, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: dir, Dev: true, Log: slog.New(slog.DiscardHandler)}, evening)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Stop(); err != nil {
		t.Fatal(err)
	}
	archive := filepath.Join(t.TempDir(), "record.zip")
	command(t, "export", "-data", dir, "-family", "family-Abara", "-to", archive)
	z, err := zip.OpenReader(archive)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	page := contents(t, z, "index.html")
	for _, want := range []string{"Noah Abara", "Ada Abara", "W-0001", "stuck-came-off"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page to read does not say %q", want)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(contents(t, z, "nights.csv"))).ReadAll()
	if err != nil || len(rows) < 6 {
		t.Errorf("nights.csv has %d lines, %v; want a head and the nights logged", len(rows), err)
	}
	if n := strings.Count(contents(t, z, "entries.jsonl"), "\n"); n < 10 {
		t.Errorf("entries.jsonl has %d lines", n)
	}
	var bundle struct {
		Type  string `json:"resourceType"`
		Entry []any  `json:"entry"`
	}
	if err := json.Unmarshal([]byte(contents(t, z, "fhir/wearer-1.json")), &bundle); err != nil || bundle.Type != "Bundle" || len(bundle.Entry) < 10 {
		t.Errorf("the FHIR file is a %q of %d, %v", bundle.Type, len(bundle.Entry), err)
	}
	for _, state := range []escalate.State{escalate.Open, escalate.Closed} { // while somebody waits nothing is erased
		db, err := store.Open(filepath.Join(dir, "nightkeep.db"), func() time.Time { return evening })
		if err != nil {
			t.Fatal(err)
		}
		err = db.Update(func(tx *store.Tx) error {
			w := tx.Register().WearersOf("family-Abara")[0]
			return tx.Duty().PutAlert(escalate.Alert{ID: "pain", Wearer: w, Family: "family-Abara", Level: escalate.Emergency, State: state})
		})
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatal(err)
		}
		if state == escalate.Open {
			fails(t, "1 alerts of this family are open", "erase", "-data", dir, "-family", "family-Abara", "-yes")
		}
	}
	command(t, "erase", "-data", dir, "-family", "family-Abara", "-yes")
	raw, err := os.ReadFile(filepath.Join(dir, "nightkeep.db"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Abara", "Noah", "W-0001"} {
		if strings.Contains(string(raw), name) {
			t.Errorf("the file still holds %q", name)
		}
	}
	command(t, "check", "-data", dir)
}

func command(t *testing.T, args ...string) string {
	t.Helper()
	out, err := run(args...)
	if err != nil {
		t.Fatalf("server %s: %v", strings.Join(args, " "), err)
	}
	return out
}

func contents(t *testing.T, z *zip.ReadCloser, name string) string {
	t.Helper()
	f, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	raw, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}
