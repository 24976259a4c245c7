// Package figures adds up a practice: continued wear, care, recalls, the load of
// alerts, adverse events. It is pure. Counts below five are hidden from who may not
// read the records themselves, so that no family can be recognised.
package figures

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/review"
	"nightkeep/server/internal/review/course"
	"nightkeep/server/internal/review/stats"
)

// Input is what [Of] looks at: one [review.Tally] for each wearer of
// the practice over the same range, made with [review.TallyOf].
type Input struct {
	From, To civil.Date // both included
	Today    civil.Date
	Whole    bool // who reads them may read every record: no count is hidden
	Wearers  []review.Tally
	Alerts   []review.AlertFact   // those opened outside the range are left out
	Adverse  []course.AdverseFact // those that began outside the range are left out
}

// PracticeFigures are the figures of a practice over a range.
type PracticeFigures struct {
	From       civil.Date    `json:"from"`
	To         civil.Date    `json:"to"`
	Wearers    Few           `json:"wearers"` // with at least one night due in the range
	Years      float64       `json:"years"`   // wearer-years in lenses in the range
	Wear       stats.Share   `json:"wear"`
	Nights     review.Counts `json:"nights"`
	AllCare    stats.Share   `json:"all_care"`
	Recalls    stats.Share   `json:"recalls"` // kept on time, of those due
	Continuing []SurvivalRow `json:"continuing"`
	Stopped    Few           `json:"stopped"`
	Alerts     []LoadRow     `json:"alerts"`
	Rung       []RungRow     `json:"rung"` // messages of alerts to each person between 22:00 and 07:00
	Events     EventRate     `json:"events"`
	Adverse    []AdverseRow  `json:"adverse"` // events written down by the practice: all, then by kind
	Beside     []string      `json:"beside"`  // published figures to read ours against
	Notes      []string      `json:"notes"`   // what the figures do not say
}

// Few is a count that is not shown below five unless [Input.Whole], so that no family
// can be recognised.
type Few struct {
	N     int    `json:"n"` // 0 when Text says "fewer than 5"
	Text  string `json:"text"`
	Small bool   `json:"small"`
}

// SurvivalRow is one step of the Kaplan-Meier curve of continued wear.
type SurvivalRow struct {
	Months float64 `json:"months"` // since the first night
	Share  float64 `json:"share"`  // still wearing
	SE     float64 `json:"se"`
	AtRisk int     `json:"at_risk"`
}

// LoadRow is the alert load of one level.
type LoadRow struct {
	Level          string   `json:"level"`
	Opened         Few      `json:"opened"`
	PerHundredYear *float64 `json:"per_100_wearer_years"`
	// Ack is the wait for "I have this", Call for the first call that reached the
	// family, Decision for the first closing; each from the opening.
	Ack            Wait `json:"ack"`
	Call           Wait `json:"call"`
	Decision       Wait `json:"decision"`
	Unacknowledged Few  `json:"unacknowledged"`
}

// EventRate is adverse events, as closed by the practice or written down without an
// alert, each once, per 10,000 wearer-years with exact Poisson 95 % limits. Below five events, but not for
// none, only the upper limit for four is given, so that the count cannot be
// worked back from the rate.
type EventRate struct {
	Events    Few      `json:"events"`
	Years     float64  `json:"years"`
	Per10000  *float64 `json:"per_10000"`
	Low       *float64 `json:"low"`
	High      *float64 `json:"high"` // nil without any wearer-years
	Published string   `json:"published"`
}
