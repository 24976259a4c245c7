package register

import (
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// WordsRead says who of the practice was the first to mark something that a family
// wrote as read.
type WordsRead struct {
	ID care.EntryID  `json:"id"` // of the entry, or of the private words
	By care.PersonID `json:"by"` // empty: from before marks were kept
	At time.Time     `json:"at"`
}

var wordsRead = pairs.Table[WordsRead]{Name: "words_read"}

// MarkRead notes that somebody has read words about a wearer; the first counts.
func (tx *Chart) MarkRead(w care.WearerID, id care.EntryID, by care.PersonID) error {
	k := pairs.Key(string(w), string(id))
	if tx.p.Has(wordsRead.Name, k) {
		return nil
	}
	return wordsRead.Put(tx.p, k, WordsRead{id, by, tx.p.Now})
}

// WordsRead returns the marks of a wearer by what was read.
func (tx *Chart) WordsRead(w care.WearerID) (map[care.EntryID]WordsRead, error) {
	list, err := wordsRead.List(tx.p, pairs.Key(string(w), ""))
	out := make(map[care.EntryID]WordsRead, len(list))
	for _, r := range list {
		out[r.ID] = r
	}
	return out, err
}

// PrivateWords are what a teen wrote to the practice's clinicians alone. They
// stand outside the family's log, so that they reach no other phone.
type PrivateWords struct {
	ID   care.EntryID  `json:"id"` // made on the device
	By   care.PersonID `json:"by"`
	At   time.Time     `json:"at"` // receipt
	Text string        `json:"text"`
}

// PrivateBucket holds them; no export that a family gets shows what they say.
const PrivateBucket = "private"

var privates = pairs.Table[PrivateWords]{Name: PrivateBucket}

// PutPrivate keeps private words about a wearer; what is there already stays.
func (tx *Chart) PutPrivate(w care.WearerID, p PrivateWords) error {
	k := pairs.Key(string(w), string(p.ID))
	if tx.p.Has(privates.Name, k) {
		return nil
	}
	return privates.Put(tx.p, k, p)
}

// Private returns the private words about a wearer, oldest first.
func (tx *Chart) Private(w care.WearerID) ([]PrivateWords, error) {
	return privates.List(tx.p, pairs.Key(string(w), ""))
}
