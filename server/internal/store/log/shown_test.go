package log_test

import (
	"testing"

	"nightkeep/server/internal/store/log"
)

// In a family's archive each stored value is JSON that a person can read: a number is a
// number, what only lists says nothing, and any other text is a text.
func TestStoredValuesAreReadable(t *testing.T) {
	t.Parallel()
	for stored, want := range map[string]string{
		`{"a":1}`:                          `{"a":1}`,
		"\x00\x00\x00\x00\x00\x00\x01\x02": "258",
		"":                                 "null",
		"\x00w1":                           "null",
		"w1\x00f1":                         "null",
		"w":                                `"w"`,
	} {
		if got := string(log.Readable([]byte(stored))); got != want {
			t.Errorf("%q is shown as %s, want %s", stored, got, want)
		}
	}
}
