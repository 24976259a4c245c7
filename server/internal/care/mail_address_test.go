package care_test

import (
	"testing"

	"nightkeep/server/internal/care"
)

// A mail address is one alone, of a domain that mail finds (RFC 5321, 2.3.5: a name of
// one part is local, and no mail server of another house takes it).
func TestMailAddress(t *testing.T) {
	t.Parallel()
	for s, want := range map[string]bool{
		"a@example.org": true, "first.last@lenses.example.co": true, "a+b@example.org": true,
		"a@b": false, "a@localhost": false, "a@example.": false, "a@.org": false, "a@-x.org": false, "a@example..org": false,
		"example.org": false, "A <a@example.org>": false, "a@example.org, b@example.org": false, "": false,
	} {
		if got := care.MailAddress(s); got != want {
			t.Errorf("%q: %t, want %t", s, got, want)
		}
	}
}
