package course

import (
	"fmt"
	"slices"

	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// AdverseEvent is what happened to an eye in wear, in the fields that regulators
// ask for by their public lists (from memory: the incident report of the European
// rules on medical devices, and the mandatory report of 21 CFR 803). The practice
// sends it; the program sends nothing.
type AdverseEvent struct {
	ID      string       `json:"id"`
	Version int          `json:"version"`         // 1 and up; a save names the one it began from
	Alert   care.AlertID `json:"alert,omitempty"` // that it came by; empty: by none
	Kind    string       `json:"kind"`            // a word of [AdverseKinds]
	Eye     string       `json:"eye" enum:"right,left,both"`
	Began   civil.Date   `json:"began"`
	Aware   civil.Date   `json:"aware"`             // the practice heard of it
	Words   string       `json:"words"`             // what happened
	Found   string       `json:"found,omitempty"`   // examinations and cultures, with dates
	History string       `json:"history,omitempty"` // what else may have had a part

	Device AdverseDevice `json:"device"`

	Actions   []string   `json:"actions"` // words of [AdverseActions]
	Treatment string     `json:"treatment,omitempty"`
	Outcome   string     `json:"outcome" enum:"not-known,going-on,settled,settled-with-trace,settled-with-loss"`
	Settled   civil.Date `json:"settled"`             // zero while it goes on
	SightWas  *float64   `json:"sight_was,omitempty"` // best-corrected before, logMAR
	SightIs   *float64   `json:"sight_is,omitempty"`  // best-corrected after, logMAR
	Serious   []string   `json:"serious"`             // words of [SeriousReasons]; empty: none of them
	NotSure   bool       `json:"not_sure,omitempty"`  // whether it is serious is not known yet

	Reporter   Reporter   `json:"reporter"`
	Told       string     `json:"told,omitempty"` // whom it was reported to
	ToldOn     civil.Date `json:"told_on"`
	ToldNumber string     `json:"told_number,omitempty"` // under which number

	By string     `json:"by"`
	On civil.Date `json:"on"` // of this version
	// Earlier are the versions before this one, the oldest first.
	Earlier []AdverseEvent `json:"earlier,omitempty"`
}

// AdverseDevice is the lens and the solution in use at the time.
type AdverseDevice struct {
	Lens      string     `json:"lens,omitempty"` // its id in the practice's list
	Label     string     `json:"label,omitempty"`
	Design    string     `json:"design,omitempty"`
	Material  string     `json:"material,omitempty"`
	Serial    string     `json:"serial,omitempty"`
	Lot       string     `json:"lot,omitempty"`
	Dispensed civil.Date `json:"dispensed"`
	InWear    string     `json:"in_wear" enum:"yes,no,not-known"` // it was worn in the night before
	Kept      string     `json:"kept" enum:"yes,no,not-known"`    // it can be examined
	Solution  string     `json:"solution,omitempty"`              // kind and lot, as on the bottle
}

// Reporter is who tells of it.
type Reporter struct {
	Name     string `json:"name"`
	Role     string `json:"role,omitempty"`
	Practice string `json:"practice,omitempty"`
	Contact  string `json:"contact,omitempty"`
}

// Named is a word of a closed list and its title.
type Named struct {
	Key   string `json:"key"`
	Title string `json:"title"`
}

// AdverseKinds are what can happen, as diagnosed by a person.
func AdverseKinds() []Named {
	return []Named{
		{"infection", "Infection of the cornea"},
		{"infiltrate", "Infiltrate without infection"},
		{"abrasion", "Abrasion or erosion of the cornea"},
		{"staining", "Staining that needed a stop"},
		{"binding", "Lens bound to the eye with damage"},
		{"inflammation", "Inflammation of conjunctiva or lids"},
		{"allergy", "Allergic or toxic reaction"},
		{"chemical", "Chemical burn"},
		{"oxygen", "Swelling or vessels from lack of oxygen"},
		{"sight-loss", "Loss of best-corrected sight"},
		{"lens-fault", "Fault of a lens, or wrong lens"},
		{"other", "Something else"},
	}
}

// AdverseActions are what was done.
func AdverseActions() []Named {
	return []Named{
		{"lens-out", "Wear was stopped"},
		{"examined", "Examined here"},
		{"treated", "Treated here"},
		{"cultured", "Lens, case or cornea cultured"},
		{"referred", "Referred on"},
		{"admitted", "Admitted to hospital"},
		{"lens-changed", "Lens or design changed"},
		{"care-changed", "Care changed, or taught again"},
		{"ended", "Treatment ended for good"},
	}
}

// SeriousReasons are what makes an event serious, joined from the public
// definitions of both rules (from memory).
func SeriousReasons() []Named {
	return []Named{
		{"death", "Death"},
		{"life", "Danger to life"},
		{"hospital", "Hospital stay, or a longer one"},
		{"lasting", "Lasting damage, or loss of a function"},
		{"prevented", "Treatment was needed to prevent lasting damage"},
		{"other", "Serious for another medical reason"},
	}
}

// AdverseOutcomes are how an event came out, in words.
func AdverseOutcomes() []Named {
	return []Named{
		{"not-known", "Not known"},
		{"going-on", "Not settled yet"},
		{"settled", "Settled without a trace"},
		{"settled-with-trace", "Settled, with a scar or another trace"},
		{"settled-with-loss", "Settled, with loss of sight"},
	}
}

// Unsettled reports whether it is not written down that the event is over.
func (e *AdverseEvent) Unsettled() bool { return e.Outcome == "not-known" || e.Outcome == "going-on" }

// UnsettledSaid asks, event by event, about those that are not settled: nothing says
// that their eye may have a lens.
func UnsettledSaid(events []AdverseEvent) (ask []string) {
	for i := range events {
		if e := &events[i]; e.Unsettled() {
			ask = append(ask, fmt.Sprintf("An adverse event is not settled: %s, %s, since %s. Was the eye examined, and may it have a lens again?",
				titleOf(AdverseKinds(), e.Kind), eyesOf(e.Eye), e.Began))
		}
	}
	return ask
}

func eyesOf(eye string) string {
	if eye == "both" {
		return "both eyes"
	}
	return eye + " eye"
}

// Keys are the words of a closed list.
func Keys(list []Named) []string {
	out := make([]string, 0, len(list))
	for _, n := range list {
		out = append(out, n.Key)
	}
	return out
}

// EventsSaid are all events in words, the newest first: when, what, which eye, how it
// came out. None is left out for its age or because it settled.
func EventsSaid(events []AdverseEvent) (out []string) {
	all := slices.Clone(events)
	slices.SortStableFunc(all, func(a, b AdverseEvent) int { return b.Began.Compare(a.Began) })
	for i := range all {
		e := &all[i]
		said := e.Began.String() + " " + titleOf(AdverseKinds(), e.Kind) + ", " + eyesOf(e.Eye) + ": " + titleOf(AdverseOutcomes(), e.Outcome)
		if len(e.Serious) > 0 {
			said += " (serious)"
		}
		out = append(out, said)
	}
	return out
}

func titleOf(list []Named, key string) string {
	for _, n := range list {
		if n.Key == key {
			return n.Title
		}
	}
	return key
}

// AdverseFact is what the practice's figures need to know of an event.
type AdverseFact struct {
	Alert   care.AlertID
	Kind    string
	Began   civil.Date
	Serious bool
}

// Fact leaves of an event what figures count.
func (e *AdverseEvent) Fact() AdverseFact {
	return AdverseFact{e.Alert, e.Kind, e.Began, len(e.Serious) > 0}
}
