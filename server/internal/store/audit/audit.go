package audit

import (
	"cmp"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Erased stands in a line of the audit log where the id of an erased family,
// or of its people, wearers or devices, stood.
const Erased = "erased"

// Line is one line of the audit log. Each holds the hash of the one before,
// so that a line cannot be changed or taken out unseen.
//
// The hash is made over seals of Who and What, not over the ids themselves. A
// seal is SHA-256 over a random salt and the id. When a family is erased, its
// ids and their salts are taken out and the seals stay: the chain still fits,
// and without the salt nobody can tell what a seal was made of.
type Line struct {
	Seq      uint64        `json:"seq"`
	At       time.Time     `json:"at"`
	Who      care.PersonID `json:"who"`
	Did      string        `json:"did"`
	What     string        `json:"what"` // ids, never a name or a clinical word
	WhoSalt  string        `json:"who_salt,omitempty"`
	WhoSeal  string        `json:"who_seal"`
	WhatSalt string        `json:"what_salt,omitempty"`
	WhatSeal string        `json:"what_seal"`
	Before   string        `json:"before"`
	Hash     string        `json:"hash"`
}

// SealOf is SHA-256 of a salt, a line feed and a text, in lower-case hex.
func SealOf(salt, text string) string { return hexSum([]byte(salt + "\n" + text)) }

func hexSum(raw []byte) string {
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// digest is SHA-256 over the line's JSON without its hash, ids and salts.
func (a Line) digest() string {
	a.Hash, a.Who, a.WhoSalt, a.What, a.WhatSalt = "", "", "", "", ""
	raw, err := json.Marshal(a)
	if err != nil {
		panic(err) // plain fields always marshal
	}
	return hexSum(raw)
}

// sound reports whether the line's hash and seals fit what it says.
func (a Line) sound() bool {
	fits := func(salt, seal, text string) bool {
		if salt == "" {
			return text == Erased
		}
		return SealOf(salt, text) == seal
	}
	return a.digest() == a.Hash && fits(a.WhoSalt, a.WhoSeal, string(a.Who)) && fits(a.WhatSalt, a.WhatSeal, a.What)
}

// seal fills salts, seals and hash.
func (a *Line) seal() {
	a.WhoSalt, a.WhatSalt = rand.Text(), rand.Text()
	a.WhoSeal, a.WhatSeal = SealOf(a.WhoSalt, string(a.Who)), SealOf(a.WhatSalt, a.What)
	a.Hash = a.digest()
}

var logTable = pairs.Table[Line]{Name: "audit"}

// Append appends a line to the audit log. what holds ids, never a name or a
// clinical word.
func (tx *Tx) Append(who care.PersonID, did, what string) error {
	a := Line{Seq: 1, At: tx.p.Now, Who: who, Did: did, What: what}
	if k, raw := tx.p.Last(logTable.Name, nil); raw != nil {
		var last Line
		if err := json.Unmarshal(raw, &last); err != nil { // a check says so; what is done now is still written down
			tx.p.Quarantine("audit", k, err)
			last = Line{Seq: pairs.NumberOf(k), Hash: "unreadable"}
		}
		a.Seq, a.Before = last.Seq+1, last.Hash
	}
	a.seal()
	return logTable.Put(tx.p, pairs.Key(a.Seq), a)
}

// Cut is the anchor that stays where the beginning of the audit log was
// cut off: how many lines were, which is the number of the last of them, and the
// hash of that one. The zero AuditCut says that every line is there.
type Cut struct {
	Lines uint64 `json:"lines"`
	Hash  string `json:"hash"`
}

// cutLine is what a line of the audit log says was done when it was cut. What
// it was done to is the anchor, so that the anchor stands in the chain itself.
const cutLine = "cut audit log"

func (c Cut) what() string { return fmt.Sprintf("%d %s", c.Lines, c.Hash) }

// Anchor returns the anchor of this file.
func (tx *Tx) Anchor() (c Cut, err error) {
	err = tx.p.Setting("audit_cut", &c)
	return c, err
}

// Old returns the anchor the log would have if all lines at its beginning
// that are old were cut off; the one it has when none is. It stops at the first
// line that is not old, so that a clock once set wrong cuts nothing too many.
func (tx *Tx) Old(old func(at time.Time) bool) (Cut, error) {
	to, err := tx.Anchor()
	if err != nil {
		return to, err
	}
	err = logTable.Scan(tx.p, nil, func(_ []byte, a Line) bool {
		if !old(a.At) {
			return false
		}
		to = Cut{a.Seq, a.Hash}
		return true
	})
	return to, err
}

// CutTo cuts the lines up to an anchor off the audit log and writes down who
// did. Where a line does not fit the chain it refuses with a conflict and cuts
// nothing: what shows that somebody changed the file must stay. Like after an
// erasure, the text is gone from the file once it is next opened.
func (tx *Tx) CutTo(by care.PersonID, to Cut) error {
	have, err := tx.Anchor()
	if err != nil || to.Lines <= have.Lines {
		return err
	}
	lines, broken, err := tx.Lines(1, int(to.Lines-have.Lines))
	if err != nil {
		return err
	}
	if broken > 0 {
		return care.Errorf(care.Conflict, "broken-chain", "line %d of the audit log does not fit the chain, so nothing is cut off it", broken)
	}
	if i := slices.IndexFunc(lines, func(a Line) bool { return a.Did == unreadableLine }); i >= 0 {
		return care.Errorf(care.Conflict, "broken-chain", "line %d of the audit log cannot be read, so nothing is cut off it", lines[i].Seq)
	}
	if last := lines[len(lines)-1]; (Cut{last.Seq, last.Hash}) != to {
		return care.Errorf(care.Conflict, "other-line", "line %d of the audit log is not the one to cut up to", to.Lines)
	}
	if err := tx.Append(by, cutLine, to.what()); err != nil {
		return err
	}
	for seq := have.Lines + 1; seq <= to.Lines; seq++ {
		if err := logTable.Delete(tx.p, pairs.Key(seq)); err != nil {
			return err
		}
	}
	if err := tx.p.SetSetting("audit_cut", to); err != nil {
		return err
	}
	return tx.p.SetSetting("compact", true)
}

// Check verifies the chain, from the anchor on where lines were cut, and
// that the chain itself says so.
func (tx *Tx) Check() error {
	cut, err := tx.Anchor()
	if err != nil {
		return fmt.Errorf("audit log: the anchor cannot be read: %w", err)
	}
	lines, broken, err := tx.Lines(1, 1<<40)
	if err != nil {
		return fmt.Errorf("audit log: it cannot be read: %w", err)
	}
	if broken != 0 {
		return fmt.Errorf("audit log: line %d does not fit the chain", broken)
	}
	said, want := "", ""
	for _, a := range lines {
		if a.Did == cutLine {
			said = a.What
		}
	}
	if cut.Lines > 0 {
		want = cut.what()
	}
	if said != want {
		return fmt.Errorf("audit log: the anchor says that %d lines are cut off its beginning, the log itself says %q", cut.Lines, said)
	}
	return nil
}

// unreadableLine is what a line of the log says that cannot be read.
const unreadableLine = "(this line cannot be read)"

// Lines returns up to n lines from seq on, or from the first that was not
// cut off, and 0 or the number of the first line that does not fit the chain
// among those read.
func (tx *Tx) Lines(seq uint64, n int) (lines []Line, broken uint64, err error) {
	cut, err := tx.Anchor()
	if err != nil {
		return nil, 0, err
	}
	before := cut.Hash
	seq = max(seq, cut.Lines+1)
	if seq > cut.Lines+1 {
		if prev, e := logTable.Get(tx.p, pairs.Key(seq-1)); e == nil {
			before = prev.Hash
		}
	}
	for k, raw := range tx.p.Ascend(logTable.Name, pairs.Key(seq)) {
		if len(lines) >= n {
			break
		}
		var a Line
		if err := json.Unmarshal(raw, &a); err != nil {
			tx.p.Quarantine(logTable.Name, k, err)
			a = Line{Seq: pairs.NumberOf(k), Did: unreadableLine}
		} else if broken == 0 && (!a.sound() || a.Before != before && before != "?" || a.Seq != seq+uint64(len(lines))) {
			broken = a.Seq
		}
		if before = a.Hash; a.Did == unreadableLine {
			before = "?" // what the next line stands on, nobody can tell
		}
		lines = append(lines, a)
	}
	return lines, broken, nil
}

// Around is [Tx.Lines] for showing: a line in a damaged part of the file stands in its
// place as one that cannot be read, and the first such counts as broken.
func (tx *Tx) Around(seq uint64, n int) (lines []Line, broken uint64, err error) {
	err = tx.p.Try(func() (err error) { lines, broken, err = tx.Lines(seq, n); return err })
	if !pairs.IsDamaged(err) {
		return lines, broken, err
	}
	lines, broken = nil, 0
	for s := seq; s < seq+uint64(n); s++ {
		var a Line
		if tx.p.Try(func() (err error) { a, err = logTable.Get(tx.p, pairs.Key(s)); return err }) != nil {
			a = Line{Seq: s, Did: unreadableLine}
			broken = cmp.Or(broken, s)
		}
		lines = append(lines, a)
	}
	return lines, broken, nil
}

// Last returns the number of the newest line, 0 when there is none.
func (tx *Tx) Last() uint64 {
	k, _ := tx.p.Last(logTable.Name, nil)
	if k == nil {
		return 0
	}
	return binary.BigEndian.Uint64(k)
}

// Each calls f for every line that can be read until it returns an error.
func (tx *Tx) Each(f func(Line) error) error {
	var failed error
	err := logTable.Scan(tx.p, nil, func(_ []byte, a Line) bool { failed = f(a); return failed == nil })
	return errors.Join(err, failed)
}

// Unlink takes ids of an erased family and their salts out of the audit log: those
// of lines that name it.
func (tx *Tx) Unlink(names func(text string) bool) error {
	var changed []Line
	err := logTable.Scan(tx.p, nil, func(_ []byte, a Line) bool {
		whose, what := names(string(a.Who)), names(a.What)
		if whose {
			a.Who, a.WhoSalt = Erased, ""
		}
		if what {
			a.What, a.WhatSalt = Erased, ""
		}
		if whose || what {
			changed = append(changed, a)
		}
		return true
	})
	if err != nil {
		return err
	}
	for _, a := range changed {
		if err := logTable.Put(tx.p, pairs.Key(a.Seq), a); err != nil {
			return err
		}
	}
	return nil
}
