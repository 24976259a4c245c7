package course

import (
	"slices"
	"strings"

	"nightkeep/schedule/civil"
)

// Lens is one lens as a thing: ordered, received, given out, and gone again. What
// is prescribed stands in the plan.
type Lens struct {
	ID      string `json:"id"`
	Version int    `json:"version"` // 1 and up; a save names the one it began from
	Eye     string `json:"eye" enum:"right,left"`
	// Design is a word of [LensDesigns]; DesignNote says more, without a brand.
	Design      string `json:"design"`
	DesignNote  string `json:"design_note,omitempty"`
	Fenestrated bool   `json:"fenestrated,omitempty"` // with holes, against binding
	Label       string `json:"label,omitempty"`       // maker and name as on the label, for a report; nothing goes by it
	Material    string `json:"material,omitempty"`    // by its general name
	Serial      string `json:"serial,omitempty"`
	Lot         string `json:"lot,omitempty"`

	BaseCurveMM *float64 `json:"base_curve_mm,omitempty"`
	DiameterMM  *float64 `json:"diameter_mm,omitempty"`
	Power       *float64 `json:"power,omitempty"`    // dioptres
	Cylinder    *float64 `json:"cylinder,omitempty"` // dioptres, of a toric lens
	Axis        *float64 `json:"axis,omitempty"`     // degrees

	Spare     bool       `json:"spare,omitempty"` // of the spare pair
	Ordered   civil.Date `json:"ordered"`
	Received  civil.Date `json:"received"`
	Dispensed civil.Date `json:"dispensed"`     // given to the family
	Ended     civil.Date `json:"ended"`         // no longer in use
	Why       string     `json:"why,omitempty"` // it ended, a word of [LensEnds]
	Note      string     `json:"note,omitempty"`
	By        string     `json:"by"`
}

// LensDesigns are the designs a lens can have (words of the trade).
func LensDesigns() []string {
	return []string{"reverse-geometry", "toric", "multi-zone", "aspheric", "other"}
}

// LensEnds are why a lens is no longer in use (common practice).
func LensEnds() []string {
	return []string{"worn-out", "other-parameters", "broken", "scratched", "deposits", "lost", "faulty", "returned", "wear-ended", "never-collected", "other"}
}

// OnlyNamed reports whether nothing is said of a lens but its eye, its design and
// whether it is of the spare pair.
func (l Lens) OnlyNamed() bool {
	return l == Lens{ID: l.ID, Version: l.Version, Eye: l.Eye, Design: l.Design, Spare: l.Spare, By: l.By}
}

// State is where a lens is: planned, ordered, received, home or ended.
func (l Lens) State() string {
	switch {
	case !l.Ended.IsZero():
		return "ended"
	case !l.Dispensed.IsZero():
		return "home"
	case !l.Received.IsZero():
		return "received"
	case !l.Ordered.IsZero():
		return "ordered"
	}
	return "planned"
}

// AtHome returns the lenses that the family has: right before left, the spare ones
// last.
func AtHome(all []Lens) []Lens {
	out := slices.DeleteFunc(slices.Clone(all), func(l Lens) bool { return l.State() != "home" })
	slices.SortStableFunc(out, func(a, b Lens) int {
		if a.Spare != b.Spare {
			return map[bool]int{false: -1, true: 1}[a.Spare]
		}
		return -strings.Compare(a.Eye, b.Eye)
	})
	return out
}
