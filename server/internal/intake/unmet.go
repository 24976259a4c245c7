package intake

import (
	"strings"
	"time"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store"
)

// unmetSlack is by how much two clocks are never held apart (ours, as on the phone): what
// is in use a minute before the release is new all the same.
const unmetSlack = time.Minute

// unmet names the eyes that an insertion puts a lens in although the newest decision about
// each is a release that asks for a new lens or case, and nobody has said since that one is
// in use; empty for none. It is what the phone reads (conditions, pwa/app/model/told.js).
func unmet(tx *store.Tx, e *care.Entry) (string, error) {
	at, err := serverTime(e)
	if err != nil {
		return "", err
	}
	var of []string
	for _, eye := range []string{"right", "left"} {
		asks := releaseOf(tx, e.Wearer, eye)
		if asks == nil || !bothOr(e.Answer("eyes"), eye) {
			continue
		}
		if said, err := serverTime(asks); err != nil || !at.After(said) {
			continue // it was in before anything was asked
		}
		for item, member := range map[string]string{"case": "new_case", "lens": "new_lens"} {
			if asks.Answer(member) != "true" {
				continue
			}
			used, err := inUseSince(tx, e.Wearer, asks, item, eye)
			if err != nil {
				return "", err
			}
			if !used {
				of = append(of, eye)
				break
			}
		}
	}
	if len(of) == 2 {
		return "both", nil
	}
	return strings.Join(of, ""), nil
}

// bothOr reports whether an answer about eyes is of one of them, or of both.
func bothOr(answer, eye string) bool {
	of := strings.Trim(answer, `"`)
	return of == eye || of == "both"
}

// releaseOf is the release that is the newest decision about an eye; nil for none, or a stop.
func releaseOf(tx *store.Tx, w care.WearerID, eye string) (newest *care.Entry) {
	all := tx.Log().WearEntries(w)
	gone := map[care.EntryID]bool{}
	for _, e := range all {
		gone[e.Retracts] = true
	}
	for _, e := range all {
		if (e.Kind == care.Cease || e.Kind == care.Resume) && !gone[e.ID] && bothOr(e.Answer("eyes"), eye) && (newest == nil || e.FSeq > newest.FSeq) {
			newest = e
		}
	}
	if newest == nil || newest.Kind != care.Resume {
		return nil
	}
	return newest
}

// inUseSince reports whether somebody has said since a release that a new case, or a new
// lens of that eye, is in use: by the server's clock, as far as it was known.
func inUseSince(tx *store.Tx, w care.WearerID, release *care.Entry, item, eye string) (bool, error) {
	said, err := serverTime(release)
	if err != nil {
		return false, err
	}
	all, err := liveSince(tx, w, release.Night.AddDays(-1))
	for _, e := range all {
		if e.Kind != care.Supply || e.Answer("item") != `"`+item+`"` || e.Answer("action") != `"started"` {
			continue
		}
		of := e.Answer("eye")
		if at, bad := serverTime(&e); bad == nil && at.After(said.Add(-unmetSlack)) && (item == "case" || of == "" || bothOr(of, eye)) {
			return true, nil
		}
	}
	return false, err
}

// liveSince are the entries of a wearer that count, of the nights from one on.
func liveSince(tx *store.Tx, w care.WearerID, first civil.Date) (out []care.Entry, err error) {
	nights := map[civil.Date][]*care.Entry{}
	err = tx.Log().WearerEntries(w, first, Tonight(tx, w).AddDays(1), func(e care.Entry) bool {
		nights[e.Night] = append(nights[e.Night], &e)
		return true
	})
	for night, all := range nights {
		for _, e := range care.Live(w, night, all) {
			out = append(out, *e)
		}
	}
	return out, err
}

// serverTime is when an entry was written, by the server's clock.
func serverTime(e *care.Entry) (time.Time, error) {
	at, err := e.Instant()
	return at.Add(-time.Duration(e.SkewMS) * time.Millisecond), err
}
