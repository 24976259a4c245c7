package transport

import (
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// The cookies of a family's device and of the staff: a browser may hold both, as a
// practitioner can be a parent. The third binds a challenge to the browser that
// asked for it.
const (
	CeremonyCookie = "nightkeep_ceremony"

	FamilyCookie = "nightkeep_device"
	StaffCookie  = "nightkeep_staff"
)

// Paths that the rules of callers name: a first symptom report is never refused
// for being one too many, and a service worker tells of a message at night, long
// after the session ended.
const (
	SyncPath     = "/api/sync"
	ReceiptsPath = "/api/receipts"
)

// authorise finds the caller and holds them against the authorisation table. A
// class that the table does not know lets nobody in.
func (c *Call) authorise(r Route) error {
	who := r.who
	if who == access.DemoVisitor && c.Srv.Demo == nil {
		return notFound(c.Path())
	}
	if access.Allowed(who, "") {
		return nil
	}
	var names []string
	if access.Allowed(who, care.Parent) {
		names = append(names, FamilyCookie)
	}
	if access.Allowed(who, care.Clinician) || access.Allowed(who, care.Administrator) {
		names = append(names, StaffCookie)
	}
	return c.View(func(tx *store.Tx) error {
		err := refused() // what no credential opens nobody does
		for _, name := range names {
			c.Token = c.HeldToken(name)
			c.Caller, err = tx.Access().CallerOf(c.Token, r.path == ReceiptsPath)
			if err != nil {
				continue
			}
			if c.Caller.Person.Role == "" { // whose record cannot be read: reports are taken in, nothing else
				if err = unreadCaller(); r.path == SyncPath {
					return nil
				}
				continue
			}
			if !access.Allowed(who, c.Caller.Person.Role) {
				err = refused()
				continue
			}
			return nil
		}
		return err
	})
}

func unreadCaller() error {
	return care.Errorf(care.Unavailable, "cannot-read", "who uses this phone cannot be read just now; please phone about anything that cannot wait")
}

func refused() error {
	return care.Errorf(care.Forbidden, "not-allowed", "your role may not do this")
}

// moderate refuses a family's device that makes very many requests. Sync decides
// for itself, because a first symptom report is never refused.
func (c *Call) moderate(path string) error {
	if c.Caller.Person.Family == "" {
		return nil
	}
	c.Over = c.Srv.requests.Take(c.Srv.Now(), string(c.Caller.Device.ID), 1)
	if c.Over == 0 || path == SyncPath {
		return nil
	}
	return care.Later("too-many-requests", c.Over, "this phone asks very often; wait a little")
}

// SetToken gives the browser a token. How long it lasts is told as a span, so
// that a browser whose clock is wrong keeps it as long; one in the past takes
// the cookie away.
func (c *Call) SetToken(name, token string, expires time.Time) {
	f := &fiber.Cookie{
		Name: c.Srv.cookieName(name), Value: token, Path: "/", HTTPOnly: true, Secure: c.Srv.Secure, SameSite: fiber.CookieSameSiteLaxMode,
	}
	if f.MaxAge = int(expires.Sub(c.Srv.Now()).Seconds()); f.MaxAge <= 0 {
		f.MaxAge, f.Expires = 0, expires
	}
	c.Cookie(f)
}

// HeldToken returns the token a browser holds; empty when it has none.
func (c *Call) HeldToken(name string) string { return c.Cookies(c.Srv.cookieName(name)) }

// cookieName adds the prefix by which a browser takes the cookie from this very
// host and over TLS only, so that no neighbouring site can plant one (RFC
// 6265bis, 4.1.3.2; OWASP ASVS 3.4.4).
// A rehearsal has names of its own: on the same host a cookie is shared by all ports
// (RFC 6265, 8.5), and it must sign nobody out of the practice's console.
func (s *Server) cookieName(name string) string {
	if s.Rehearsal {
		name += "_rehearsal"
	}
	if s.Secure {
		return "__Host-" + name
	}
	return name
}
