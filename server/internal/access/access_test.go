package access_test

import (
	"encoding/base64"
	"strings"
	"testing"

	"nightkeep/server/internal/access"
)

// A code has no letter or digit that can be taken for another, whatever font it
// is read in, and every letter comes up about as often: with 480,000 letters
// and 23 kinds the counts have a mean of 20,870 and a standard deviation of 141, so
// six of those on either side are left once in 10^9 kinds; a letter that one byte of
// 256 too many stands for comes up 22,677 times.
func TestNewCode(t *testing.T) {
	t.Parallel()
	const codes, length = 40000, 12
	seen, times := map[string]bool{}, map[rune]int{}
	for range codes {
		code := access.NewCode()
		if len(code) != length || seen[code] {
			t.Fatalf("%q has not %d letters, or came before", code, length)
		}
		if strings.ContainsAny(code, "01258OILSZBUVabcdefghijklmnopqrstuvwxyz") {
			t.Errorf("%q holds a letter that looks like another", code)
		}
		if typed := " " + strings.ToLower(access.ShowCode(code)) + "\u00a0"; access.ReadCode(typed) != code {
			t.Errorf("typed as %q it is read as %q, want %q", typed, access.ReadCode(typed), code)
		}
		seen[code] = true
		for _, r := range code {
			times[r]++
		}
	}
	if len(times) != 23 {
		t.Errorf("%d kinds of letters, want 23", len(times))
	}
	for r, n := range times {
		if n < 20870-6*141 || n > 20870+6*141 {
			t.Errorf("%c came up %d times of %d", r, n, codes*length)
		}
	}
}

// A token has 256 bits, which OWASP ASVS 4.0, 3.2.2 asks 64 of, and none comes
// twice.
func TestNewToken(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for range 1000 {
		token := access.NewToken()
		raw, err := base64.RawURLEncoding.DecodeString(token)
		if err != nil || len(raw) != 32 || seen[token] {
			t.Fatalf("%q is %d bytes, %v, or came before", token, len(raw), err)
		}
		seen[token] = true
	}
}

// A code is read aloud by fours; and a class of callers that nobody has named is none.
func TestWhatACodeLooksLikeAndWhoIsKnown(t *testing.T) {
	t.Parallel()
	if got := access.ShowCode("34679ACDEFGH"); got != "3467-9ACD-EFGH" {
		t.Errorf("shown as %q", got)
	}
	if access.Known("anybody who comes by") {
		t.Error("a class that the table does not name is taken for one of it")
	}
}

// Invitations live as long as SECURITY.md and the console tell people: 14 days.
func TestInvitationLife(t *testing.T) {
	t.Parallel()
	if days := access.InvitationLife.Hours() / 24; days != 14 {
		t.Errorf("an invitation can be used for %v days, want 14", days)
	}
}
