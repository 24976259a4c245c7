package app_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"nightkeep/server/internal/app"
	data "nightkeep/testdata/demo"
)

// logged gathers a log written from many goroutines.
type logged struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logged) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// personal returns every name, address and note of the scenario files.
func personal(t *testing.T) (texts []string) {
	t.Helper()
	err := fs.WalkDir(data.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := data.Files.ReadFile(path)
		if err != nil {
			return err
		}
		var v any
		if err := json.Unmarshal(raw, &v); err != nil {
			return err
		}
		texts = append(texts, collect(v)...)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return texts
}

// collect returns the texts under keys that name or describe a person.
func collect(v any) (out []string) {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			out = append(out, collect(x)...)
		}
	case map[string]any:
		for k, x := range v {
			switch k {
			case "name", "family", "mail", "owner_mail", "note", "text", "code":
				if s, ok := x.(string); ok {
					out = append(out, s)
				}
			case "parents":
				for _, p := range x.([]any) {
					out = append(out, p.(string))
				}
			}
			out = append(out, collect(x)...)
		}
	}
	return out
}

// The log of the whole demo, of refused requests and of a store that fails
// names nobody: not one name, address, code or note of the scenario.
func TestNoPersonalDataInLogs(t *testing.T) {
	t.Parallel()
	texts := personal(t)
	if len(texts) < 40 {
		t.Fatalf("found only %d texts in the scenario", len(texts))
	}
	log := &logged{}
	a, _, err := app.StartDemo(app.Options{Addr: "127.0.0.1:0", DataDir: t.TempDir(), Dev: true,
		Log: slog.New(slog.NewTextHandler(log, &slog.HandlerOptions{Level: slog.LevelDebug}))}, evening)
	if err != nil {
		t.Fatal(err)
	}
	clinician, parent := signedIn(t, a.URL()+"/demo/clinician"), signedIn(t, a.URL()+"/demo/parent")
	ask := func() {
		for _, text := range texts {
			answered(t, clinician, "GET", a.URL()+"/api/clinic/wearers?q="+url.QueryEscape(text), "")
		}
		answered(t, clinician, "POST", a.URL()+"/api/clinic/families", `{"name":"`+texts[0]+`"}`)
		answered(t, clinician, "GET", a.URL()+"/api/clinic/families/"+url.PathEscape(texts[0]), "")
		answered(t, parent, "POST", a.URL()+"/api/sync", `{"entries":[{"body":{"text":"`+texts[0]+`"}}]}`)
		answered(t, parent, "POST", a.URL()+"/api/join", `{"code":"`+texts[0]+`","device_name":"`+texts[1]+`","consent":"2"}`)
	}
	ask()
	if err := a.DB.Close(); err != nil { // from here on every request fails inside
		t.Fatal(err)
	}
	ask()
	_ = a.Stop()
	if !strings.Contains(log.String(), "request failed") {
		t.Errorf("no failure was logged, so the test shows nothing:\n%.2000s", log.String())
	}
	for _, text := range texts {
		for _, form := range []string{text, url.QueryEscape(text), url.PathEscape(text)} {
			if strings.Contains(log.String(), form) {
				t.Errorf("the log holds %q", form)
			}
		}
	}
}

func answered(t *testing.T, c *http.Client, method, at, body string) {
	t.Helper()
	req, err := http.NewRequest(method, at, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := c.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
}
