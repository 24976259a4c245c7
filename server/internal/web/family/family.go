// Package family is the interface of the family's app: joining, the family as a
// device may see it, sync, devices, and what it chooses about reminders.
package family

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/web/record"
	"nightkeep/server/internal/web/transport"
)

// joinsOfFamily is how many new devices a family may have: our choice, far more
// than anybody buys.
var joinsOfFamily = quota.Limit{Most: 20, Per: 24 * time.Hour}

// looksPerDay is how often a family may ask who opened its record, which reads the
// whole audit log: our choice.
var looksPerDay = quota.Limit{Most: 40, Per: 24 * time.Hour}

// room is what this room remembers between requests.
type room struct {
	invites *transport.Limiter // codes for a further device, by person
	joins   *quota.Book
	private *quota.Book
	looks   *quota.Book
}

type call struct {
	*transport.Call
	room *room
}

// Routes returns the routes of this room.
func Routes() []transport.Route {
	r := &room{transport.NewLimiter(invitesAnHour, time.Hour), quota.NewBook(joinsOfFamily), quota.NewBook(privatePerDay), quota.NewBook(looksPerDay)}
	t := transport.Table[*call](func(c *transport.Call) *call { return &call{c, r} })
	return []transport.Route{
		t.Post("/api/join", access.Anyone, "Use an invitation up and get this device's credential as a cookie.", joinRequest{}, joinReply{}, (*call).join),
		t.Get("/api/family/readers", access.FamilyOnly, "Who at the practice opened the family's record in the last year, by day.", readerList{}, (*call).readers),
		t.Get("/api/consent", access.Anyone, "What somebody agrees to on joining: whose data it is, whom to ask, how long it is kept.", record.ConsentText{}, (*call).consentText),
		t.Get("/api/contacts", access.Anyone, "Whom to call: the practice's numbers and the place to go to, as the page /plain shows them.", care.Contacts{}, (*call).contacts),
		t.Post("/api/consent", access.FamilyOnly, "Agree to the text that is in force.", consentRequest{}, transport.Done{}, (*call).agree),
		t.Delete("/api/consent", access.FamilyOnly, "Take one's consent back. What one reports of a sore eye is taken all the same.", transport.Done{}, (*call).withdraw),
		t.Get("/api/family", access.FamilyOnly, "The family as this device may see it.", familyView{}, (*call).family),
		t.Post(transport.SyncPath, access.FamilyOnly, "Send entries, get verdicts and the changes since a cursor.", intake.Request{}, intake.Reply{}, (*call).sync),
		t.Post("/api/reminders", access.FamilyOnly, "Choose who is reminded first and what a locked phone shows.", remindersRequest{}, transport.Done{}, (*call).saveReminders),
		t.Post("/api/reminders/mine", access.FamilyOnly, "Choose which reminders the caller leaves to the others of the family.", muteRequest{}, transport.Done{}, (*call).mute),
		t.Post("/api/private", access.FamilyOnly, "A teen writes to the clinicians alone, where the practice allows it.", privateRequest{}, transport.Done{}, (*call).private),
		t.Post("/api/family/people", access.FamilyOnly, "A parent invites another one, where the practice allows it.", parentRequest{}, record.Invitation{}, (*call).inviteParent),
		t.Put("/api/devices/:id", access.FamilyOnly, "Name a device: a parent any of the family, a teen their own.", deviceName{}, transport.Done{}, (*call).renameDevice),
		t.Get("/api/devices", access.FamilyOnly, "The family's devices and when each was last heard of.", deviceList{}, (*call).devices),
		t.Delete("/api/devices/:id", access.FamilyOnly, "Revoke a device: a parent any of the family, a teen their own.", transport.Done{}, (*call).dropDevice),
		t.Post("/api/devices/again", access.FamilyOnly, "A new device for a browser whose log was cleared and whose cookie was not; its credential comes as a cookie.", nil, joinReply{}, (*call).renewDevice),
		t.Post("/api/devices/invitation", access.FamilyOnly, "A code for a second device of the same person, good for 15 minutes.", nil, record.Invitation{}, (*call).inviteDevice),
	}
}
