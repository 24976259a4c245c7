package practice

import (
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// auditLines is how many lines one page of the audit log has.
const auditLines = 100

type auditPage struct {
	Lines  []auditLine `json:"lines"`  // newest first
	Older  uint64      `json:"older"`  // before this line there are more; 0: there are none
	Broken uint64      `json:"broken"` // first line of the page that does not fit the chain, 0 for none
	Cut    uint64      `json:"cut"`    // how many lines were cut off the beginning of the log
	Lacks  bool        `json:"lacks"`  // what a restore took back was not seen to yet
}

// auditLine is a line without its salts: who keeps a salt could tell after an
// erasure whose the line was.
type auditLine struct {
	Seq  uint64        `json:"seq"`
	At   time.Time     `json:"at"`
	Who  care.PersonID `json:"who"`
	Name string        `json:"name"` // of staff; a family's people are ids to an administrator
	Did  string        `json:"did"`
	What string        `json:"what"`
}

// audit answers with the lines before the one asked for, or with the newest.
func (c *call) audit() error {
	p := auditPage{Lines: []auditLine{}}
	return c.ReplyView(&p, func(tx *store.Tx) error {
		before := tx.Audit().Last() + 1
		if asked := uint64(max(0, c.QueryInt("before"))); asked > 0 {
			before = min(before, asked)
		}
		var lost store.Lacks
		if err := tx.Register().Setting(store.LacksSetting, &lost); err != nil {
			return err
		}
		p.Lacks = !lost.At.IsZero()
		from := max(1, before-min(before, auditLines))
		cut, err := tx.Audit().Anchor()
		if err != nil {
			return err
		}
		p.Cut = cut.Lines
		from = max(from, cut.Lines+1)
		lines, broken, err := tx.Audit().Around(from, int(before-min(before, from)))
		p.Broken = broken
		if from > cut.Lines+1 {
			p.Older = from
		}
		for _, a := range slices.Backward(lines) {
			line := auditLine{a.Seq, a.At, a.Who, "", a.Did, a.What}
			if who, err := tx.Register().Person(a.Who); err == nil && who.Role.Staff() {
				line.Name = who.Name
			}
			p.Lines = append(p.Lines, line)
		}
		return err
	})
}

// seenToLacks notes that what a restore took back was seen to.
func (c *call) seenToLacks() error {
	if err := c.Rechecked(); err != nil {
		return err
	}
	return c.DoneUpdate(func(tx *store.Tx) error {
		var lost store.Lacks
		if err := tx.Register().Setting(store.LacksSetting, &lost); err != nil || lost.At.IsZero() {
			return err
		}
		return errors.Join(tx.Register().SetSetting(store.LacksSetting, store.Lacks{}),
			tx.Audit().Append(c.Caller.Person.ID, "saw to what a restore took back", lost.At.UTC().Format(time.RFC3339)))
	})
}
