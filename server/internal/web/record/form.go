package record

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/phone"
	"nightkeep/server/internal/store"
)

// Trimmed trims a field of a form and wants 1 to 80 characters in it, which show as
// they are written, see [care.OneLine]. It keeps them composed (NFC), so that what
// looks the same is the same.
func Trimmed(s *string, field string) error {
	if *s = Composed(*s); !care.OneLine(*s) {
		return care.Refuse("bad-characters", field, BadCharacters)
	}
	if n := utf8.RuneCountInString(*s); n < 1 || n > 80 {
		return care.Refuse("bad-field", field, "want 1 to 80 characters")
	}
	return nil
}

// BadCharacters says why a text does not show as it is written.
const BadCharacters = "want letters, digits and signs only: it holds a control character, or one that cannot be seen"

// Composed returns a field of a form trimmed and in NFC.
func Composed(s string) string { return norm.NFC.String(strings.TrimSpace(s)) }

// Dialled returns a number in the form in which it is kept and dialled; the one
// that stands already, and none, are taken as they are.
func Dialled(tx *store.Tx, field, number, have string) (string, error) {
	if number = strings.TrimSpace(number); number == "" || number == have {
		return number, nil
	}
	p, err := tx.Register().Practice()
	if err != nil {
		return "", err
	}
	return phone.Check(field, number, p.Country)
}

// PlainMail reports whether s is an address alone, as a mail server takes it.
func PlainMail(s string) bool {
	return care.MailAddress(s)
}
