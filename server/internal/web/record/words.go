package record

import (
	"slices"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
)

// wordsSince is for how many days words are given that somebody has read; what
// nobody has read is given however old it is.
const wordsSince = 35

// Words returns what a family wrote about a wearer in its own words, and what it
// took back that rests or stops, oldest first, with who has read it. Of private
// words only that there are some: their text is for clinicians, who ask for it.
func Words(tx *store.Tx, w care.Wearer, loc *time.Location) ([]episode.FamilyWords, error) {
	read, err := tx.Chart().WordsRead(w.ID)
	if err != nil {
		return nil, err
	}
	out := []episode.FamilyWords{}
	add := func(f episode.FamilyWords) {
		r, done := read[f.Entry]
		if done {
			f.Read, f.ReadBy = &r.At, Name(tx, r.By)
		}
		f.On = civil.DateOf(f.At.In(loc))
		out = append(out, f)
	}
	for _, id := range tx.Log().Words(w.ID) {
		_, done := read[id]
		e, err := tx.Log().Entry(w.Family, id)
		switch {
		case err != nil && !done:
			add(episode.FamilyWords{Entry: id, At: tx.Now, Text: "words that cannot be read here; ask the family"})
		case err == nil && (!done || tx.Now.Sub(e.Recv) < wordsSince*24*time.Hour):
			if f := wordsOf(tx, w.Family, &e); f != nil {
				add(*f)
			}
		}
	}
	private, err := tx.Chart().Private(w.ID)
	for _, p := range private {
		if _, done := read[p.ID]; !done || tx.Now.Sub(p.At) < wordsSince*24*time.Hour {
			add(episode.FamilyWords{Entry: p.ID, At: p.At, By: Name(tx, p.By), Private: true, Text: "Private words, for a clinician to read"})
		}
	}
	slices.SortStableFunc(out, func(a, b episode.FamilyWords) int { return a.At.Compare(b.At) })
	return out, err
}

// wordsOf is what one entry says; nil when a later form of it says it.
func wordsOf(tx *store.Tx, family care.FamilyID, e *care.Entry) *episode.FamilyWords {
	f := episode.FamilyWords{Entry: e.ID, At: e.Recv, By: Name(tx, e.Author), Text: e.OwnWords()}
	for _, r := range tx.Log().Referring(family, e.ID) {
		if slices.Contains(r.Supersedes, e.ID) && e.Kind != care.Symptoms {
			return nil
		}
		if r.Retracts == e.ID {
			f.TakenBack = true
		}
	}
	for _, id := range append(slices.Clone(e.Supersedes), e.Retracts) {
		if have, err := tx.Log().Entry(family, id); err == nil && have.WearFact().Marked() >= care.Rest {
			f.Text = episode.TookBack(&have, f.Text)
		}
	}
	return &f
}
