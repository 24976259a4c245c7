package web_test

import (
	"io"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"nightkeep/server/internal/store"
	"nightkeep/server/internal/watch"
)

// The lines of Prometheus' text exposition format 0.0.4, as its documentation
// ("Exposition formats") writes them.
var (
	helpLine   = regexp.MustCompile(`^# HELP ([a-zA-Z_:][a-zA-Z0-9_:]*) ([^\\\n]|\\\\|\\n)*$`)
	typeLine   = regexp.MustCompile(`^# TYPE ([a-zA-Z_:][a-zA-Z0-9_:]*) (counter|gauge|histogram|summary|untyped)$`)
	sampleLine = regexp.MustCompile(`^([a-zA-Z_:][a-zA-Z0-9_:]*)(\{[a-zA-Z_][a-zA-Z0-9_]*="(?:[^"\\\n]|\\["\\n])*"(?:,[a-zA-Z_][a-zA-Z0-9_]*="(?:[^"\\\n]|\\["\\n])*")*\})? ([-+]?(?:[0-9]+(?:\.[0-9]+)?(?:e[-+]?[0-9]+)?|Inf)|NaN)$`)
)

// Every line of /metrics fits the format: a family is introduced once, before
// its samples, which stand together, no sample comes twice, and the last line
// ends.
func TestMetricsFormat(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.srv.MetricsToken = "a-long-enough-token"
	s.srv.Facts = backedUp(0)
	s.says("GET", "/api/family", "family", "", 200, "")
	s.says("GET", "/api/family", "", "", 401, "")
	req := httptest.NewRequest("GET", "/metrics", nil)
	req.Header.Set("Authorization", "Bearer a-long-enough-token")
	res := s.do(req)
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil || res.Header.Get("Content-Type") != "text/plain; version=0.0.4; charset=utf-8" || !strings.HasSuffix(string(raw), "\n") {
		t.Fatalf("%v, %q, %.80q", err, res.Header.Get("Content-Type"), raw)
	}
	family, kind, seen := "", "", map[string]bool{}
	for line := range strings.SplitSeq(strings.TrimSuffix(string(raw), "\n"), "\n") {
		if m := helpLine.FindStringSubmatch(line); m != nil {
			if family = m[1]; seen[family] {
				t.Errorf("%s is introduced twice", family)
			}
			seen[family], kind = true, ""
			continue
		}
		if m := typeLine.FindStringSubmatch(line); m != nil {
			if m[1] != family || kind != "" {
				t.Errorf("a type out of place: %s", line)
			}
			kind = m[2]
			continue
		}
		m := sampleLine.FindStringSubmatch(line)
		if m == nil {
			t.Errorf("not a line of the format: %q", line)
			continue
		}
		of := m[1]
		if kind == "summary" {
			of = strings.TrimSuffix(strings.TrimSuffix(of, "_sum"), "_count")
		}
		if of != family || kind == "" || seen[m[1]+m[2]] && m[1]+m[2] != family {
			t.Errorf("a sample out of place or twice: %q", line)
		}
		seen[m[1]+m[2]] = true
	}
	m := regexp.MustCompile(`(?m)^nightkeep_backup_timestamp_seconds (.*)$`).FindSubmatch(raw)
	if m == nil {
		t.Fatal("no time of the newest backup")
	}
	if at, err := strconv.ParseFloat(string(m[1]), 64); err != nil || int64(at) != simNow.Unix() {
		t.Errorf("the newest backup is of %s, want %d", m[1], simNow.Unix())
	}
}

// backedUp are the facts of a server that has its backups, the newest of an age,
// one due each day.
func backedUp(age time.Duration) func() watch.Facts {
	return func() watch.Facts {
		return watch.Facts{Backup: &watch.Backup{Newest: simNow.Add(-age), Every: 24 * time.Hour}}
	}
}

// A backup that is overdue is said to people and machines, and does not make
// the server unwell; that none is asked for is said too.
func TestOverdueBackup(t *testing.T) {
	t.Parallel()
	newSite(t).says("GET", "/status", "", "", 200, "No backups are scheduled")
	for age, want := range map[time.Duration]string{48 * time.Hour: `"backup":true`, 48*time.Hour + time.Second: `"backup":false`} {
		s := newSite(t)
		s.srv.Facts = backedUp(age)
		s.update(func(tx *store.Tx) error { return tx.Register().SetReadBack(simNow) })
		s.says("GET", "/healthz", "", "", 200, want)
		words := "The server is well."
		if strings.Contains(want, "false") {
			words = "newest verified backup is 48 hours old"
		}
		s.says("GET", "/status", "", "", 200, words)
	}
}
