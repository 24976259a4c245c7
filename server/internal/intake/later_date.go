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

// heldLonger returns the stops that come before the resumes of a saying, and the drafts
// with their ids listed. Of what several resumes leave of a cause the least counts, so a
// later date, or a check asked for since, is a stop and a new resume that lists it: else
// an earlier release, or a check of a rest, would free the eye before the night that the
// family reads.
func heldLonger(tx *store.Tx, w care.WearerID, drafts []Draft, write func(Draft) (*care.Entry, error)) ([]Draft, error) {
	facts, tonight := tx.Log().WearFacts(w), Tonight(tx, w)
	out := slices.Clone(drafts)
	for i, d := range drafts {
		var r struct {
			draftWords
			Check bool   `json:"check"`
			Alert string `json:"alert"`
		}
		if d.Kind != care.Resume || json.Unmarshal(d.Body, &r) != nil {
			continue
		}
		eyes := freedSooner(facts, tonight, r.draftWords, r.Check)
		if eyes == "" || slices.ContainsFunc(drafts[i+1:], func(o Draft) bool { return sameRelease(d, o) }) {
			continue // the last of several that share a list of causes lists the stop
		}
		reason := "other"
		if strings.HasPrefix(r.Basis, "examined") {
			reason = "examination"
		}
		body, err := json.Marshal(struct {
			Eyes     string `json:"eyes"`
			Reason   string `json:"reason"`
			ReviewBy string `json:"review_by"`
			Alert    string `json:"alert,omitempty"`
		}{eyes, reason, r.From, r.Alert})
		if err != nil {
			return nil, err
		}
		stop, err := write(Draft{Kind: care.Cease, Body: body})
		if err != nil {
			return nil, err
		}
		if out[i].Body, err = listing(d.Body, append(r.Answers, stop.ID)); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// freedSooner returns the eyes of a resume that something else would free before its
// night, or without the check that it asks for: right, left, both, or "". An eye that
// nothing holds is one of them: the family reads that its lens goes in from that night.
func freedSooner(facts []care.WearFact, tonight civil.Date, r draftWords, check bool) string {
	from, err := civil.ParseDate(r.From)
	if err != nil {
		return "" // refused by the check of its body
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
	if len(eyes) == 2 {
		return "both"
	}
	return strings.Join(eyes, "")
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
