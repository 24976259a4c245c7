package transport

import "nightkeep/server/internal/notices"

// notices answers with the licences of what the program is built with.
func (c *Call) notices() error {
	c.Type("txt", "utf-8")
	return c.SendString(notices.Text())
}
