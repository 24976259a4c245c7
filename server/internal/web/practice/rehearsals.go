package practice

import (
	"strings"
	"time"
	"unicode/utf8"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// A rehearsal tries a backup in a folder of its own, where nothing leaves. How it
// went is noted by whoever looked, in the practice's own console: the folder of
// the rehearsal is removed afterwards.

// rehearsalsSetting holds the results, the newest first.
const rehearsalsSetting = "rehearsals"

// Bounds of our own: twenty years of quarters, and a note of a few lines.
const (
	maxRehearsals = 80
	maxNote       = 500 // characters
	oldestTried   = 366 // days: our own choice
)

// rehearsal is how one went.
type rehearsal struct {
	At     time.Time  `json:"at"`     // when it was noted
	By     string     `json:"by"`     // who noted it
	Backup civil.Date `json:"backup"` // of when the backup was
	Worked bool       `json:"worked"`
	Note   string     `json:"note"`
}

type rehearsalsReply struct {
	Rehearsals []rehearsal `json:"rehearsals"` // the newest first
}

type newRehearsal struct {
	Backup civil.Date `json:"backup"`
	Worked bool       `json:"worked"`
	Note   string     `json:"note"`
}

func (c *call) rehearsals() error {
	var r rehearsalsReply
	return c.ReplyView(&r, func(tx *store.Tx) error { return readRehearsals(tx, &r) })
}

func readRehearsals(tx *store.Tx, r *rehearsalsReply) error {
	err := tx.Register().Setting(rehearsalsSetting, &r.Rehearsals)
	r.Rehearsals = list(r.Rehearsals)
	return err
}

func (c *call) noteRehearsal() error {
	var req newRehearsal
	if err := c.Read(&req); err != nil {
		return err
	}
	req.Note = strings.TrimSpace(req.Note)
	if n := utf8.RuneCountInString(req.Note); n > maxNote || n == 0 && !req.Worked {
		return care.Refuse("bad-note", "note", "want at most %d characters, and what went wrong when it did not work", maxNote)
	}
	var r rehearsalsReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		today, _, err := record.Today(tx)
		if err != nil {
			return err
		}
		if req.Backup.After(today) || req.Backup.Before(today.AddDays(-oldestTried)) {
			return care.Refuse("bad-date", "backup", "want the day of the backup that was tried: today at the latest, and of the last year, since an older one shows nothing of those made now")
		}
		if err := readRehearsals(tx, &r); err != nil {
			return err
		}
		done := rehearsal{tx.Now, c.Caller.Person.Name, req.Backup, req.Worked, req.Note}
		r.Rehearsals = append([]rehearsal{done}, r.Rehearsals...)
		r.Rehearsals = r.Rehearsals[:min(len(r.Rehearsals), maxRehearsals)]
		if err := tx.Register().SetSetting(rehearsalsSetting, r.Rehearsals); err != nil {
			return err
		}
		if req.Worked {
			if err := tx.Register().SetReadBack(tx.Now); err != nil {
				return err
			}
		}
		return tx.Audit().Append(c.Caller.Person.ID, "noted rehearsal", map[bool]string{true: "worked", false: "failed"}[req.Worked])
	})
}
