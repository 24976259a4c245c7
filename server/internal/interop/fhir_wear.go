package interop

import (
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/review"
)

// wear writes where the eyes stand: a flag for each eye that may have no lens at
// the time of writing, with the night since which, and the one from which the
// practice has said "again" if it has. An eye without a flag is not said to be
// fine. A flag of an earlier night is not written: closings and decisions are.
func (b *bundler) wear() {
	for _, eye := range []string{"right", "left"} {
		w := b.Wear.Eye(eye)
		if w.State < care.Rest {
			continue
		}
		text := "No lens tonight (rest), " + eye + " eye"
		if w.State == care.Stop {
			text = "No lens until a clinician says so (stop), " + eye + " eye"
		}
		since := w.Causes[0].Night
		for _, c := range w.Causes {
			if c.Night.Before(since) {
				since = c.Night
			}
		}
		f := flag{
			ResourceType: "Flag", ID: b.uuid("wear", eye), Identifier: []identifier{{b.Base + "/id/wear", string(b.Wearer.ID) + "/" + eye}}, Status: "active",
			Category: []concept{{Coding: []coding{{System: hl7 + "flag-category", Code: "safety"}}, Text: "Wear state, worked out from the log"}},
			Code:     concept{Text: text}, Subject: b.wearer(), Period: period{Start: since.String()},
		}
		if !w.Until.IsZero() {
			f.Period.End = w.Until.String()
		}
		b.add(f.ID, f)
	}
}

// heldWords say why a night has no lens in it.
var heldWords = map[review.Held]string{
	review.HeldStop: "No lens was allowed (stop): not a missed night",
	review.HeldRest: "An eye was at rest: not a missed night",
}

// held writes a night on which the wear state kept a lens out.
func (b *bundler) held(n review.NightRow) {
	text, ok := heldWords[n.Held]
	if !ok {
		return
	}
	o := observation{
		ResourceType: "Observation", ID: b.uuid("held", n.Night.String()), Status: "final", Category: category("survey"),
		Code: concept{Text: "Night without lenses, as the wear state asked"}, Subject: b.wearer(), Effective: n.Night.String(), String: text,
		Note:        note("Worked out from the log."),
		DerivedFrom: b.answers[nightKind{n.Night, care.NotWorn}],
	}
	b.add(o.ID, o)
}
