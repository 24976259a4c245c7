package phone_test

import (
	"testing"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/phone"
)

// Numbers set aside for use in drama by the countries' regulators, so that
// they ring nobody: Ofcom (020 7946 0xxx), and the North American 555-01xx.
// The international forms are those of ITU-T E.123.
func TestCheck(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, number, country, want string }{
		{"international", "+44 20 7946 0202", "", "+44 20 7946 0202"},
		{"as dialled at home", "020 7946 0202", "GB", "+44 20 7946 0202"},
		{"signs between", "(020) 7946-0202", "GB", "+44 20 7946 0202"},
		{"no spaces", "02079460202", "GB", "+44 20 7946 0202"},
		{"of another country", "+1 202-555-0123", "GB", "+1 202-555-0123"},
		{"north america", "202 555 0123", "US", "+1 202-555-0123"},
		{"Arabic-Indic digits", "٠٢٠ ٧٩٤٦ ٠٢٠٢", "GB", "+44 20 7946 0202"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if got, err := phone.Check("phone", tc.number, tc.country); err != nil || got != tc.want {
				t.Errorf("%q, %v; want %q", got, err, tc.want)
			}
		})
	}
	for _, bad := range []struct{ number, country string }{
		{"", "GB"}, {"020 7946 0202", ""}, {"call me", "GB"}, {"12", "GB"}, {"+44 20 7946 0202 0202 0202", ""}, {"+999 12345678", ""},
	} {
		if got, err := phone.Check("phone", bad.number, bad.country); care.KindOf(err) != care.Invalid {
			t.Errorf("%q of %q: %q, %v; want it refused", bad.number, bad.country, got, err)
		}
	}
	if !phone.Known("GB") || phone.Known("XX") || phone.Known("") || len(phone.Countries()) < 200 {
		t.Error("ISO 3166-1 has more than 200 codes in use, GB among them and XX not")
	}
}
