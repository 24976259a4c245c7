package family

import (
	"github.com/gofiber/fiber/v2"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/intake"
	"nightkeep/server/internal/web/transport"
)

// sync takes a body that a newer app may have added fields to.
func (c *call) sync() error {
	if err := c.WantJSON(); err != nil {
		return c.unreadable(err)
	}
	req, err := intake.ReadRequest(c.Body())
	if err != nil {
		return c.unreadable(care.Refuse("bad-body", "", "want {epoch, cursor, entries}: %s", care.JSONWords(err)))
	}
	req.Over = c.Over
	reply, err := c.Srv.Intake.Sync(c.Caller, req)
	if err != nil {
		return err
	}
	if refused := firstRefusal(reply.Verdicts); refused != nil {
		c.Status(fiber.StatusUnprocessableEntity)
		return c.Reply(struct {
			intake.Reply
			transport.ErrorBody
		}{reply, transport.ErrorOf(refused.Code, refused.Message, refused.Field)})
	}
	raw, err := reply.AppendJSON(nil)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderCacheControl, "no-store")
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(raw)
}

// firstRefusal returns the first verdict when every entry of a request was
// refused: then the request as a whole failed and says so in the common shape,
// with the verdicts beside it.
func firstRefusal(list []intake.Verdict) *intake.Verdict {
	for _, v := range list {
		if v.Verdict != "refused" {
			return nil
		}
	}
	if len(list) == 0 {
		return nil
	}
	return &list[0]
}

// unreadable answers a request that cannot be read. One that speaks of symptoms is kept
// and told to the practice as a report.
func (c *call) unreadable(why error) error {
	req, ok := intake.Unreadable(c.Body(), why)
	if !ok {
		return why
	}
	req.Over = c.Over
	reply, err := c.Srv.Intake.Sync(c.Caller, req)
	if err != nil {
		return err
	}
	v := reply.Verdicts[0]
	return care.Refuse(v.Code, v.Field, "%s", v.Message)
}
