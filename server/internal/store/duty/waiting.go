package duty

import (
	"encoding/json"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// waiting keeps reminders that nobody has taken yet, as the runner of reminders
// writes them.
var waiting = pairs.Table[json.RawMessage]{Name: "waiting"}

// PutWaiting keeps a reminder to a family that waits.
func (tx *Tx) PutWaiting(f care.FamilyID, key string, raw json.RawMessage) error {
	return waiting.Put(tx.p, pairs.Key(string(f), key), raw)
}

// DropWaiting forgets one; that it is not there is no error.
func (tx *Tx) DropWaiting(f care.FamilyID, key string) error {
	return waiting.Delete(tx.p, pairs.Key(string(f), key))
}

// DropWaitingOf forgets every one of a family.
func (tx *Tx) DropWaitingOf(f care.FamilyID) error {
	for _, key := range pairs.Index(waiting.Name).Members(tx.p, string(f)) {
		if err := tx.DropWaiting(f, key); err != nil {
			return err
		}
	}
	return nil
}

// Waiting calls f for every reminder that waits.
func (tx *Tx) Waiting(f func(json.RawMessage)) error {
	return waiting.Scan(tx.p, nil, func(_ []byte, raw json.RawMessage) bool { f(raw); return true })
}
