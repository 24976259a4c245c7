package clinic

import (
	"testing"

	"nightkeep/server/internal/care"
)

// The forms in which a desk looks for somebody, all of whom must find the line.
func TestSearchFindsWhatPeopleType(t *testing.T) {
	t.Parallel()
	l := listLine{wearer: care.Wearer{Birth: "2015-06-03"}, folded: foldLine("Ilse O’Márr", "W-0012", []string{"Benno Márr"}), digits: dialled("+44 20 7946 0123")}
	for _, typed := range []string{"", "ilse", "O'Marr", "omarr, ilse", "Ilse OMARR", "benno", "w-0012", "0012", "W 0012", "w0012", "W0012 ilse", "020 7946 0123"[1:], "7946 0123",
		"2015-06-03", "03.06.2015", "3/6/2015", "6/3/2015", "3 Jun 2015", "3 june 2015"} {
		if !l.found(queryOf(typed)) {
			t.Errorf("%q does not find her", typed)
		}
	}
	for _, typed := range []string{"ilsa", "W-0013", "999", "7946 0124", "ilse zoe", "2015-06-04", "2015", "31/02/2015"} {
		if l.found(queryOf(typed)) {
			t.Errorf("%q finds her", typed)
		}
	}
	// Numbers reserved for fiction (Ofcom 07700 900xxx) and a Dutch mobile, as they
	// are stored and as they are dialled.
	for stored, typed := range map[string][]string{
		"+44 7700 900123": {"07700 900123", "07700", "+44 7700 900123", "0044 7700 900123", "900123"},
		"+31 6 12345678":  {"0612345678", "06 1234", "0031612345678"},
	} {
		l.digits = dialled(stored)
		for _, t1 := range typed {
			if !l.found(queryOf(t1)) {
				t.Errorf("%q does not find %s", t1, stored)
			}
		}
		if l.found(queryOf("07700 900124")) {
			t.Errorf("another number finds %s", stored)
		}
	}
	if got := familyFirst("Ilse O’Márr"); got != "omarr ilse" {
		t.Errorf("sorted by %q", got)
	}
}

// Names in the forms in which people search and compare them.
func TestFoldName(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"O’Brien-Müller": "obrien muller", "O'BRIEN  Muller": "obrien muller", "Łukasz Søren": "lukasz soren", "José María": "jose maria", "W-0012": "w 0012", "李 明": "李 明", "  ": "",
	} {
		if got := foldName(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
