// Package practice is the interface of the practice itself: who is signed in and
// how, its staff, its settings, what it keeps and for how long, who did what.
package practice

import (
	"nightkeep/server/internal/access"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/retention"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// room is what this room remembers between requests.
type room struct {
	ceremonies ceremonies
	trials     *quota.Book
}

type call struct {
	*transport.Call
	room *room
}

// Routes returns the routes of this room.
func Routes() []transport.Route {
	r := &room{trials: quota.NewBook(trialsOf)}
	t := transport.Table[*call](func(c *transport.Call) *call { return &call{c, r} })
	return []transport.Route{
		t.Get("/api/clinic/me", access.AnyStaff, "Who is signed in, and what the console needs.", clinicMe{}, (*call).clinicMe),
		t.Put("/api/clinic/language", access.AnyStaff, "The language one has the console in; empty for the browser's.", ownLanguage{}, transport.Done{}, (*call).setLanguage),
		t.Post("/api/clinic/sign-in", access.Anyone, "Use a one-time sign-in link up.", signInRequest{}, transport.Done{}, (*call).signIn),
		t.Post("/api/clinic/passkey/challenge", access.Anyone, "A challenge for a passkey, to sign in or to confirm.", nil, map[string]any{}, (*call).challenge),
		t.Post("/api/clinic/passkey/sign-in", access.Anyone, "Sign in with a passkey.", assertion{}, transport.Done{}, (*call).passkeySignIn),
		t.Post("/api/clinic/passkey/confirm", access.AnyStaff, "Confirm with the passkey, before what cannot be undone or leaves the building.", assertion{}, transport.Done{}, (*call).recheck),
		t.Post("/api/clinic/passkey/new", access.AnyStaff, "A challenge for making a passkey.", nil, map[string]any{}, (*call).newPasskey),
		t.Post("/api/clinic/passkeys", access.AnyStaff, "Store the passkey made.", passkeyRequest{}, transport.Done{}, (*call).storePasskey),
		t.Get("/api/clinic/passkeys", access.AnyStaff, "One's own passkeys.", passkeyList{}, (*call).passkeys),
		t.Delete("/api/clinic/passkeys/:id", access.AnyStaff, "Forget one of one's own passkeys. Needs a confirmation.", transport.Done{}, (*call).deletePasskey),

		t.Get("/api/clinic/sessions", access.AnyStaff, "One's own sessions.", sessionList{}, (*call).sessions),
		t.Delete("/api/clinic/sessions/:id", access.AnyStaff, "End one of one's own sessions.", transport.Done{}, (*call).endSession),
		t.Post("/api/clinic/sign-out", access.AnyStaff, "End this browser's session.", nil, transport.Done{}, (*call).signOut),
		t.Post("/api/clinic/sign-out-everywhere", access.AnyStaff, "End every session of one's own.", nil, transport.Done{}, (*call).signOutEverywhere),

		t.Get("/api/clinic/staff", access.AdminOnly, "Everybody of the practice.", staffList{}, (*call).staff),
		t.Post("/api/clinic/staff", access.AdminOnly, "A new member of staff, with a one-time link. Needs a confirmation.", newStaff{}, staffLink{}, (*call).addStaff),
		t.Put("/api/clinic/staff/:id", access.AdminOnly, "Correct a name or mail address, or give another role. Needs a confirmation.", newStaff{}, transport.Done{}, (*call).changeStaff),
		t.Post("/api/clinic/staff/:id/link", access.AdminOnly, "A new one-time link. Needs a confirmation.", nil, staffLink{}, (*call).linkStaff),
		t.Post("/api/clinic/staff/:id/lost", access.AdminOnly, "Their device was lost: every session, passkey and open link ends, and there is a new one-time link. Needs a confirmation.", nil, staffLink{}, (*call).lostStaff),
		t.Post("/api/clinic/staff/:id/mail", access.AdminOnly, "Send a test mail with a number in it.", nil, reach{}, (*call).trialMail),
		t.Post("/api/clinic/staff/:id/push", access.AdminOnly, "Send a test notification to each of their devices.", nil, trialPushReply{}, (*call).trialPush),
		t.Post("/api/clinic/mail/arrived", access.AdminOnly, "The number in the test mail: it has arrived.", arrival{}, reach{}, (*call).mailArrived),
		t.Delete("/api/clinic/staff/:id", access.AdminOnly, "A member of staff left: every session and passkey ends. Needs a confirmation.", transport.Done{}, (*call).dropStaff),
		t.Post("/api/clinic/staff-changes/:id/confirm", access.AnyStaff, "Confirm, as a second person, a change by which somebody may come to read wearers. Needs a confirmation.", nil, transport.Done{}, (*call).confirmStaff),
		t.Delete("/api/clinic/staff-changes/:id", access.AnyStaff, "Refuse one that waits. Needs a confirmation.", transport.Done{}, (*call).refuseStaff),

		t.Get("/api/clinic/old-phones", access.ClinicDesk, "Families' devices whose app advises by an older table of rules.", oldPhones{}, (*call).oldPhones),
		t.Post("/api/clinic/old-phones", access.Clinical, "Press the table in force: apps with an older one say that their advice is old, and to phone. Needs a confirmation.", nil, oldPhones{}, (*call).pressRules),
		t.Get("/api/clinic/safety", access.AnyStaff, "What the program is for, what could hurt somebody and what stops it.", safetyReply{}, (*call).safety),
		t.Get("/api/clinic/drills", access.AnyStaff, "The drills there were, how far each came, and whether one can be started.", drillList{}, (*call).drills),
		t.Post("/api/clinic/drills", access.AnyStaff, "Start a drill: a marked test report goes the whole way of a red flag.", nil, drillList{}, (*call).startDrill),
		t.Post("/api/clinic/drills/phone", access.AnyStaff, "A code by which a phone of the practice joins its family for drills.", nil, record.Invitation{}, (*call).drillPhone),
		t.Get("/api/clinic/settings", access.AnyStaff, "What the practice has set, what is not set yet, and when nobody is on duty over 28 days.", settingsReply{}, (*call).settings),
		t.Put("/api/clinic/settings", access.AdminOnly, "Set practice, rota, minutes of escalation and limits of rules, all or nothing; a duty no clinician holds is asked about. Needs a confirmation.", settingsRequest{}, settingsReply{}, (*call).saveSettings),
		t.Put("/api/clinic/place", access.AdminOnly, "Set zone, country and languages, which are asked first. Needs a confirmation.", whereabouts{}, settingsReply{}, (*call).savePlace),
		t.Get("/api/clinic/rehearsals", access.AdminOnly, "How rehearsals of backups went, the newest first.", rehearsalsReply{}, (*call).rehearsals),
		t.Post("/api/clinic/rehearsals", access.AdminOnly, "Note how a rehearsal of a backup went.", newRehearsal{}, rehearsalsReply{}, (*call).noteRehearsal),
		t.Get("/api/clinic/duties", access.ClinicDesk, "Who is on duty over the next 28 days, and the swaps that wait for the caller or the colleague asked.", dutyList{}, (*call).duties),
		t.Post("/api/clinic/swaps", access.ClinicDesk, "Ask a colleague to take a duty of one's own.", swapRequest{}, transport.Done{}, (*call).askSwap),
		t.Post("/api/clinic/swaps/:id/accept", access.ClinicDesk, "Confirm a swap one was asked for: the duty changes.", nil, transport.Done{}, (*call).acceptSwap),
		t.Delete("/api/clinic/swaps/:id", access.ClinicDesk, "Withdraw a swap one asked for, or say no to one.", transport.Done{}, (*call).dropSwap),
		t.Get("/api/clinic/privacy", access.AnyStaff, "What the practice says of the data it holds, and what families read and agree to.", privacyReply{}, (*call).privacy),
		t.Put("/api/clinic/privacy", access.AdminOnly, "Set it; every family is asked again. Needs a confirmation.", record.Privacy{}, privacyReply{}, (*call).savePrivacy),
		t.Get("/api/clinic/breaches", access.AnyStaff, "The register of breaches of personal data, the newest first.", breachList{}, (*call).breaches),
		t.Post("/api/clinic/breaches", access.AnyStaff, "Note a breach.", breachFacts{}, breachList{}, (*call).addBreach),
		t.Post("/api/clinic/breaches/:id/lines", access.AnyStaff, "Add what was learnt or done later.", breachText{}, breachList{}, (*call).lineToBreach),
		t.Get("/api/clinic/retention", access.AdminOnly, "How long records are kept, and whose time is over, by id. Nothing is erased by itself.", retentionReply{}, (*call).retention),
		t.Put("/api/clinic/retention", access.AdminOnly, "Set how long records are kept. Needs a confirmation.", retention.Rule{}, retentionReply{}, (*call).setRetention),
		t.Delete("/api/clinic/audit", access.AdminOnly, "Cut the lines whose time of keeping is over off the audit log; an anchor stays. Needs a confirmation.", retentionReply{}, (*call).cutAudit),
		t.Delete("/api/clinic/held", access.AdminOnly, "Forget the entries of a newer app, kept unread, whose time of keeping is over. Needs a confirmation.", retentionReply{}, (*call).forgetHeld),
		t.Post("/api/clinic/restored", access.AdminOnly, "What a restore took back was seen to. Needs a confirmation.", nil, transport.Done{}, (*call).seenToLacks),
		t.Get("/api/clinic/audit", access.AdminOnly, "The audit log, newest first.", auditPage{}, (*call).audit),
	}
}
