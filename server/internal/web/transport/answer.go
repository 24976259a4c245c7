package transport

import "nightkeep/server/internal/store"

// ReplyView reads from the store and answers with what out points to then.
func (c *Call) ReplyView(out any, f func(*store.Tx) error) error {
	if err := c.View(f); err != nil {
		return err
	}
	return c.Reply(out)
}

// ReplyUpdate writes as [Call.Update] and answers with what out points to then.
func (c *Call) ReplyUpdate(out any, f func(*store.Tx) error) error {
	if err := c.Update(f); err != nil {
		return err
	}
	return c.Reply(out)
}

// DoneUpdate writes as [Call.Update] and answers that it is done.
func (c *Call) DoneUpdate(f func(*store.Tx) error) error {
	if err := c.Update(f); err != nil {
		return err
	}
	return c.Done()
}
