package audit

import (
	"encoding/json"
	"strings"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// audit1 is a line of the audit log in layout 1: its hash is made over the ids
// themselves.
type audit1 struct {
	Seq    uint64        `json:"seq"`
	At     time.Time     `json:"at"`
	Who    care.PersonID `json:"who"`
	Did    string        `json:"did"`
	What   string        `json:"what"`
	Before string        `json:"before"`
	Hash   string        `json:"hash"`
}

func (a audit1) digest() string {
	a.Hash = ""
	raw, err := json.Marshal(a)
	if err != nil {
		panic(err) // plain fields always marshal
	}
	return hexSum(raw)
}

// SealAudit brings layout 2: consents stand apart, and an audit log from which ids can be taken out without breaking
// its chain. A line that did not fit the old chain does not fit the new one
// either.
func (tx *Tx) SealAudit(consented func(who care.PersonID, device care.DeviceID, version string, at time.Time) error) error {
	var lines []audit1
	err := tx.p.Each("audit", func(_, raw []byte) error {
		var old audit1
		lines = append(lines, old)
		return json.Unmarshal(raw, &lines[len(lines)-1])
	})
	if err != nil {
		return err
	}
	oldBefore, newBefore := "", ""
	for _, old := range lines {
		device, version, is := strings.Cut(old.What, " consent ")
		if is {
			if err := consented(old.Who, care.DeviceID(device), version, old.At); err != nil {
				return err
			}
		}
		line := Line{Seq: old.Seq, At: old.At, Who: old.Who, Did: old.Did, What: device, Before: newBefore}
		line.seal()
		if old.digest() != old.Hash || old.Before != oldBefore {
			line.Hash = "did not fit the chain in layout 1"
		}
		oldBefore, newBefore = old.Hash, line.Hash
		if err := logTable.Put(tx.p, pairs.Key(old.Seq), line); err != nil {
			return err
		}
	}
	return nil
}
