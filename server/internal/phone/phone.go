// Package phone reads telephone numbers as people write them, and gives them
// back in the one form in which any telephone of any country dials them. It
// knows the numbering plans of the International Telecommunication Union's
// members as the kept library phonenumbers carries them, and does no I/O.
//
// Short numbers, such as those of emergency services, are not for it: they
// differ by country and are the practice's to set.
package phone

import (
	"slices"
	"strings"

	"github.com/nyaruka/phonenumbers"

	"nightkeep/server/internal/care"
)

// Check returns a number in international form (ITU-T E.123, such as
// "+44 20 7946 0202"). A number without a leading + is read as one dialled in
// country, an ISO 3166-1 code of two letters; with an empty country only
// numbers with a + are accepted. The error is [care.Invalid] and names field.
func Check(field, number, country string) (string, error) {
	number = strings.TrimSpace(number)
	if country == "" && !strings.HasPrefix(number, "+") {
		return "", care.Refuse("bad-phone", field, "%q: want a number with its country, such as +44 20 7946 0202", number)
	}
	n, err := phonenumbers.Parse(number, country)
	if err != nil || phonenumbers.IsPossibleNumberWithReason(n) != phonenumbers.IS_POSSIBLE {
		return "", care.Refuse("bad-phone", field, "%q is no telephone number%s: want one such as +44 20 7946 0202", number, of(country))
	}
	return phonenumbers.Format(n, phonenumbers.INTERNATIONAL), nil
}

// National returns a number of international form as it is dialled inside its own
// country, such as "020 7946 0202"; one that cannot be read is returned as it is.
func National(number string) string {
	n, err := phonenumbers.Parse(number, "")
	if err != nil {
		return number
	}
	return phonenumbers.Format(n, phonenumbers.NATIONAL)
}

func of(country string) string {
	if country == "" {
		return ""
	}
	return " of " + country
}

// Known reports whether country is a code whose numbers can be read.
func Known(country string) bool { return phonenumbers.GetSupportedRegions()[country] }

// Countries returns the codes of all countries whose numbers can be read, in
// order of the alphabet.
func Countries() []string {
	var out []string
	for c := range phonenumbers.GetSupportedRegions() {
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}
