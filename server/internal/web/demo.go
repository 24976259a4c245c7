package web

import (
	"net/http"

	"nightkeep/server/internal/care"
)

// Demo holds the tokens of the people a demo visitor can sign in as. It exists
// only while the demo runs.
type Demo struct {
	Parent, Teen, Clinician string // bearer tokens
}

// demoSignIn signs the browser in as a person of the demo, as often as the
// link is opened.
func (c *call) demoSignIn() error {
	d := c.srv.Demo
	expires := c.srv.Now().AddDate(1, 0, 0)
	switch c.Params("who") {
	case "parent":
		c.setCookie(familyCookie, d.Parent, expires)
	case "teen":
		c.setCookie(familyCookie, d.Teen, expires)
	case "clinician":
		c.setCookie(staffCookie, d.Clinician, expires)
		return c.Redirect("/clinic", http.StatusSeeOther)
	default:
		return care.Errorf(care.NotFound, "no-such-person", "the demo has a parent, a teen and a clinician")
	}
	return c.Redirect("/", http.StatusSeeOther)
}
