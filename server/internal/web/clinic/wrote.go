package clinic

import (
	"encoding/json"
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/store"
	"nightkeep/server/internal/web/record"
)

// familyWords are the notes and answers that stand in the nights of a file, with
// when the practice received each. Words that cannot be read are said to be such.
func familyWords(tx *store.Tx, f record.File, loc *time.Location) (out []review.FamilyWords) {
	for _, n := range f.Nights {
		for _, it := range n.Items {
			kind, _, _ := strings.Cut(it.Key, "/")
			if k := care.EntryKind(kind); k != care.Note && k != care.Reply {
				continue
			}
			for _, fact := range it.Facts {
				w := review.FamilyWords{Text: "words that cannot be read here; ask the family", On: n.Date}
				if e, err := tx.Log().Entry(f.Wearer.Family, fact.Entry); err == nil {
					w.At, w.On = e.Recv, civil.DateOf(e.Recv.In(loc))
					var text string
					if json.Unmarshal([]byte(e.Answer("text")), &text) == nil {
						w.Text = text
					}
				}
				out = append(out, w)
			}
		}
	}
	return out
}
