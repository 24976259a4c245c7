package vision

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// written is S / C x A: sign always, plano or plain 0.00 for no sphere, DS for
// no cylinder.
var written = regexp.MustCompile(`^(?i:(pl(?:ano)?|[+-]\d{1,2}(?:\.\d{1,2})?|0(?:\.00?)?))\s*(?i:(DS|D)?|/?\s*([+-]\d{1,2}(?:\.\d{1,2})?)\s*(?:DC)?\s*[x×*@]\s*(\d{1,3}))$`)

// ParseRefraction reads a written prescription such as "-3.00/-1.50x180",
// "+1.00 / +0.75 x 005", "plano/-0.50x90" or "-2.25 DS", in either cylinder
// form, and keeps that form. Sphere and cylinder need their sign, since a lost
// minus sign is the costliest slip in this trade; a cylinder needs an axis of
// 1 to 180. Anything else is a [RangeError].
func ParseRefraction(s string) (Refraction, error) {
	m := written.FindStringSubmatch(strings.TrimSpace(strings.ReplaceAll(s, "−", "-")))
	if m == nil {
		return Refraction{}, refuse("prescription", "%q is not read; accepted is sphere/cylinder x axis with signs, such as -3.00/-1.50x180, or -3.00 DS", s)
	}
	var r Refraction
	if !strings.HasPrefix(strings.ToLower(m[1]), "pl") {
		r.Sphere, _ = strconv.ParseFloat(m[1], 64) // the pattern admits numbers only
	}
	if m[3] != "" {
		r.Cylinder, _ = strconv.ParseFloat(m[3], 64)
		r.Axis, _ = strconv.ParseFloat(m[4], 64)
		if err := within("axis", r.Axis, 1, 180); err != nil {
			return Refraction{}, err
		}
	}
	if r.Cylinder == 0 {
		r.Axis = 0
	}
	return r, r.Check()
}

// String writes r as "-3.00/-1.50x180", "plano/-0.50x090" or "-2.25 DS", with
// two decimals and the cylinder form of r.
func (r Refraction) String() string {
	sphere := fmt.Sprintf("%+.2f", r.Sphere)
	if sphere == "+0.00" || sphere == "-0.00" {
		sphere = "plano"
	}
	cylinder := fmt.Sprintf("%+.2f", r.Cylinder)
	if cylinder == "+0.00" || cylinder == "-0.00" {
		if sphere == "plano" {
			return sphere
		}
		return sphere + " DS"
	}
	axis := int(r.Axis + 0.5)
	if axis == 0 {
		axis = 180
	}
	return fmt.Sprintf("%s/%sx%03d", sphere, cylinder, axis)
}
