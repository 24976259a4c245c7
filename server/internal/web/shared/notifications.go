package shared

import (
	"cmp"
	"strings"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/store/register"
)

func (c *call) subscribe() error {
	var sub register.Subscription
	if err := c.Read(&sub); err != nil {
		return err
	}
	if sub.P256dh == "" || sub.Auth == "" || len(sub.P256dh) > 200 || len(sub.Auth) > 100 {
		return care.Refuse("bad-subscription", "p256dh", "want the keys p256dh and auth of the browser's push subscription")
	}
	if err := c.Srv.Push.Check(sub); err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-endpoint", Field: "endpoint", Text: strings.TrimPrefix(err.Error(), "push: "), Err: err}
	}
	if err := c.TakeQuota(c.room.subscriptions, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error { return tx.Access().PutSubscription(c.Caller.Device.ID, sub) })
}

func (c *call) unsubscribe() error {
	return c.DoneUpdate(func(tx *store.Tx) error { return tx.Access().DropSubscription(c.Caller.Device.ID) })
}

func (c *call) pushTest() error {
	if err := c.TakeQuota(c.room.tests, string(c.Caller.Device.ID)); err != nil {
		return err
	}
	var sub register.Subscription
	err := c.View(func(tx *store.Tx) (err error) {
		sub, err = tx.Access().Subscription(c.Caller.Device.ID)
		return err
	})
	if care.KindOf(err) == care.NotFound {
		return care.Errorf(care.Conflict, "no-subscription", "this device has not allowed notifications yet")
	}
	if err != nil {
		return err
	}
	err = c.Srv.Push.Test(sub)
	if care.KindOf(err) == care.Conflict {
		drop := c.UpdateShared(func(tx *store.Tx) error { return tx.Access().DropSubscription(c.Caller.Device.ID) })
		return cmp.Or(drop, err)
	}
	if err != nil {
		return &care.Error{Kind: care.Unavailable, Code: "push-failed", Text: "the push service did not take the test message; try again later", Err: err}
	}
	return c.Done()
}
