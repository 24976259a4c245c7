package web

import (
	"cmp"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

func (c *call) subscribe() error {
	var sub store.Subscription
	if err := c.read(&sub); err != nil {
		return err
	}
	if err := c.srv.Push.CheckEndpoint(sub.Endpoint); err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-endpoint", Field: "endpoint", Text: err.Error()}
	}
	if sub.P256dh == "" || sub.Auth == "" || len(sub.P256dh) > 200 || len(sub.Auth) > 100 {
		return care.Refuse("bad-subscription", "p256dh", "want the keys p256dh and auth of the browser's push subscription")
	}
	if err := c.moderately(c.srv.gates.subscriptions, string(c.caller.Device.ID)); err != nil {
		return err
	}
	err := c.update(func(tx *store.Tx) error { return tx.PutSubscription(c.caller.Device.ID, sub) })
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

func (c *call) unsubscribe() error {
	err := c.update(func(tx *store.Tx) error { return tx.DropSubscription(c.caller.Device.ID) })
	if err != nil {
		return err
	}
	return c.reply(done{true})
}

func (c *call) pushTest() error {
	if err := c.moderately(c.srv.gates.tests, string(c.caller.Device.ID)); err != nil {
		return err
	}
	var sub store.Subscription
	err := c.srv.DB.View(func(tx *store.Tx) (err error) {
		sub, err = tx.Subscription(c.caller.Device.ID)
		return err
	})
	if care.KindOf(err) == care.NotFound {
		return care.Errorf(care.Conflict, "no-subscription", "this device has not allowed notifications yet")
	}
	if err != nil {
		return err
	}
	err = c.srv.Push.Test(sub)
	if care.KindOf(err) == care.Conflict {
		drop := c.write(func(tx *store.Tx) error { return tx.DropSubscription(c.caller.Device.ID) })
		return cmp.Or(drop, err)
	}
	if err != nil {
		return &care.Error{Kind: care.Unavailable, Code: "push-failed", Text: "the push service did not take the test message; try again later", Err: err}
	}
	return c.reply(done{true})
}

// receipt is what a service worker reports of a notification.
type receipt struct {
	Tag   string `json:"tag"`
	Event string `json:"event"` // shown or opened
}
