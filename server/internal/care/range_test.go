package care_test

import (
	"strings"
	"testing"

	"nightkeep/server/internal/care"
)

// Every field has a closed range at the door. The ends are those of the ranges
// as documented: 2^53-1 is Number.MAX_SAFE_INTEGER of ECMA-262, the ids set apart
// are those of RFC 9562 5.9 and 5.10, offsets those of ISO 8601 zones in use.
func TestEveryFieldHasAClosedRange(t *testing.T) {
	t.Parallel()
	const good = `{"id":"01900000-0000-7000-8000-000000000001","wearer":"w1","device":"d1","dseq":1,"author":"p1","kind":"supply",` +
		`"night":"2026-03-28","wall":"2026-03-28T21:40:00","zone":"Europe/Lisbon","offset":0,"hlc":"1774734000000-0000","v":1,` +
		`"body":{"item":"case","action":"started","on":"2026-03-28","discard_after_days":30}}`
	if _, err := care.DecodeEntry([]byte(good)); err != nil {
		t.Fatalf("the entry every case starts from: %v", err)
	}
	for _, c := range []struct{ old, new, code string }{
		{`"dseq":1`, `"dseq":9007199254740991`, ""},
		{`"dseq":1`, `"dseq":9007199254740992`, "bad-dseq"},
		{`"dseq":1`, `"dseq":9223372036854775808`, "bad-dseq"},
		{`"dseq":1`, `"dseq":18446744073709551615`, "bad-dseq"},
		{`"dseq":1`, `"dseq":0`, "bad-dseq"},
		{`"dseq":1`, `"dseq":1e3`, "bad-entry"},
		{`01900000-0000-7000-8000-000000000001`, `00000000-0000-0000-0000-000000000000`, "bad-id"},
		{`01900000-0000-7000-8000-000000000001`, `ffffffff-ffff-ffff-ffff-ffffffffffff`, "bad-id"},
		{`"v":1`, `"v":1,"supersedes":["00000000-0000-0000-0000-000000000000"]`, "bad-reference"},
		{`"night":"2026-03-28"`, `"night":"1899-12-31"`, "bad-night"},
		{`"night":"2026-03-28"`, `"night":"1900-01-01"`, ""},
		{`"night":"2026-03-28"`, `"night":"2199-12-31"`, ""},
		{`"night":"2026-03-28"`, `"night":"9999-12-31"`, "bad-night"},
		{`"night":"2026-03-28"`, `"night":"0000-01-01"`, "bad-night"},
		{`"wall":"2026-03-28T21:40:00"`, `"wall":"9999-12-31T23:59:59"`, "bad-wall"},
		{`"wall":"2026-03-28T21:40:00"`, `"wall":"0000-01-01T00:00:00"`, "bad-wall"},
		{`"wall":"2026-03-28T21:40:00"`, `"wall":"2026-03-28T21:40:00.5"`, "bad-wall"},
		{`"zone":"Europe/Lisbon"`, `"zone":"../../etc/passwd"`, "bad-zone"},
		{`"zone":"Europe/Lisbon"`, `"zone":"\u0000"`, "bad-zone"},
		{`"zone":"Europe/Lisbon"`, `"zone":"+03:00"`, ""},
		{`"offset":0`, `"offset":840`, ""},
		{`"offset":0`, `"offset":841`, "bad-offset"},
		{`"v":1`, `"v":1000001`, "bad-version"},
		{`"on":"2026-03-28"`, `"on":"9999-12-31"`, "bad-field"},
		{`"discard_after_days":30`, `"discard_after_days":3e1`, "bad-field"},
		{`"discard_after_days":30`, `"discard_after_days":30.0`, "bad-field"},
		{`"discard_after_days":30`, `"x":` + strings.Repeat("[", 29) + strings.Repeat("]", 29), ""},
		{`"discard_after_days":30`, `"x":` + strings.Repeat("[", 40) + strings.Repeat("]", 40), "bad-entry"},
		{`"discard_after_days":30`, `"x":"` + strings.Repeat("[", 400) + `"`, ""},
	} {
		raw := strings.Replace(good, c.old, c.new, 1)
		if raw == good {
			t.Fatalf("%s is not in the entry", c.old)
		}
		_, err := care.DecodeEntry([]byte(raw))
		got := ""
		if e, ok := err.(*care.Error); ok {
			got = e.Code
		}
		if got != c.code {
			t.Errorf("%s: got %q (%v), want %q", c.new, got, err, c.code)
		}
	}
}

// A symptom report is read whatever stands beside its signs: what this program
// does not know is left out, and nothing makes it unreadable.
func TestReportIsReadBesideUnknownMembers(t *testing.T) {
	t.Parallel()
	for _, extra := range []string{`null`, `true`, `0`, `1e400`, `"x"`, `[]`, `[[1]]`, `{}`, `{"pain":"none"}`} {
		for _, body := range []string{
			`{"right":{"pain":"severe","glow":` + extra + `}}`,
			`{"right":{"pain":"severe"},"glow":` + extra + `}`,
			`{"right":{"pain":"severe"},"Right":` + extra + `}`,
			`{"right":{"pain":"severe","PAIN":` + extra + `}}`,
			`{"right":{"pain":"severe"},"Began":` + extra + `,"Ill":` + extra + `,"LEFT":` + extra + `}`,
		} {
			e := care.Entry{Kind: care.Symptoms, V: 1, Body: []byte(body)}
			if err := e.CheckBody(); err != nil {
				t.Errorf("%s: refused: %v", body, err)
			}
			if got := e.Report().Right["pain"]; got != "severe" {
				t.Errorf("%s: pain is %q, want severe", body, got)
			}
		}
	}
}
