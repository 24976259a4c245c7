package interop

// Code systems.
const (
	loinc  = "http://loinc.org"
	snomed = "http://snomed.info/sct"
	ucum   = "http://unitsofmeasure.org"
	hl7    = "http://terminology.hl7.org/CodeSystem/"
)

// eyeCodes are the LOINC codes of one eye.
type eyeCodes struct{ right, left string }

func (c eyeCodes) of(eye string) coding {
	if eye == "right" {
		return coding{System: loinc, Code: c.right}
	}
	return coding{System: loinc, Code: c.left}
}

// The codes a bundle may use, each held against a published table. LOINC:
// panel 62706-7, release 2.79, for sphere, cylinder, axis and best corrected
// acuity; panel 98497-1 for uncorrected acuity. SNOMED CT: HL7 eye care
// implementation guide and value set. Nothing else gets a code: no code for
// axial length, for a slit-lamp grade or for an eye as a body site could be
// checked, so these travel as text. Displays are left out because the wording
// of the release could not be checked.
var (
	loincSphere        = eyeCodes{"65890-6", "65894-8"}
	loincCylinder      = eyeCodes{"65892-2", "65896-3"}
	loincAxis          = eyeCodes{"65891-4", "65895-5"}
	loincBestCorrected = eyeCodes{"65893-0", "65897-1"}
	loincUncorrected   = eyeCodes{"98499-7", "98498-9"}

	sctRefraction    = coding{System: snomed, Code: "251794006"}
	sctSphere        = coding{System: snomed, Code: "251795007"}
	sctCylinder      = coding{System: snomed, Code: "251797004"}
	sctAxis          = coding{System: snomed, Code: "251799001"}
	sctAcuity        = coding{System: snomed, Code: "363983007"}
	sctUncorrected   = coding{System: snomed, Code: "420050001"}
	sctBestCorrected = coding{System: snomed, Code: "419775003"}
)

// Units. logMAR is a number without a unit; the annotation says which.
func dioptres(v float64) *quantity  { return &quantity{hundredths(v), "D", ucum, "[diop]"} }
func degrees(v float64) *quantity   { return &quantity{v, "deg", ucum, "deg"} }
func logMAR(v float64) *quantity    { return &quantity{hundredths(v), "logMAR", ucum, "{logMAR}"} }
func mm(v float64) *quantity        { return &quantity{hundredths(v), "mm", ucum, "mm"} }
func hoursLong(v float64) *quantity { return &quantity{hundredths(v), "h", ucum, "h"} }

func category(code string) []concept {
	return []concept{{Coding: []coding{{System: hl7 + "observation-category", Code: code}}}}
}
