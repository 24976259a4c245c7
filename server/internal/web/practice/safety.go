package practice

import "nightkeep/server/internal/hazards"

// safetyReply is the safety case, and whom to tell of harm.
type safetyReply struct {
	Purpose hazards.Purpose `json:"purpose"`
	Log     hazards.Log     `json:"log"`
	Parts   []hazards.Part  `json:"parts"`
	Contact string          `json:"contact"` // of whoever runs the server; may be empty
}

func (c *call) safety() error {
	return c.Reply(safetyReply{*hazards.Intended(), *hazards.Default(), hazards.Parts(), c.Srv.Contact})
}
