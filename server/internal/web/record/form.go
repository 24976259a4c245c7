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
	*s = norm.NFC.String(strings.TrimSpace(*s))
	if !care.OneLine(*s) {
		return care.Refuse("bad-characters", field, "want letters, digits and signs only: it holds a control character, or one that cannot be seen")
	}
	if n := utf8.RuneCountInString(*s); n < 1 || n > 80 {
		return care.Refuse("bad-field", field, "want 1 to 80 characters")
	}
	return nil
}

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
