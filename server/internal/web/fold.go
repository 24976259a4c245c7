package web

import (
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// foldName brings a name to the form it is searched and compared in: small
// letters, no accents, no apostrophes or other marks, one space between words.
// "O’Brien-Müller" and "obrien muller" are the same.
func foldName(s string) string {
	// A transformer has state and serves one call.
	bare := transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn)))
	if out, _, err := transform.String(bare, s); err == nil {
		s = out
	}
	words := strings.FieldsFunc(strings.ToLower(unmarked.Replace(s)), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	return strings.Join(words, " ")
}

// unmarked takes out apostrophes, which join a word, and spells the letters that
// no decomposition takes apart.
var unmarked = strings.NewReplacer("'", "", "’", "", "‘", "", "ʼ", "", "`", "", "´", "", "ß", "ss", "ø", "o", "Ø", "o", "đ", "d", "Đ", "d", "ł", "l", "Ł", "l", "æ", "ae", "Æ", "ae", "œ", "oe", "Œ", "oe", "ı", "i")
