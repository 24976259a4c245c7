package register

import (
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Kinds of [FamilyNews].
const (
	NewDevice    = "device"    // a device more reads the family's log
	ConsentEnded = "withdrawn" // somebody took their consent back
	ConsentAgain = "agreed"    // and gave it again
)

// newsKept is how long news of a family are kept (our choice: longer than a
// holiday).
const newsKept = 28 * 24 * time.Hour

// FamilyNews is something about who reads a family's log that the family and the
// practice are told.
type FamilyNews struct {
	Family care.FamilyID `json:"family"`
	Kind   string        `json:"kind" enum:"device,withdrawn,agreed"`
	Person care.PersonID `json:"person"`
	Device care.DeviceID `json:"device"`
	At     time.Time     `json:"at"`
}

var familyNews = pairs.Table[FamilyNews]{Name: "family_news"}

// AddFamilyNews stores one thing, and forgets what is older than four weeks.
func (tx *Access) AddFamilyNews(n FamilyNews) error {
	var old [][]byte
	err := familyNews.Scan(tx.p, nil, func(k []byte, x FamilyNews) bool {
		if tx.p.Now.Sub(x.At) <= newsKept {
			return false // the oldest come first
		}
		old = append(old, slices.Clone(k))
		return true
	})
	for _, k := range old {
		if err == nil {
			err = familyNews.Delete(tx.p, k)
		}
	}
	if err != nil {
		return err
	}
	return familyNews.Put(tx.p, pairs.Key(n.At.UTC().Format(newsTime), string(n.Device)+" "+n.Kind), n)
}

// newsTime sorts as the instants do.
const newsTime = "2006-01-02T15:04:05.000000000Z"

// FamilyNews returns what there is of all families, or of one, the oldest first.
func (tx *Access) FamilyNews(of care.FamilyID) ([]FamilyNews, error) {
	out := []FamilyNews{}
	err := familyNews.Scan(tx.p, nil, func(_ []byte, n FamilyNews) bool {
		if (of == "" || n.Family == of) && tx.p.Now.Sub(n.At) <= newsKept {
			out = append(out, n)
		}
		return true
	})
	return out, err
}
