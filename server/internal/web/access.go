package web

import (
	"net/netip"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/retention"
)

// accessRoutes are the routes about who may come in, what they leave behind and
// how the server is.
func (s *Server) accessRoutes() []route {
	get, post, del := fiber.MethodGet, fiber.MethodPost, fiber.MethodDelete
	return []route{
		{get, "/api/devices", access.FamilyOnly, "The family's devices and when each was last heard of.", nil, deviceList{}, (*call).devices},
		{del, "/api/devices/:id", access.FamilyOnly, "Revoke a device: a parent any of the family, a teen their own.", nil, done{}, (*call).dropDevice},
		{post, "/api/devices/again", access.FamilyOnly, "A new device for a browser whose log was cleared and whose cookie was not; its credential comes as a cookie.", nil, joinReply{}, (*call).renewDevice},
		{post, "/api/devices/invitation", access.FamilyOnly, "A code for a second device of the same person, good for 15 minutes.", nil, invitation{}, (*call).inviteDevice},

		{post, "/api/clinic/passkey/challenge", access.Anyone, "A challenge for a passkey, to sign in or to confirm.", nil, map[string]any{}, (*call).challenge},
		{post, "/api/clinic/passkey/sign-in", access.Anyone, "Sign in with a passkey.", assertion{}, done{}, (*call).passkeySignIn},
		{post, "/api/clinic/passkey/confirm", access.AnyStaff, "Confirm with the passkey, before what cannot be undone or leaves the building.", assertion{}, done{}, (*call).recheck},
		{post, "/api/clinic/passkey/new", access.AnyStaff, "A challenge for making a passkey.", nil, map[string]any{}, (*call).newPasskey},
		{post, "/api/clinic/passkeys", access.AnyStaff, "Store the passkey made.", passkeyRequest{}, done{}, (*call).storePasskey},
		{get, "/api/clinic/passkeys", access.AnyStaff, "One's own passkeys.", nil, passkeyList{}, (*call).passkeys},
		{del, "/api/clinic/passkeys/:id", access.AnyStaff, "Forget one of one's own passkeys. Needs a confirmation.", nil, done{}, (*call).deletePasskey},
		{get, "/api/clinic/sessions", access.AnyStaff, "One's own sessions.", nil, sessionList{}, (*call).sessions},
		{del, "/api/clinic/sessions/:id", access.AnyStaff, "End one of one's own sessions.", nil, done{}, (*call).endSession},
		{post, "/api/clinic/sign-out-everywhere", access.AnyStaff, "End every session of one's own.", nil, done{}, (*call).signOutEverywhere},
		{get, "/api/clinic/waiting", access.ClinicDesk, "How many alerts wait; answers in a locked window too, and names nobody.", nil, waiting{}, (*call).waiting},

		{get, "/api/clinic/staff", access.AdminOnly, "Everybody of the practice.", nil, staffList{}, (*call).staff},
		{post, "/api/clinic/staff", access.AdminOnly, "A new member of staff, with a one-time link. Needs a confirmation.", newStaff{}, staffLink{}, (*call).addStaff},
		{fiber.MethodPut, "/api/clinic/staff/:id", access.AdminOnly, "Correct a name or mail address, or give another role. Needs a confirmation.", newStaff{}, done{}, (*call).changeStaff},
		{post, "/api/clinic/staff/:id/link", access.AdminOnly, "A new one-time link. Needs a confirmation.", nil, staffLink{}, (*call).linkStaff},
		{del, "/api/clinic/staff/:id", access.AdminOnly, "A member of staff left: every session and passkey ends. Needs a confirmation.", nil, done{}, (*call).dropStaff},

		{get, "/api/clinic/invitations", access.ClinicDesk, "Invitations one has made oneself that can still be used.", nil, invitationList{}, (*call).invitations},
		{del, "/api/clinic/invitations/:id", access.ClinicDesk, "Withdraw an invitation one has made oneself.", nil, done{}, (*call).dropInvitation},
		{post, "/api/clinic/families/:id/come-of-age", access.Clinical, "The wearer is of age and holds the record, as a family of their own when others wear too; others keep access only when named. Needs a confirmation.", comeOfAge{}, familyDetail{}, (*call).comeOfAge},
		{get, "/api/clinic/families/:id/export", access.Clinical, "Everything about a family as one archive. Needs a confirmation.", nil, nil, (*call).exportFamily},
		{get, "/api/clinic/retention", access.AdminOnly, "How long records are kept, and whose time is over, by id. Nothing is erased by itself.", nil, retentionReply{}, (*call).retention},
		{fiber.MethodPut, "/api/clinic/retention", access.AdminOnly, "Set how long records are kept. Needs a confirmation.", retention.Rule{}, retentionReply{}, (*call).setRetention},
		{del, "/api/clinic/audit", access.AdminOnly, "Cut the lines whose time of keeping is over off the audit log; an anchor stays. Needs a confirmation.", nil, retentionReply{}, (*call).cutAudit},
		{del, "/api/clinic/held", access.AdminOnly, "Forget the entries of a newer app, kept unread, whose time of keeping is over. Needs a confirmation.", nil, retentionReply{}, (*call).forgetHeld},
		{del, "/api/clinic/families/:id", access.AdminOnly, "Erase a family for good. Needs a confirmation.", nil, done{}, (*call).eraseFamily},

		{get, "/status", access.Anyone, "How the server is, for people.", nil, nil, (*call).status},
		{get, "/metrics", access.Anyone, "Figures in the text format of Prometheus; for this machine or with the token.", nil, nil, (*call).metrics},
	}
}

// clientAddr returns the address a request came from. A forwarded address is
// believed only from a proxy the practice has named, and then the last one in
// the list that is not itself such a proxy: what stands before it anybody could
// have written.
func (c *call) clientAddr() string {
	peer, err := netip.ParseAddr(c.IP())
	if err != nil || !c.srv.trusted(peer) {
		return c.IP()
	}
	var list []string // several lines are one list (RFC 9110, 5.3)
	for _, line := range c.Request().Header.PeekAll(fiber.HeaderXForwardedFor) {
		list = append(list, strings.Split(string(line), ",")...)
	}
	for i := len(list) - 1; i >= 0; i-- {
		a, err := forwarded(strings.TrimSpace(list[i]))
		if err != nil {
			break
		}
		if !c.srv.trusted(a) {
			return a.Unmap().String()
		}
	}
	return c.IP()
}

// forwarded reads an address that a proxy has written, with a port or without.
func forwarded(text string) (netip.Addr, error) {
	if at, err := netip.ParseAddrPort(text); err == nil {
		return at.Addr(), nil
	}
	return netip.ParseAddr(strings.Trim(text, "[]"))
}

func (s *Server) trusted(a netip.Addr) bool {
	for _, p := range s.TrustedProxies {
		if p.Contains(a.Unmap()) {
			return true
		}
	}
	return false
}

// Limits of tries from one address in a minute: at what can be guessed, and at
// what only costs work.
const (
	guessesAMinute = 10
	knocksAMinute  = 60
)

// guess notes a try at something that could be guessed.
func (c *call) guess() error { return c.within(c.srv.gates.guesses) }

// knock notes a request of somebody unknown that costs work.
func (c *call) knock() error { return c.within(c.srv.gates.knocks) }

func (c *call) within(l *limiter) error {
	if l.allow(counted(c.clientAddr()), c.srv.Now()) {
		return nil
	}
	return care.Errorf(care.TooMany, "too-many-tries", "too many tries from here; wait a minute and try again")
}

// moderately takes one of a book's for the device or family named, or refuses.
func (c *call) moderately(b *quota.Book, of string) error {
	if wait := b.Take(c.srv.Now(), of, 1); wait > 0 {
		return care.Later("too-many", wait, "that was asked for very often; wait a little")
	}
	return nil
}

// gates are what the server remembers of strangers, in memory.
type gates struct {
	guesses, knocks, invites *limiter
	ceremonies               ceremonies
	figures                  figures
	// What devices may ask for, see [quota].
	requests, tests, subscriptions, joins *quota.Book
}

// What a device of a family may ask for, and a device of the practice where it
// takes notifications too. The numbers are our choice: several times what a
// phone does that looks every few seconds for the clinic's answer.
var (
	requestsOfDevice = quota.Limit{Most: 1200, Per: 4 * time.Minute}
	testsOfDevice    = quota.Limit{Most: 30, Per: time.Hour}
	subscriptionsOf  = quota.Limit{Most: 60, Per: 24 * time.Hour}
	joinsOfFamily    = quota.Limit{Most: 20, Per: 24 * time.Hour}
)

func newGates() *gates {
	return &gates{
		guesses: newLimiter(guessesAMinute, time.Minute), knocks: newLimiter(knocksAMinute, time.Minute),
		invites:  newLimiter(invitesAnHour, time.Hour),
		requests: quota.NewBook(requestsOfDevice), tests: quota.NewBook(testsOfDevice),
		subscriptions: quota.NewBook(subscriptionsOf), joins: quota.NewBook(joinsOfFamily),
	}
}
