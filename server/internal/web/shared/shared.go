// Package shared answers what a family's and the practice's devices both ask
// for: notifications and their receipts, and calendar addresses.
package shared

import (
	"time"

	"nightkeep/server/internal/access"
	"nightkeep/server/internal/quota"
	"nightkeep/server/internal/store/register"
	"nightkeep/server/internal/web/transport"
)

// What one device may ask for. The numbers are our choice: several times what
// anybody needs.
var (
	testsOfDevice   = quota.Limit{Most: 30, Per: time.Hour}
	subscriptionsOf = quota.Limit{Most: 60, Per: 24 * time.Hour}
)

// room is what this room remembers between requests.
type room struct {
	tests, subscriptions *quota.Book
}

type call struct {
	*transport.Call
	room *room
}

// Routes returns the routes of this room.
func Routes() []transport.Route {
	r := &room{quota.NewBook(testsOfDevice), quota.NewBook(subscriptionsOf)}
	t := transport.Table[*call](func(c *transport.Call) *call { return &call{c, r} })
	return []transport.Route{
		t.Post("/api/push/subscription", access.AnyDevice, "Store where Web Push messages for this device go.", register.Subscription{}, transport.Done{}, (*call).subscribe),
		t.Delete("/api/push/subscription", access.AnyDevice, "Forget this device's subscription.", transport.Done{}, (*call).unsubscribe),
		t.Post("/api/push/test", access.AnyDevice, "Send this device a test notification.", nil, transport.Done{}, (*call).pushTest),
		t.Post("/api/clinic/push/subscription", access.AnyStaff, "Store where messages for this browser go.", register.Subscription{}, transport.Done{}, (*call).subscribe),
		t.Post("/api/clinic/push/test", access.AnyStaff, "Send this browser a test notification.", nil, transport.Done{}, (*call).pushTest),
		t.Post(transport.ReceiptsPath, access.AnyDevice, "The service worker reports that a notification was shown or opened.", receipt{}, transport.Done{}, (*call).receipt),

		t.Get("/calendar/:secret", access.Anyone, "Appointments for a calendar program, at a secret address.", nil, (*call).calendarFeed),
		t.Get("/api/calendar", access.FamilyOnly, "Whether the family has a calendar address.", calendarState{}, (*call).calendarState),
		t.Post("/api/calendar", access.FamilyOnly, "Make the family's calendar address anew; it is shown once and ends the one before.", nil, calendarAddress{}, (*call).newCalendar),
		t.Delete("/api/calendar", access.FamilyOnly, "End the family's calendar address.", transport.Done{}, (*call).endCalendar),
		t.Get("/api/clinic/calendar", access.ClinicDesk, "Whether the practice has a calendar address.", calendarState{}, (*call).calendarState),
		t.Post("/api/clinic/calendar", access.ClinicDesk, "Make the practice's calendar address anew; it is shown once and ends the one before. Needs a confirmation.", nil, calendarAddress{}, (*call).newCalendar),
		t.Delete("/api/clinic/calendar", access.ClinicDesk, "End the practice's calendar address. Needs a confirmation.", transport.Done{}, (*call).endCalendar),
	}
}
