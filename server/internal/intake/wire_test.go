package intake_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"nightkeep/server/internal/intake"
)

const oneEntry = `{"id":"01900000-0000-7000-8000-000000000001","wearer":"w","device":"d","dseq":1,"author":"p","kind":"care","night":"2026-03-28",` +
	`"wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000","v":1,"body":{"rub":true}}`

// Whatever is sent is read as encoding/json reads it, or refused as it does; refused too
// is what readers take differently (RFC 8259, section 4).
func FuzzReadRequest(f *testing.F) {
	for _, seed := range []string{
		`{"epoch":"E.1","cursor":12,"entries":[` + oneEntry + `,` + oneEntry + `],"now":"2026-03-28T21:40:00Z"}`,
		`{"epoch":"","cursor":0,"entries":[]}`,
		`{"epoch":"","cursor":0,"entries":[`,
		`{"epoch":"","cursor":0,"entries":[{}]}`,
		`{"epoch":"","cursor":0,"entries":[{"a":}]}`,
		`{"epoch":"","cursor":0,"entries":[{"a":"}\\"]{"},{"b":[{}]}]}`,
		`{"epoch":"","cursor":0,"entries":[{},]}`,
		`{"epoch":"","cursor":007,"entries":[]}`,
		`{"epoch":"","cursor":07,"entries":[]}`,
		`{"epoch":"\\u0041","cursor":1,"entries":[ {} ]}`,
		`{"epoch":"a","cursor":1,"entries":[{}],"epoch":"b"}`,
		`{"epoch":"a","cursor":-1,"entries":[]}`,
		`{"Epoch":"a","cursor":1,"entries":[{}]}`,
		`{"epoch":"a","later":1,"entries":[{}]}`,
		`{"now":"x","entries":[]}`,
		`{"epoch":"a","cursor":1,"entries":[{}]}x`,
	} {
		f.Add([]byte(seed))
	}
	for n := range oneEntry { // a connection that was cut
		f.Add([]byte(`{"epoch":"","cursor":0,"entries":[` + oneEntry[:n]))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		var want intake.Request
		wantErr := json.Unmarshal(body, &want)
		got, err := intake.ReadRequest(body)
		if want := wantErr == nil && !ambiguous(body); (err == nil) != want {
			t.Fatalf("%s: error %v, encoding/json %v", body, err, wantErr)
		}
		if err != nil {
			return
		}
		if d := cmp.Diff(want, got, cmpopts.IgnoreUnexported(intake.Request{}), cmpopts.EquateEmpty()); d != "" {
			t.Errorf("%s (-encoding/json +own):\n%s", body, d)
		}
	})
}

// ambiguous reports whether a member of a request is named twice, or in another letter
// case than [intake.Request] names it.
func ambiguous(body []byte) bool {
	d := json.NewDecoder(bytes.NewReader(body))
	if open, err := d.Token(); err != nil || open != json.Delim('{') {
		return false
	}
	seen := map[string]bool{}
	for d.More() {
		t, err := d.Token()
		var value any
		if name := fmt.Sprint(t); err != nil || d.Decode(&value) != nil {
			return false
		} else if slices.ContainsFunc([]string{"epoch", "cursor", "entries", "now", "sum", "schema"}, func(ours string) bool {
			return strings.EqualFold(ours, name) && ours != name
		}) || seen[name] {
			return true
		} else {
			seen[name] = true
		}
	}
	return false
}

// A reply is written as encoding/json writes it.
func TestReplyWritesItself(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 28, 22, 0, 0, 120e6, time.UTC)
	for name, r := range map[string]intake.Reply{
		"empty": {Verdicts: []intake.Verdict{}, Changes: []json.RawMessage{}, Alerts: []intake.FamilyAlert{}, Now: now},
		"full": {
			Verdicts: []intake.Verdict{{ID: "a", Verdict: "accepted"}, {ID: "b", Verdict: "refused", Code: "bad-night", Message: `want "a night"`, Field: "night"}},
			Changes:  []json.RawMessage{json.RawMessage(oneEntry), json.RawMessage(oneEntry)}, Watermark: 3, Epoch: "E.2", Cursor: 1 << 60, More: true,
			Checksum: "00ff", Alerts: []intake.FamilyAlert{{ID: "x", Opened: now, Began: &now}}, Now: now.Truncate(time.Second),
		},
	} {
		want, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		got, err := r.AppendJSON(nil)
		if d := cmp.Diff(string(want), string(got)); err != nil || d != "" {
			t.Errorf("%s: %v (-encoding/json +own):\n%s", name, err, d)
		}
	}
}
