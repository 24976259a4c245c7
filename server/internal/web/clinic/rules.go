package clinic

import (
	"bytes"
	"encoding/json"
	"strconv"

	"nightkeep/alerts"
	"nightkeep/server/internal/calc"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/ready"
)

type ruleList struct {
	Version int       `json:"version"`
	Rules   []ruleRow `json:"rules"`
	// Approved is the last table that a clinician of the practice has approved; its
	// version is 0 when none has.
	Approved ready.Approval `json:"approved"`
}

type ruleRow struct {
	ID     string `json:"id"`
	Level  string `json:"level"`
	Title  string `json:"title"`
	When   string `json:"when"`  // in plain words, with the practice's limits
	Exact  string `json:"exact"` // as the rule has it
	Family string `json:"family"`
	Clinic string `json:"clinic"`
	Basis  string `json:"basis"`
}

func (c *call) rules() error {
	t := alerts.Default()
	list := ruleList{Version: t.Version, Rules: []ruleRow{}}
	var limits map[string]int
	err := c.View(func(tx *store.Tx) error {
		if err := tx.Register().Setting(ready.RulesApproved, &list.Approved); err != nil {
			return err
		}
		return tx.Register().Setting("rule_settings", &limits)
	})
	if err != nil {
		return err
	}
	for _, r := range t.Rows(limits) {
		list.Rules = append(list.Rules, ruleRow{r.ID, r.Level, r.Clinic, r.Plain, r.Condition, r.Family, r.Clinic, r.Basis})
	}
	return c.Reply(list)
}

// approveRules keeps that a clinician has read the table in force and stands by it.
func (c *call) approveRules() error {
	if err := c.Rechecked(); err != nil { // it is the practice's signature
		return err
	}
	var out ready.Approval
	return c.ReplyUpdate(&out, func(tx *store.Tx) error {
		out = ready.Approval{Version: alerts.Default().Version, By: c.Caller.Person.Name, At: tx.Now}
		if err := tx.Register().SetSetting(ready.RulesApproved, out); err != nil {
			return err
		}
		return tx.Audit().Append(c.Caller.Person.ID, "approved rules", strconv.Itoa(out.Version))
	})
}

// suitability answers with the same arithmetic as `calc suitability`.
func (c *call) suitability() error {
	var out bytes.Buffer
	if err := calc.Run("suitability", bytes.NewReader(c.Body()), &out); err != nil {
		return &care.Error{Kind: care.Invalid, Code: "bad-prescription", Text: err.Error()}
	}
	return c.Reply(json.RawMessage(out.Bytes()))
}
