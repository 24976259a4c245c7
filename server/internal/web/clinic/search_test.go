package clinic

import "testing"

// The forms in which a desk looks for somebody, all of whom must find the line.
func TestSearchFindsWhatPeopleType(t *testing.T) {
	t.Parallel()
	l := listLine{folded: foldName("Ilse O’Márr") + " w-0012 " + foldName("W-0012") + " " + foldName("Benno Márr") + " ", digits: "442079460123"}
	for _, typed := range []string{"", "ilse", "O'Marr", "omarr, ilse", "Ilse OMARR", "benno", "w-0012", "0012", "W 0012", "020 7946 0123"[1:], "7946 0123"} {
		if !l.found(queryOf(typed)) {
			t.Errorf("%q does not find her", typed)
		}
	}
	for _, typed := range []string{"ilsa", "W-0013", "999", "7946 0124", "ilse zoe"} {
		if l.found(queryOf(typed)) {
			t.Errorf("%q finds her", typed)
		}
	}
	if got := familyFirst("Ilse O’Márr"); got != "omarr ilse" {
		t.Errorf("sorted by %q", got)
	}
}
