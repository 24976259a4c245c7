// Package access says who may do what. It owns the one authorisation table,
// and makes the secrets: invitation codes and bearer tokens. It keeps nothing.
package access

import (
	"crypto/rand"
	"encoding/base64"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
)

// Who names a class of callers. A route names exactly one.
type Who string

// The classes of callers.
const (
	Anyone      Who = "anyone"       // no credential
	FamilyOnly  Who = "family"       // a device of a family, for its own family only
	AnyStaff    Who = "staff"        // clinician, desk or administrator
	Clinical    Who = "clinical"     // clinician
	ClinicDesk  Who = "clinic-desk"  // clinician or desk
	AdminOnly   Who = "admin"        // administrator
	AnyDevice   Who = "device"       // any signed-in device, family or staff
	DemoVisitor Who = "demo-visitor" // no credential, and only while the demo runs
)

// table is the authorisation table: which roles are in each class.
var table = map[Who][]care.Role{
	Anyone:      append([]care.Role{""}, care.Roles...),
	DemoVisitor: append([]care.Role{""}, care.Roles...),
	FamilyOnly:  {care.Parent, care.Teen},
	AnyStaff:    care.StaffRoles,
	Clinical:    {care.Clinician},
	ClinicDesk:  {care.Clinician, care.Desk},
	AdminOnly:   {care.Administrator},
	AnyDevice:   care.Roles,
}

// Known reports whether the table says who is in the class.
func Known(w Who) bool { return len(table[w]) > 0 }

// Allowed reports whether a role, "" for nobody, is in the class.
func Allowed(w Who, r care.Role) bool { return slices.Contains(table[w], r) }

// InvitationLife is how long an invitation can be used: common practice, long
// enough for a family to get home and short enough for a lost letter.
const InvitationLife = 14 * 24 * time.Hour

// codeAlphabet has no letters or digits that look alike (0 O, 1 I L, 5 S, 2 Z, 8 B, U V).
const codeAlphabet = "34679ACDEFGHJKMNPQRTWXY"

// CodeLength is the number of letters of an invitation code: 23^12 is about
// 2^54, which with a limited rate of tries cannot be guessed in its lifetime.
const CodeLength = 12

// NewCode returns an invitation code without look-alike letters.
func NewCode() string {
	out := make([]byte, 0, CodeLength)
	var buf [64]byte
	for len(out) < CodeLength {
		rand.Read(buf[:]) // never fails, see crypto/rand
		for _, b := range buf {
			limit := byte(256 / len(codeAlphabet) * len(codeAlphabet))
			if b < limit && len(out) < CodeLength { // no bias towards early letters
				out = append(out, codeAlphabet[int(b)%len(codeAlphabet)])
			}
		}
	}
	return string(out)
}

// ShowCode groups a code by four for reading aloud.
func ShowCode(code string) string {
	var parts []string
	for chunk := range slices.Chunk([]byte(code), 4) {
		parts = append(parts, string(chunk))
	}
	return strings.Join(parts, "-")
}

// ReadCode undoes what people do to a code when typing it: spaces, dashes,
// small letters.
func ReadCode(typed string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '\u00a0' {
			return -1
		}
		return r
	}, strings.ToUpper(strings.TrimSpace(typed)))
}

// NewToken returns a bearer token of 256 random bits.
func NewToken() string {
	var b [32]byte
	rand.Read(b[:]) // never fails, see crypto/rand
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// NewID returns an opaque random id.
func NewID() string { return strings.ToLower(rand.Text()[:20]) }
