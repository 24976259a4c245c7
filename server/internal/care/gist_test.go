package care_test

import (
	"testing"

	"nightkeep/server/internal/care"
)

// A report whose kind is wrapped in a list or an object is one still, whatever its body.
func TestAWrappedKindIsAReport(t *testing.T) {
	t.Parallel()
	for raw, want := range map[string]bool{
		`{"kind":["symptoms"]}`: true, `{"kind":{"is":"symptoms"},"body":{}}`: true,
		`{"kind":"s\u0079mptom"}`: true, // the y as RFC 8259, 7 lets it be written
		`{"kind":["note"]}`:       false, `{"kind":"note","body":{"text":"symptoms"}}`: false,
	} {
		if got := care.GistOf([]byte(raw)).Report; got != want {
			t.Errorf("%s: a report: %v, want %v", raw, got, want)
		}
	}
}
