package store

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"time"

	"nightkeep/server/internal/care"
)

// Erased stands in a line of the audit log where the id of an erased family,
// or of its people, wearers or devices, stood.
const Erased = "erased"

// Audit is one line of the audit log. Each holds the hash of the one before,
// so that a line cannot be changed or taken out unseen.
//
// The hash is made over seals of Who and What, not over the ids themselves. A
// seal is SHA-256 over a random salt and the id. When a family is erased, its
// ids and their salts are taken out and the seals stay: the chain still fits,
// and without the salt nobody can tell what a seal was made of.
type Audit struct {
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

func sealOf(salt, text string) string { return hexSum([]byte(salt + "\n" + text)) }

func hexSum(raw []byte) string {
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// digest is SHA-256 over the line's JSON without its hash, ids and salts.
func (a Audit) digest() string {
	a.Hash, a.Who, a.WhoSalt, a.What, a.WhatSalt = "", "", "", "", ""
	raw, err := json.Marshal(a)
	if err != nil {
		panic(err) // plain fields always marshal
	}
	return hexSum(raw)
}

// sound reports whether the line's hash and seals fit what it says.
func (a Audit) sound() bool {
	fits := func(salt, seal, text string) bool {
		if salt == "" {
			return text == Erased
		}
		return sealOf(salt, text) == seal
	}
	return a.digest() == a.Hash && fits(a.WhoSalt, a.WhoSeal, string(a.Who)) && fits(a.WhatSalt, a.WhatSeal, a.What)
}

// seal fills salts, seals and hash.
func (a *Audit) seal() {
	a.WhoSalt, a.WhatSalt = rand.Text(), rand.Text()
	a.WhoSeal, a.WhatSeal = sealOf(a.WhoSalt, string(a.Who)), sealOf(a.WhatSalt, a.What)
	a.Hash = a.digest()
}

var audit = table[Audit]{"audit"}

// Note appends a line to the audit log. what holds ids, never a name or a
// clinical word.
func (tx *Tx) Note(who care.PersonID, did, what string) error {
	a := Audit{Seq: 1, At: tx.Now, Who: who, Did: did, What: what}
	if _, raw := audit.bucket(tx).Cursor().Last(); raw != nil {
		var last Audit
		if err := json.Unmarshal(raw, &last); err != nil {
			return err
		}
		a.Seq, a.Before = last.Seq+1, last.Hash
	}
	a.seal()
	return audit.put(tx, key(a.Seq), a)
}

// AuditLog returns up to n lines from seq on, and 0 or the number of the first
// line that does not fit the chain among those read.
func (tx *Tx) AuditLog(seq uint64, n int) (lines []Audit, broken uint64, err error) {
	before := ""
	if prev, e := audit.get(tx, key(seq-1)); e == nil {
		before = prev.Hash
	}
	c := audit.bucket(tx).Cursor()
	for k, raw := c.Seek(key(seq)); k != nil && len(lines) < n; k, raw = c.Next() {
		var a Audit
		if err := json.Unmarshal(raw, &a); err != nil {
			return lines, broken, err
		}
		if broken == 0 && (!a.sound() || a.Before != before || a.Seq != seq+uint64(len(lines))) {
			broken = a.Seq
		}
		before = a.Hash
		lines = append(lines, a)
	}
	return lines, broken, nil
}

// AuditLast returns the number of the newest line, 0 when there is none.
func (tx *Tx) AuditLast() uint64 {
	k, _ := audit.bucket(tx).Cursor().Last()
	if k == nil {
		return 0
	}
	return binary.BigEndian.Uint64(k)
}
