package vision

import "math"

// The accepted geometry of a test.
const (
	MinLogMAR, MaxLogMAR     = -1.0, 2.0
	MinDistance, MaxDistance = 0.2, 20.0  // metres
	MinPxPerMM, MaxPxPerMM   = 1.0, 100.0 // device pixels in a millimetre
)

// LeastDetailPx is the least critical detail a screen should be asked to draw,
// in device pixels; below it edges blur into each other (own judgement).
const LeastDetailPx = 3

// OptotypeHeight returns the height in millimetres of an optotype of the given
// logMAR at distance metres: 5 minutes of arc at logMAR 0, so 2d tan(2.5' *
// 10^L) (ISO 8596; Bailey and Lovie 1976).
func OptotypeHeight(logmar, distanceM float64) float64 {
	return 2 * 1000 * distanceM * math.Tan(2.5*math.Pow(10, logmar)*math.Pi/(180*60))
}

// LogMARofHeight is the inverse of [OptotypeHeight]: what the optotype really
// drawn is worth.
func LogMARofHeight(heightMM, distanceM float64) float64 {
	return math.Log10(math.Atan(heightMM/(2*1000*distanceM)) * 180 * 60 / (2.5 * math.Pi))
}

// Optotype is the size of one optotype. The detail (stroke or gap) is a fifth
// of the height. Pixel sizes are exact and unrounded; see [Optotype.Drawn].
type Optotype struct {
	HeightMM float64
	DetailMM float64
	HeightPx float64 // 0 without a calibration
}

// OptotypeSize computes an [Optotype]; pxPerMM 0 means no calibration. It
// refuses sizes, distances and calibrations outside the accepted geometry.
func OptotypeSize(logmar, distanceM, pxPerMM float64) (Optotype, error) {
	if err := within("logmar", logmar, MinLogMAR, MaxLogMAR); err != nil {
		return Optotype{}, err
	}
	if err := within("distance_m", distanceM, MinDistance, MaxDistance); err != nil {
		return Optotype{}, err
	}
	if pxPerMM != 0 {
		if err := within("px_per_mm", pxPerMM, MinPxPerMM, MaxPxPerMM); err != nil {
			return Optotype{}, err
		}
	}
	h := OptotypeHeight(logmar, distanceM)
	return Optotype{h, h / 5, h * pxPerMM}, nil
}

// Drawn rounds the detail to whole device pixels (at least 1) and returns it
// with the logMAR of the optotype so drawn: the size to be given to the
// estimator, so that rounding costs nothing but the coarseness of the steps.
func (o Optotype) Drawn(distanceM, pxPerMM float64) (detailPx int, logmar float64) {
	detailPx = int(math.Max(1, math.Round(o.HeightPx/5)))
	return detailPx, LogMARofHeight(float64(5*detailPx)/pxPerMM, distanceM)
}

// SmallestLogMAR returns the smallest size a screen can show at distance
// metres with a detail of at least [LeastDetailPx] device pixels.
func SmallestLogMAR(distanceM, pxPerMM float64) float64 {
	return LogMARofHeight(5*LeastDetailPx/pxPerMM, distanceM)
}

// Notation is one acuity in every notation; all are exact, for storage.
// Letters is the letter score of the 4 m protocol, 85 - 50 logMAR (Beck 2003;
// Gregori 2010).
type Notation struct {
	LogMAR    float64 `json:"logmar"`
	Decimal   float64 `json:"decimal"`
	SnellenM  float64 `json:"snellen_m"`  // the x of 6/x
	SnellenFt float64 `json:"snellen_ft"` // the x of 20/x
	Letters   float64 `json:"letters"`
}

// NotationOf converts a logMAR.
func NotationOf(logmar float64) Notation {
	mar := math.Pow(10, logmar)
	return Notation{logmar + 0, 1 / mar, 6 * mar, 20 * mar, 85 - 50*logmar}
}

// ParseNotation converts from the notation named as in [Notation]'s JSON. The
// result must lie between [MinLogMAR] and 3 logMAR.
func ParseNotation(notation string, value float64) (Notation, error) {
	logmar := value
	switch notation {
	case "logmar":
	case "decimal":
		logmar = -math.Log10(value)
	case "snellen_m":
		logmar = math.Log10(value / 6)
	case "snellen_ft":
		logmar = math.Log10(value / 20)
	case "letters":
		logmar = (85 - value) / 50
	default:
		return Notation{}, refuse(notation, "accepted is one of logmar, decimal, snellen_m, snellen_ft, letters")
	}
	if !(logmar >= MinLogMAR-1e-9 && logmar <= 3+1e-9) {
		return Notation{}, refuse(notation, "%v is outside the accepted logMAR -1 to 3 (decimal 10 to 0.001, letters 135 to -65)", value)
	}
	n := NotationOf(logmar)
	switch notation { // what was given comes back as it was given
	case "decimal":
		n.Decimal = value
	case "snellen_m":
		n.SnellenM = value
	case "snellen_ft":
		n.SnellenFt = value
	case "letters":
		n.Letters = value
	}
	return n, nil
}

// LetterScore returns the logMAR of a chart read letter by letter, from a chart
// whose largest line is largest logMAR, with 5 letters and 0.1 logMAR to a
// line, so 0.02 a letter (Bailey and Lovie 1976). Read is the number of letters
// right, everything larger than the chart being taken as read.
func LetterScore(largest float64, read int) float64 {
	return largest + 0.1 - 0.02*float64(read)
}
