package store

import (
	"errors"
	"slices"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/durable"
	"nightkeep/server/internal/kv"
	"nightkeep/server/internal/kv/bolt"
	"nightkeep/server/internal/store/audit"
	"nightkeep/server/internal/store/register"
)

// Lacks says what a file that was put back took away: what was done after it was made,
// by the audit log of the file that stood there. Each stands in the restored audit log
// as one line more, which begins with [LackingLine], so that it can be looked at and
// done again. It is the setting named [LacksSetting] until somebody has seen to it.
type Lacks struct {
	At      time.Time      `json:"at"`                // of the restore, or when it was noticed
	Did     map[string]int `json:"did,omitempty"`     // how often each was done
	Unknown bool           `json:"unknown,omitempty"` // the file that stood there could not be read, or was repaired and has lost parts
	Blind   bool           `json:"blind,omitempty"`   // which alerts were open in it is not known whole
	// Shut says who cannot get in by a repaired file, which has lost what let them in.
	Shut   register.ShutOut `json:"shut,omitzero"`
	Phones Told             `json:"phones,omitzero"`  // what phones say, where a file was put back by hand
	Alerts int              `json:"alerts,omitempty"` // live ones of the file that stood there, put into the restored one
	Left   int              `json:"left,omitempty"`   // live ones that could not be: only that file says whose
}

// Told is what phones were once told is stored, and the file does not hold.
type Told struct {
	Families int `json:"families"` // whose phones say so
	Entries  int `json:"entries"`  // that are missing, at least
}

// How what a restore took back is named.
const (
	LacksSetting = "lacks"
	LackingLine  = "not in the backup: "
)

// mostLacking bounds the lines that are taken over; our own choice, years of a practice.
const mostLacking = 20_000

// reading are the doings that leave nothing behind but their line.
var readingOnly = []string{"read ", "exported ", "looked at ", "came back without a log", "carried over ", foundOlder, LackingLine}

// doneSince returns the lines of the audit log of the file at path that follow a line
// of the backup's, and changed something. Where the two logs part earlier, by an earlier
// restore, they are those of a later time. known is false for a file that cannot be read.
func doneSince(path string, last audit.Line) (lines []audit.Line, known bool) {
	known = lookInto(path, func(k kv.Tx) error {
		tx := reading(k)
		same := false
		return tx.audit.Each(func(a audit.Line) error {
			switch {
			case a.Seq == last.Seq:
				same = a.Hash == last.Hash
			case (a.Seq > last.Seq && (same || last.Seq == 0) || a.At.After(last.At)) && changes(a) && len(lines) < mostLacking:
				lines = append(lines, a)
			}
			return nil
		})
	})
	return lines, known
}

// lookInto reads the file at path without changing it; known is false where that fails.
// Of a file that is missing there is nothing to know.
func lookInto(path string, f func(kv.Tx) error) (known bool) {
	if durable.Missing(path) {
		return true
	}
	b, err := bolt.Open(path, bolt.Options{ReadOnly: true})
	if err != nil {
		return false
	}
	defer b.Close()
	return b.View(f) == nil
}

// lastDone returns the last line of the audit log; a zero one when there is none.
func (tx *Tx) lastDone() (last audit.Line) {
	if lines, _, err := tx.audit.Lines(tx.audit.Last(), 1); err == nil && len(lines) > 0 {
		last = lines[0]
	}
	return last
}

// changes reports whether a line is of something that is lost with the file; of an
// erased family nothing is.
func changes(a audit.Line) bool {
	return a.What != audit.Erased && a.Did != "erased family" &&
		!slices.ContainsFunc(readingOnly, func(begins string) bool { return strings.HasPrefix(a.Did, begins) })
}

// noteLacking writes down what a restore took back.
func (tx *Tx) noteLacking(lines []audit.Line, known, blind bool, carried, left int) error {
	var had Lacks // of a repair
	err := tx.register.Setting(LacksSetting, &had)
	lacks := Lacks{At: tx.Now, Did: map[string]int{}, Unknown: !known || had.Unknown, Blind: blind || had.Blind, Shut: had.Shut, Alerts: carried, Left: left}
	err = errors.Join(err, tx.audit.Append("", "restored a backup", ""))
	for _, a := range lines {
		lacks.Did[a.Did]++
		what := strings.TrimSpace(a.What + " " + a.At.UTC().Format(time.RFC3339))
		err = errors.Join(err, tx.audit.Append(a.Who, LackingLine+a.Did, what))
	}
	return errors.Join(err, tx.register.SetSetting(LacksSetting, lacks))
}

// foundOlder is what the audit log says of whose phone found an older file.
const foundOlder = "found the data file older than a phone was told"

// mostTold bounds how many missing entries one family's phone is believed; our own
// choice, some years of a family's.
const mostTold = 10_000

// A phone may say what it likes: of one family it is believed once in so long, and its
// log gets a new life no more often than that. Our own choice: the audit log names
// whose phone it is, and one that says so every day is looked into. A file that went
// back to before it was told has forgotten that, and is noticed each time.
const (
	toldOnceIn = 24 * time.Hour
	lifeOnceIn = time.Hour
)

// FoundOlder takes a phone at its word that its family's log once went up to a number,
// which it does not any more, or not as it was: an older data file was put back by
// hand. The log gets a new life, so that the family's phones read it anew and offer
// again what it lacks, and people are told until somebody has seen to it. A family
// counts once, also after that. by is whose phone it is, told the epoch that it names.
// An epoch that began after ours is more than a word, see [log.Tx.Later]: then the whole
// file begins a new one, and what is said of it is what [DB.WentBack] says, each time.
func (tx *Tx) FoundOlder(f care.FamilyID, by care.PersonID, told string, cursor uint64) error {
	file, life, _ := strings.Cut(told, ".")
	proof, errTold := tx.log.Later(f, told)
	before, err := tx.register.Family(f)
	if err := errors.Join(errTold, err); err != nil {
		return err
	}
	again := func(within time.Duration) bool {
		return !proof && !before.Restored.IsZero() && tx.Now.Sub(before.Restored) < within
	}
	switch {
	case proof:
		err = tx.log.NewEpoch(file)
	case again(lifeOnceIn):
		return nil
	default:
		err = tx.log.NewLife(f, life)
	}
	if err != nil || again(toldOnceIn) {
		return err
	}
	return tx.noteOlder(f, by, cursor, proof)
}

// noteOlder writes down what a phone says is missing.
func (tx *Tx) noteOlder(f care.FamilyID, by care.PersonID, cursor uint64, proof bool) error {
	var lacks Lacks
	head, _, err := tx.log.Head(f)
	if err := errors.Join(err, tx.register.Setting(LacksSetting, &lacks)); err != nil {
		return err
	}
	if lacks.At.IsZero() {
		lacks.At = tx.Now
	}
	lacks.Unknown, lacks.Blind = true, lacks.Blind || proof
	lacks.Phones.Families++
	lacks.Phones.Entries += int(min(max(cursor, head+1)-head, mostTold))
	return errors.Join(tx.register.SetSetting(LacksSetting, lacks),
		tx.audit.Append(by, foundOlder, string(f)))
}
