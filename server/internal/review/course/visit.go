package course

import (
	"strings"

	"nightkeep/schedule"
	"nightkeep/schedule/civil"
)

// Minus writes the sign as a true minus.
func Minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

// Refraction is one eye's prescription in minus-cylinder form.
type Refraction struct {
	Sphere float64 `json:"sphere"` // dioptres
	// Cylinder is 0 or negative, dioptres; Axis 0 to 180 degrees. Nil: only the sphere
	// was measured.
	Cylinder *float64 `json:"cylinder,omitempty"`
	Axis     *float64 `json:"axis,omitempty"`
}

// Astigmatism returns cylinder and axis, 0 where they were not measured.
func (r Refraction) Astigmatism() (cylinder, axis float64) {
	if r.Cylinder != nil {
		cylinder = *r.Cylinder
	}
	if r.Axis != nil {
		axis = *r.Axis
	}
	return cylinder, axis
}

// EyeFindings is what a visit recorded about one eye. A nil pointer or empty
// text means "not measured", never "normal".
type EyeFindings struct {
	Refraction *Refraction `json:"refraction,omitempty"`
	// Residual is the refraction measured over the treated eye, lens out.
	Residual      *Refraction `json:"residual,omitempty"`
	Unaided       *float64    `json:"unaided,omitempty"`        // acuity, logMAR
	BestCorrected *float64    `json:"best_corrected,omitempty"` // acuity, logMAR
	// UnaidedAs and BestCorrectedAs are the acuities as they were typed, see
	// [AcuityAs]; empty: in logMAR.
	UnaidedAs       string             `json:"unaided_as,omitempty"`
	BestCorrectedAs string             `json:"best_corrected_as,omitempty"`
	Grades          map[string]float64 `json:"grades,omitempty"`   // sign to grade on the visit's scale, in halves
	Staining        map[string]float64 `json:"staining,omitempty"` // zone (central, superior, nasal, inferior, temporal) to grade
	AxialMM         *float64           `json:"axial_mm,omitempty"` // axial length, mm
	// Measures are further numbers by name, in the units of the console's table
	// of quantities: keratometry_flat and keratometry_steep (D), keratometry_axis
	// (degrees), eccentricity, corneal_diameter and pupil (mm), pressure (mmHg).
	Measures map[string]float64 `json:"measures,omitempty"`
	// Words are findings in free words by name: fluorescein, centration,
	// movement, staining, lens_condition.
	Words      map[string]string `json:"words,omitempty"`
	Topography string            `json:"topography,omitempty"`
	Lens       string            `json:"lens,omitempty"` // parameters in words, no brand
	// Wear is what was decided about lenses in this eye: [WearStops] or [WearGoesOn];
	// empty: nothing was. A stop itself is an entry of the log.
	Wear string `json:"wear,omitempty"`
}

// Visit is one appointment, kept or missed.
type Visit struct {
	ID   string     `json:"id"`
	Date civil.Date `json:"date"`
	// Kind is one of first-morning, one-week, two-week, one-month, recall,
	// unscheduled or suitability.
	Kind       string      `json:"kind"`
	State      string      `json:"state"` // booked, kept, missed, cancelled or waived, as [schedule.Visit]
	Due        civil.Date  `json:"due"`   // the date the plan asked for; zero when unscheduled
	ShiftLater bool        `json:"shift_later"`
	Time       string      `json:"time,omitempty"` // HH:MM of the appointment, empty when not set
	Rev        int         `json:"rev,omitempty"`  // how often it was saved; a save names the one it began from
	Right      EyeFindings `json:"right"`
	Left       EyeFindings `json:"left"`
	Scale      string      `json:"scale,omitempty"`      // name of the grading scale used
	Instrument string      `json:"instrument,omitempty"` // what measured the axial length
	Advice     string      `json:"advice,omitempty"`
	// Cycloplegia says with what and when the eyes were dilated, in words; empty: they
	// were not, or nobody noted it.
	Cycloplegia string `json:"cycloplegia,omitempty"`
	Note        string `json:"note,omitempty"` // free words, for the practice
	By          string `json:"by,omitempty"`   // name of the practitioner
	// Moves are the appointments this one was before, the oldest first.
	Moves []Move `json:"moves,omitempty"`
}

// Move is an appointment that was moved, and why.
type Move struct {
	Date civil.Date `json:"date"` // that it was on
	Time string     `json:"time,omitempty"`
	Why  string     `json:"why"` // a word of [MoveReasons]
	By   string     `json:"by"`
	On   civil.Date `json:"on"` // when it was moved
}

// MoveReasons are why an appointment is moved.
func MoveReasons() []string {
	return []string{"family-asked", "ill", "practice", "no-lens", "sooner-by-the-clinician", "other"}
}

// ScheduleVisits returns visits as the schedule knows them: for the reminders,
// the calendar and every list alike.
func ScheduleVisits(list []Visit) []schedule.Visit {
	out := make([]schedule.Visit, 0, len(list))
	for _, v := range list {
		out = append(out, schedule.Visit{ID: v.ID, Kind: v.Kind, Date: v.Date, Due: v.Due, State: v.State, ShiftLater: v.ShiftLater})
	}
	return out
}
