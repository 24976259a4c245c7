package practice

import (
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// Bounds of what a practice says about data: room for an address, and for two pages
// that somebody may read on a phone (our choice).
const (
	maxPrivacyLine = 300
	maxOwnWords    = 6000
)

// privacyReply is what the practice says, and what the families read.
type privacyReply struct {
	record.Privacy
	Shown record.ConsentText `json:"shown"`
}

func readPrivacy(tx *store.Tx) (r privacyReply, err error) {
	if r.Privacy, err = record.ReadPrivacy(tx); err != nil {
		return r, err
	}
	r.Shown, err = record.Consent(tx)
	return r, err
}

func (c *call) privacy() error {
	var r privacyReply
	return c.ReplyView(&r, func(tx *store.Tx) (err error) { r, err = readPrivacy(tx); return err })
}

// savePrivacy stores what the practice says as the next revision: every family is
// asked again.
func (c *call) savePrivacy() error {
	var req record.Privacy
	if err := c.Read(&req); err != nil {
		return err
	}
	if err := c.Rechecked(); err != nil {
		return err
	}
	if err := tidyPrivacy(&req); err != nil {
		return err
	}
	var r privacyReply
	return c.ReplyUpdate(&r, func(tx *store.Tx) error {
		have, err := record.ReadPrivacy(tx)
		if err != nil {
			return err
		}
		if have.Revision != req.Revision {
			return errSettingsChanged
		}
		if err := record.StorePrivacy(tx, req); err != nil {
			return err
		}
		if err := tx.Audit().Append(c.Caller.Person.ID, "changed privacy words", ""); err != nil {
			return err
		}
		r, err = readPrivacy(tx)
		return err
	})
}

// tidyPrivacy trims what a practice wrote, and refuses what is too long or in a
// language there is not.
func tidyPrivacy(p *record.Privacy) error {
	for _, line := range []struct {
		field string
		text  *string
	}{{"controller", &p.Controller}, {"contact", &p.Contact}, {"authority", &p.Authority}} {
		if *line.text = record.Composed(*line.text); !care.OneLine(*line.text) {
			return care.Refuse("bad-characters", line.field, record.BadCharacters)
		}
		if utf8.RuneCountInString(*line.text) > maxPrivacyLine {
			return care.Refuse("bad-field", line.field, "want at most %d characters", maxPrivacyLine)
		}
	}
	for _, lang := range slices.Sorted(maps.Keys(p.Own)) {
		text := record.Composed(p.Own[lang])
		if !slices.Contains(care.Languages(), lang) {
			return care.Refuse("bad-language", "own", "%q: want one of %s", lang, strings.Join(care.Languages(), ", "))
		}
		if !care.ManyLines(text) {
			return care.Refuse("bad-characters", "own."+lang, record.BadCharacters)
		}
		if utf8.RuneCountInString(text) > maxOwnWords {
			return care.Refuse("bad-field", "own."+lang, "want at most %d characters", maxOwnWords)
		}
		if p.Own[lang] = text; text == "" {
			delete(p.Own, lang)
		}
	}
	return nil
}
