package web

import (
	"bytes"
	"encoding/json"

	"nightkeep/server/internal/calc"
	"nightkeep/server/internal/care"
)

// suitability answers with the same arithmetic as `calc suitability`.
func (c *call) suitability() error {
	var out bytes.Buffer
	if err := calc.Run("suitability", bytes.NewReader(c.Body()), &out); err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-prescription", Text: err.Error()}
	}
	return c.reply(json.RawMessage(out.Bytes()))
}
