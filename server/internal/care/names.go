package care

import "unicode"

// OneLine reports whether a text shows on one line as it is written: it holds no
// control character, and none of the invisible ones that turn, join or hide what
// stands beside them (Unicode's bidirectional formats of UAX #9, tags, line and
// paragraph separators), with which one name can be made to look like another.
// Joiners that scripts need (U+200C, U+200D) are let in.
func OneLine(s string) bool {
	for _, r := range s {
		switch {
		case r == '\u200C', r == '\u200D':
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), r == '\u2028', r == '\u2029', r == unicode.ReplacementChar:
			return false
		}
	}
	return true
}
