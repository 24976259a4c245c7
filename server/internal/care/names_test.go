package care_test

import (
	"testing"

	"nightkeep/server/internal/care"
)

// Names of all scripts pass; what only changes how the rest looks does not. The
// formats are those of Unicode's UAX #9, section 2.
func TestOneLine(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"Zoë O’Neill-Çelik": true, "王小明": true, "مريم عبد الله": true, "می\u200cخواهم": true, "": true,
		"Ann\u202Egnp.exe": false, "\u202Ann": false, "Ann\u2066Ben\u2069": false, "Ann\u200fBen": false, "Ann\nBen": false, "Ann\x00": false,
		"Ann\u2028Ben": false, "Ann\u00adBen": false, "Ann\ufeff": false, "Ann\x85": false, "Ann\U000E0041": false,
	} {
		if got := care.OneLine(text); got != want {
			t.Errorf("%q: %t, want %t", text, got, want)
		}
	}
}
