package clinic

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/phone"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
)

// found reports whether a line has everything that was typed: each word in name,
// code or the names of the family's people, in any order, so that "Marr, Ilse"
// and "ilse marr" are the same; or four digits and more of a telephone number; or
// the date of birth.
func (l *listLine) found(q query) bool {
	if len(q.digits) >= 4 && strings.Contains(l.digits, q.digits) || slices.Contains(q.dates, l.wearer.Birth) {
		return true
	}
	for _, word := range q.words {
		if !strings.Contains(l.folded, word) {
			return false
		}
	}
	return true
}

// query is a search as it was typed, made ready once.
type query struct {
	words  []string
	digits string   // when nothing but a number was typed
	dates  []string // that it may be, in any order in which a date is written
}

func queryOf(typed string) query {
	q := query{words: strings.Fields(foldName(typed))}
	if d := digitsOf(typed); d != "" && strings.Trim(typed, "0123456789 +()-./") == "" {
		q.digits = strings.TrimPrefix(d, "00") // what is dialled for a + in most countries
	}
	for _, layout := range datesAsTyped {
		if at, err := time.Parse(layout, strings.Join(strings.Fields(typed), " ")); err == nil {
			q.dates = append(q.dates, at.Format(time.DateOnly))
		}
	}
	return q
}

// datesAsTyped are the orders in which people write a date; the day first and the
// month first both, since nobody knows which was meant.
var datesAsTyped = []string{"2006-1-2", "2.1.2006", "2/1/2006", "1/2/2006", "2-1-2006", "2 1 2006", "2 Jan 2006", "2 January 2006"}

// familyFirst is a folded name with its last word first, to sort by.
func familyFirst(name string) string {
	words := strings.Fields(foldName(name))
	if len(words) < 2 {
		return strings.Join(words, " ")
	}
	last := len(words) - 1
	return words[last] + " " + strings.Join(words[:last], " ")
}

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

// foldLine is a name, a code with its marks, with spaces and with neither, and the
// names of the family's people, to search in.
func foldLine(name, code string, people []string) string {
	apart := foldName(code)
	return strings.Join([]string{foldName(name), strings.ToLower(code), apart, strings.ReplaceAll(apart, " ", ""), foldName(strings.Join(people, " "))}, " ")
}

// unmarked takes out apostrophes, which join a word, and spells the letters that
// no decomposition takes apart.
var unmarked = strings.NewReplacer("'", "", "’", "", "‘", "", "ʼ", "", "`", "", "´", "", "ß", "ss", "ø", "o", "Ø", "o", "đ", "d", "Đ", "d", "ł", "l", "Ł", "l", "æ", "ae", "Æ", "ae", "œ", "oe", "Œ", "oe", "ı", "i")

// numbersOf are the numbers of a family's people and of its second contact; digits
// holds each as it is dialled from abroad and inside its country.
func numbersOf(tx *store.Tx, f care.FamilyID) (names, digits []string, phones []review.Phone, err error) {
	people, err := tx.Register().People(f)
	for _, p := range people {
		if p.Gone {
			continue
		}
		names = append(names, p.Name)
		if p.Phone != "" {
			digits = append(digits, dialled(p.Phone))
			phones = append(phones, review.Phone{Name: p.Name, Phone: p.Phone})
		}
	}
	if fam, err := tx.Register().Family(f); err == nil && fam.Second.Phone != "" { // one that cannot be read is not searched
		names, digits = append(names, fam.Second.Name), append(digits, dialled(fam.Second.Phone))
	}
	return names, digits, phones, err
}

// dialled are the digits of a number from abroad, and inside its country.
func dialled(number string) string {
	return digitsOf(number) + " " + digitsOf(phone.National(number))
}

func digitsOf(s string) string {
	var out []rune
	for _, r := range s {
		if r >= '0' && r <= '9' {
			out = append(out, r)
		}
	}
	return string(out)
}
