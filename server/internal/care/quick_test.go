package care_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"nightkeep/server/internal/care"
)

const usual = `{"id":"01900000-0000-7000-8000-000000000001","wearer":"w1","device":"d1","dseq":7,"author":"p1","kind":"morning",` +
	`"night":"2026-03-28","wall":"2026-03-29T07:10:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774768200000-0000","v":1,"body":{"redness":1,"comfort":3}}`

// FuzzParseEntry holds the quick way of reading an entry against encoding/json:
// whatever the bytes, both understand the same or both refuse.
func FuzzParseEntry(f *testing.F) {
	for _, seed := range []string{
		usual,
		strings.TrimSuffix(usual, "}") + `,"fseq":12,"recv":"2026-03-29T07:10:01.25Z"}`,
		strings.TrimSuffix(usual, "}") + `,"fseq":12,"recv":"2026-03-29T07:10:01+01:00","skew_ms":-400000}`,
		strings.TrimSuffix(usual, "}") + `,"fseq":12,"recv":"2026-03-29T07:10:01Z","via":"d2"}`,
		strings.TrimSuffix(usual, "}") + `,"fseq":-12,"recv":"2026-03-29T07:10:01Z"}`,
		`{"id":"a\"b","wearer":"w","device":"d","dseq":-5,"author":"p","kind":"k","night":"2026-02-30","wall":"w","zone":"z","offset":-60,"hlc":"h","v":1,"body":{}}`,
		`{"id":"","wearer":"","device":"","dseq":-5,"author":"","kind":"","night":"2026-02-28","wall":"","zone":"Ä","offset":-60,"hlc":"","v":1,"body":{"a":1} }`,
		`{"id":"","wearer":"","device":"","dseq":5,"author":"","kind":"","night":"2026-02-28","wall":"","zone":"","offset":00,"hlc":"","v":1,"body":{"a":{"b":[1,2]}}}`,
		`{"id":"","wearer":"","device":"","dseq":5,"author":"","kind":"","night":"2026-02-28","wall":"","zone":"","offset":0,"hlc":"","v":1,"body":{},"fseq":9,"skew_ms":{}}`,
		`{"id":"","wearer":"","device":"","dseq":5,"author":"","kind":"","night":"2026-02-28","wall":"","zone":"","offset":0,"hlc":"","v":1,"body":{"a":1},"body":{"a":2}}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		var want care.Entry
		bad := json.Unmarshal(raw, &want)
		got, err := care.ParseEntry(raw)
		if (err == nil) != (bad == nil) {
			t.Fatalf("error %v, encoding/json says %v", err, bad)
		}
		if d := cmp.Diff(want, got, cmpopts.IgnoreUnexported(care.Entry{})); bad == nil && d != "" {
			t.Errorf("entry (-encoding/json +ours):\n%s", d)
		}
	})
}

// FuzzAnswers holds the quick way of reading a body against encoding/json: each
// member it names has the bytes that stand there, the last of a name counting.
func FuzzAnswers(f *testing.F) {
	for _, seed := range []string{
		`{"redness":1,"comfort":3}`, `{"a":"b,c","d":"e:f"}`, `{"a":1,"a":2}`, `{"a":12.5,"b":true}`, `{"a":1,}`, `{}`, ` {}`, `null`, `{"a":01}`, `{"a":.5}`, `{"a":{"b":1}}`, `{"A":1,"a":2,"":3}`, `{"a":"\u0041"}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		var want map[string]json.RawMessage
		if json.Unmarshal(body, &want) != nil {
			want = nil
		}
		e := care.Entry{Body: body}
		for name, raw := range want {
			if got := e.Answer(name); got != string(raw) {
				t.Errorf("%q is %s, encoding/json says %s", name, got, raw)
			}
		}
		for _, name := range []string{"a", "redness", "comfort", ""} {
			if got := e.Answer(name); got != string(want[name]) {
				t.Errorf("%q is %s, encoding/json says %s", name, got, want[name])
			}
		}
	})
}
