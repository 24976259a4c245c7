package web

import "strings"

// found reports whether a line has everything that was typed: each word in name,
// code or the names of the family's people, in any order, so that "Marr, Ilse"
// and "ilse marr" are the same; or four digits and more of a telephone number.
func (l *rollLine) found(q query) bool {
	if len(q.digits) >= 4 && strings.Contains(l.digits, q.digits) {
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
	digits string // when nothing but a number was typed
}

func queryOf(typed string) query {
	q := query{words: strings.Fields(foldName(typed))}
	if d := digitsOf(typed); d != "" && strings.Trim(typed, "0123456789 +()-./") == "" {
		q.digits = d
	}
	return q
}

// familyFirst is a folded name with its last word first, to sort by.
func familyFirst(name string) string {
	words := strings.Fields(foldName(name))
	if len(words) < 2 {
		return strings.Join(words, " ")
	}
	last := len(words) - 1
	return words[last] + " " + strings.Join(words[:last], " ")
}
