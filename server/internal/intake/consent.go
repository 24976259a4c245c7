package intake

import (
	"slices"

	"nightkeep/server/internal/care"
)

// withoutConsent refuses, of what somebody sends who took their consent back, all
// but what concerns a sore eye or stops a lens: a report is sent on purpose, and
// nobody is locked out of it. Whatever else was written stays on the phone.
func withoutConsent(list []parsed) []parsed {
	out := slices.Clone(list)
	for i := range out {
		p := &out[i]
		if p.err == nil && p.entry.Kind != care.Symptoms && !p.entry.OfWear() {
			p.err = care.Errorf(care.Invalid, "consent-withdrawn", "you took your consent back, so only reports of a sore eye are taken from you; agree again, and send it then")
		}
	}
	return out
}
