package log

import (
	"errors"
	"slices"
	"time"

	"nightkeep/server/internal/care"
	"nightkeep/server/internal/store/pairs"
)

// Decisions that phones hold and that carry no proof of this file, see [care.Claim].
var claims = pairs.Table[care.Claim]{Name: "claims"}

// mostClaims is how many are kept of a wearer (ours): of more the one written first goes,
// since what was decided last counts.
const mostClaims = 10

// PutClaim keeps what a phone says the practice decided about a wearer. What is kept
// already stays as it is.
func (tx *Tx) PutClaim(w care.WearerID, c care.Claim) error {
	k := pairs.Key(string(w), string(c.ID))
	if tx.p.Has(claims.Name, k) {
		return nil
	}
	have := tx.allClaims(w)
	for len(have) >= mostClaims {
		first := slices.MinFunc(have, func(a, b care.Claim) int { return a.On.Compare(b.On) })
		if c.On.Before(first.On) {
			return nil
		}
		if err := claims.Delete(tx.p, pairs.Key(string(w), string(first.ID))); err != nil {
			return err
		}
		have = tx.allClaims(w)
	}
	return errors.Join(claims.Put(tx.p, k, c), tx.duty.MarkChanged(w))
}

func (tx *Tx) allClaims(w care.WearerID) []care.Claim {
	all, err := claims.List(tx.p, pairs.Key(string(w), ""))
	if err != nil {
		return nil // set aside, and said elsewhere
	}
	return all
}

// Claims returns what phones say of decisions about a wearer that this file does not
// know, the newest first, and that nobody has dismissed: until the practice has decided
// about wear since, or the entry itself has come in with its proof.
func (tx *Tx) Claims(w care.WearerID) []care.Claim {
	all := tx.standingClaims(w)
	if len(all) == 0 {
		return all
	}
	var last time.Time
	for _, e := range tx.WearEntries(w) {
		if (e.Kind == care.Cease || e.Kind == care.Resume) && e.Recv.After(last) {
			last = e.Recv
		}
	}
	all = slices.DeleteFunc(all, func(c care.Claim) bool { return last.After(c.At) || !c.Dismissed.IsZero() })
	slices.SortStableFunc(all, func(a, b care.Claim) int { return b.On.Compare(a.On) })
	return all
}

// standingClaims are those that the log has not come to hold itself.
func (tx *Tx) standingClaims(w care.WearerID) []care.Claim {
	family := tx.register.FamilyOf(w)
	return slices.DeleteFunc(tx.allClaims(w), func(c care.Claim) bool {
		_, err := tx.Entry(family, c.ID)
		return err == nil
	})
}

// claimedStops are the stops among them: each holds a lens back as it does on the phone,
// also once it is put away, until a release lists it.
func (tx *Tx) claimedStops(w care.WearerID) (out []care.WearFact) {
	for _, c := range tx.standingClaims(w) {
		if c.Kind == care.Cease {
			out = append(out, c.WearFact())
		}
	}
	return out
}

// DismissClaim puts away what a phone says was decided about a wearer: it is named no
// more.
func (tx *Tx) DismissClaim(w care.WearerID, id care.EntryID, by care.PersonID) error {
	k := pairs.Key(string(w), string(id))
	c, err := claims.Get(tx.p, k)
	if err != nil {
		return err
	}
	c.Dismissed, c.DismissedBy = tx.p.Now, by
	return claims.Put(tx.p, k, c)
}
