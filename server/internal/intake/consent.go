package intake

import (
	"slices"

	"nightkeep/server/internal/care"
)

// onPurpose are the kinds that somebody sends to the practice to be read, beside what
// concerns a sore eye or stops a lens.
var onPurpose = []care.EntryKind{care.Symptoms, care.Elsewhere, care.Reply, care.Read}

// withoutConsent refuses, of what somebody sends who took their consent back, all
// but what concerns a sore eye, stops a lens or answers the practice: that is sent on
// purpose, and nobody is locked out of it. Whatever else was written stays on the
// phone. What was stored before stays stored.
func (m membership) withoutConsent(list []parsed) []parsed {
	out := slices.Clone(list)
	for i := range out {
		p := &out[i]
		if p.err != nil || slices.Contains(onPurpose, p.entry.Kind) || ofWear(p.entry, m.before(p.entry)) {
			continue
		}
		if _, err := m.tx.Log().Entry(m.family, p.entry.ID); err == nil {
			continue
		}
		p.err = care.Errorf(care.Invalid, "consent-withdrawn", "you took your consent back, so only reports of a sore eye are taken from you; agree again, and send it then")
	}
	return out
}
