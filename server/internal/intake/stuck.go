package intake

import (
	"encoding/json"
	"slices"
	"strconv"

	"nightkeep/alerts"
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review/episode"
	"nightkeep/server/internal/store"
)

// stuckLevel is how pressing a morning is on which a lens will not move: what a report
// with the same words comes to, whichever phone wrote it. Sore with a lens that is
// still in is pain that has not stopped: nobody has seen it stop. The phone's own
// report of it is made by answersOf in pwa/app/model/stuck.js, on the same vectors
// (testdata/care/stuck.json).
func stuckLevel(e *care.Entry) alerts.Level {
	said := map[string]string{"lens": "stuck"}
	if n, err := strconv.Atoi(e.Answer("comfort")); err == nil && n <= 1 {
		said["pain"] = "persists"
	}
	if n, err := strconv.Atoi(e.Answer("redness")); err == nil && n > 0 {
		said["redness"] = "mild" // and worse, which the rules about a stuck lens take for the same
	}
	return max(alerts.Urgent, alerts.Default().Triage(alerts.Report{Right: said, Left: said}).Level)
}

// LensOn returns the eyes, "right" before "left", in which a lens may still be that a
// report which holds wear back calls stuck, or not found; see [episode.LensOn].
func LensOn(tx *store.Tx, w care.Wearer) ([]string, error) {
	var reports []*care.Entry
	var first civil.Date
	for _, id := range CausesOf(WearNow(tx, w.ID)) {
		e, err := tx.Log().Entry(w.Family, id)
		if err != nil || len(episode.LensOn([]*care.Entry{&e}, nil)) == 0 {
			continue // also one that cannot be read any more: its stop holds
		}
		if reports = append(reports, &e); len(reports) == 1 || e.Night.Before(first) {
			first = e.Night
		}
	}
	if len(reports) == 0 {
		return nil, nil
	}
	since, err := liveSince(tx, w.ID, first)
	for _, e := range tx.Log().WearEntries(w.ID) {
		if e.Kind == care.Cease {
			since = append(since, *e)
		}
	}
	return episode.LensOn(reports, since), err
}

// WithLens returns the saying with where the lens is in each of its stops, for eyes in
// which it may still be, see [LensOn]. That it is out is said of those eyes alone, and in a
// stop of its own where they are released: the log has no removal of it. Errors are
// Invalid: nothing is said of the lens, or an eye is released with the lens that may
// still be in it.
func (s Saying) WithLens(on []string, lens string) (Saying, error) {
	if len(on) == 0 {
		return s, nil
	}
	given := s.Entries
	s.Entries, s.out = make([]Draft, 0, len(given)+1), nil
	if lens == "out" {
		s.out = on
	}
	for _, d := range given {
		var draft draftWords
		_ = json.Unmarshal(d.Body, &draft) // a body that is not of its kind is refused by Say
		switch {
		case d.Kind == care.Resume && lens != "out" && (draft.Eyes == "both" || slices.Contains(on, draft.Eyes)):
			return s, care.Refuse("lens-not-out", "lens", "a lens that was stuck or not found is not known to be out, and its eye is released: say first that it is out")
		case d.Kind == care.Cease && lens != "out" && lens != "in" && lens != "unknown":
			return s, care.Refuse("lens-not-said", "lens", "a lens that was stuck or not found is not known to be out: say whether it is")
		}
		said, err := withLens(d, draft.Eyes, on, lens)
		if err != nil {
			return s, err
		}
		s.Entries = append(s.Entries, said...)
	}
	return s, nil
}

// withLens returns a draft with where the lens is, if it is a stop: that it is out in a
// stop of its own, where the other eye is stopped too.
func withLens(d Draft, eyes string, on []string, lens string) ([]Draft, error) {
	var body map[string]json.RawMessage
	switch {
	case d.Kind != care.Cease, json.Unmarshal(d.Body, &body) != nil, body == nil:
		return []Draft{d}, nil
	case lens == "out" && eyes != "both" && !slices.Contains(on, eyes):
		return []Draft{d}, nil
	}
	word := json.RawMessage(strconv.Quote(lens))
	if lens != "out" || eyes != "both" || len(on) == 2 {
		body["lens"] = word
		first, err := json.Marshal(body)
		return []Draft{{Kind: d.Kind, Body: first, place: d.place}}, err
	}
	out := []Draft{d, d}
	for i, eye := range []string{on[0], map[string]string{"right": "left", "left": "right"}[on[0]]} {
		body["eyes"] = json.RawMessage(strconv.Quote(eye))
		if delete(body, "lens"); i == 0 {
			body["lens"] = word
		}
		raw, err := json.Marshal(body)
		if err != nil {
			return nil, err
		}
		out[i].Body = raw
	}
	return out, nil
}
