package intake

import (
	"encoding/json"
	"slices"
	"strings"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// longOn is how many nights on a release without a check must have freed an eye.
const longOn = 1000

// heldLonger returns the drafts of a saying with the stops listed that come before its
// resumes. Of what several resumes leave of a cause the least counts, so a later date, or a
// check asked for since, is a stop and a new resume that lists it: else an earlier release,
// or a check of a rest, would free the eye before the night that the family reads. So is
// that the lens of an eye is out, which is released.
func (s Saying) heldLonger(tx *store.Tx, w care.WearerID, write func(Draft) (*care.Entry, error)) ([]Draft, error) {
	facts, tonight := tx.Log().WearFacts(w), Tonight(tx, w)
	out := slices.Clone(s.Entries)
	for i, d := range out {
		var r release
		if d.Kind != care.Resume || json.Unmarshal(d.Body, &r) != nil {
			continue
		}
		if slices.ContainsFunc(s.Entries[i+1:], func(o Draft) bool { return sameRelease(d, o) }) {
			continue // the last of several that share a list of causes lists the stop
		}
		answers := r.Answers
		sooner := freedSooner(facts, tonight, r.draftWords, r.Check)
		for _, eye := range s.out {
			if !r.of(eye) {
				continue
			}
			sooner = slices.DeleteFunc(sooner, func(x string) bool { return x == eye })
			stop, err := write(r.stop(eye, "out"))
			if err != nil {
				return nil, err
			}
			answers = append(answers, stop.ID)
		}
		if len(sooner) > 0 {
			stop, err := write(r.stop(eyesOf(sooner), ""))
			if err != nil {
				return nil, err
			}
			answers = append(answers, stop.ID)
		}
		var err error
		if out[i].Body, err = listing(d.Body, answers); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// release is what a stop that comes before a resume has of it.
type release struct {
	draftWords
	Check bool   `json:"check"`
	Alert string `json:"alert"`
}

// stop is the stop of an eye, or of both, until the night of a release; lens is where its
// lens is, or empty.
func (r *release) stop(eyes, lens string) Draft {
	reason := "other"
	if strings.HasPrefix(r.Basis, "examined") {
		reason = "examination"
	}
	body, _ := json.Marshal(struct { // texts alone: never fails
		Eyes     string `json:"eyes"`
		Reason   string `json:"reason"`
		ReviewBy string `json:"review_by"`
		Alert    string `json:"alert,omitempty"`
		Lens     string `json:"lens,omitempty"`
	}{eyes, reason, r.From, r.Alert, lens})
	return Draft{Kind: care.Cease, Body: body}
}

// freedSooner returns the eyes of a resume that something else would free before its
// night, or without the check that it asks for. An eye that
// nothing holds is one of them: the family reads that its lens goes in from that night.
func freedSooner(facts []care.WearFact, tonight civil.Date, r draftWords, check bool) []string {
	from, err := civil.ParseDate(r.From)
	if err != nil {
		return nil // refused by the check of its body
	}
	now := care.WearOf(facts, tonight, false, nil)
	before := care.WearOf(facts, from.AddDays(-1), false, nil)
	ever := care.WearOf(facts, from.AddDays(longOn), false, nil)
	var eyes []string
	for _, eye := range []string{"right", "left"} {
		sooner := from.After(tonight) && before.Eye(eye).State < care.Stop
		unchecked := check && ever.Eye(eye).State < care.Rest
		if bothOr(r.Eyes, eye) && (sooner || unchecked && now.Eye(eye).State >= care.Rest) {
			eyes = append(eyes, eye)
		}
	}
	return eyes
}

// eyesOf is how an entry names one eye, or two.
func eyesOf(eyes []string) string {
	if len(eyes) == 2 {
		return "both"
	}
	return eyes[0]
}

// sameRelease reports whether two resumes differ in the causes that they list alone: more
// than one holds are released by several.
func sameRelease(a, b Draft) bool {
	x, errX := listing(a.Body, nil)
	y, errY := listing(b.Body, nil)
	return a.Kind == b.Kind && errX == nil && errY == nil && string(x) == string(y)
}

// listing is the body of a resume with other causes.
func listing(body json.RawMessage, answers []care.EntryID) (json.RawMessage, error) {
	var parts map[string]any
	if err := json.Unmarshal(body, &parts); err != nil {
		return nil, err
	}
	parts["answers"] = answers
	return json.Marshal(parts)
}
