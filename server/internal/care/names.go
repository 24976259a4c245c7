package care

import (
	"strings"
	"unicode"
)

// OneLine reports whether a text shows on one line as it is written. It holds no control
// character, and none of the invisible ones that turn, join, hide or imitate what stands
// beside them, with which one name can be made to look like another: what Unicode calls
// Default_Ignorable_Code_Point, Bidi_Control or a format, and what shows as a blank and
// is called none (U+2800). Let in is what scripts need: the joiners U+200C and U+200D
// between what they join, and a variation selector after a letter or symbol that has
// variants. Something of it shows, unless it is empty.
//
// Sources: Unicode Standard Annex #44, DerivedCoreProperties.txt, whose derivation of
// Default_Ignorable_Code_Point [ignorable] follows; UAX #9, section 2; UTS #51 on
// selectors and joiners in emoji; UTS #37 on selectors after ideographs.
func OneLine(s string) bool {
	letters := []rune(s)
	shows := s == ""
	for i, r := range letters {
		switch {
		case r == '\u200C' || r == '\u200D':
			if i == 0 || i == len(letters)-1 || !joins(letters[i-1]) || !joins(letters[i+1]) {
				return false
			}
		case unicode.Is(unicode.Variation_Selector, r):
			if i == 0 || !varies(letters[i-1]) {
				return false
			}
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), ignorable(r), r == '\u2028', r == '\u2029', r == '\u2800', r == unicode.ReplacementChar:
			return false
		case unicode.In(r, unicode.L, unicode.N, unicode.S, unicode.P):
			shows = true
		}
	}
	return shows
}

// ManyLines reports whether each line of a text shows as it is written, see [OneLine].
func ManyLines(s string) bool {
	for line := range strings.Lines(s) {
		if !OneLine(strings.TrimSpace(line)) {
			return false
		}
	}
	return true
}

// ignorable is Default_Ignorable_Code_Point without the formats and the variation
// selectors, which stand in categories of their own.
func ignorable(r rune) bool { return unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r) }

// joins reports whether a joiner may stand beside a character.
func joins(r rune) bool {
	return unicode.In(r, unicode.L, unicode.M, unicode.So, unicode.Sk) && !ignorable(r)
}

// varies reports whether a variation selector may follow a character.
func varies(r rune) bool {
	return unicode.In(r, unicode.Han, unicode.Mongolian, unicode.S) || r == '#' || r == '*' || r >= '0' && r <= '9' || r == '\u203C' || r == '\u2049' || r == '\u3030'
}
