package care_test

import (
	"testing"

	"nightkeep/server/internal/care"
)

// Names of all scripts pass; what only changes how the rest looks, or shows nothing, does
// not. The formats are those of Unicode's UAX #9, section 2; the others are from its
// DerivedCoreProperties.txt, Default_Ignorable_Code_Point.
func TestOneLine(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"Zoë O’Neill-Çelik": true, "王小明": true, "مريم عبد الله": true, "می\u200cخواهم": true, "": true,
		"Ann\u202Egnp.exe": false, "\u202Ann": false, "Ann\u2066Ben\u2069": false, "Ann\u200fBen": false, "Ann\nBen": false, "Ann\x00": false,
		"Ann\u2028Ben": false, "Ann\u00adBen": false, "Ann\ufeff": false, "Ann\x85": false, "Ann\U000E0041": false,
		"Ann\u3164": false, "\u3164": false, "\u2800": false, "Ann\u2800": false, "\u115f\u1160": false, "Ann\u034f": false, "Ann\ufe0f": false,
		"Ann\uffa0": false, "Ann\u17b4": false, "Ann\u180e": false, "Ann\u200d": false, "\u200cAnn": false, "Ann \u200d Ben": false, "\u0301": false, " ": false,
		"क्\u200dष": true, "📱 ❤\ufe0f": true, "👩\u200d👧": true, "❤\ufe0f\u200d🔥": true, "辻\U000E0100": true, "\U000E0100": false, "김서연": true, "Jose\u0301": true, "1-2": true,
	} {
		if got := care.OneLine(text); got != want {
			t.Errorf("%q: %t, want %t", text, got, want)
		}
	}
}

// A text of many lines may hold line breaks, empty lines too, and nothing else that a
// line may not.
func TestManyLines(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"": true, "one": true, "one\ntwo\r\n\r\n  three\n": true, "one\n\u202etwo": false, "one\u2028two": false, "a\x07": false, "\u200b": false,
	} {
		if got := care.ManyLines(text); got != want {
			t.Errorf("%q: %t, want %t", text, got, want)
		}
	}
}
