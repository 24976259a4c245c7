package review

import (
	"nightkeep/schedule/civil"
	"nightkeep/server/internal/care"
)

// PracticeInput is what [Practice] looks at: one [Tally] for each wearer of
// the practice over the same range, made with [TallyOf].
type PracticeInput struct {
	From, To civil.Date // both included
	Today    civil.Date
	Wearers  []Tally
	Alerts   []AlertFact   // those opened outside the range are left out
	Adverse  []AdverseFact // those that began outside the range are left out
}

// Tally is one wearer's part in the practice's figures.
type Tally struct {
	Wearer  care.WearerID
	Courses []Course // stretches of wear; empty when not started
	Counts  Counts   // in the range
	Wear    Share    // nights with lenses in the range
	Care    Share    // all-items composite in the range
	// Recalls counts the visits due in the range: done are those kept within
	// the days the schedule still calls on time.
	Recalls Share
}

// PracticeFigures are the figures of a practice over a range.
type PracticeFigures struct {
	From       civil.Date    `json:"from"`
	To         civil.Date    `json:"to"`
	Wearers    Few           `json:"wearers"` // with at least one night due in the range
	Years      float64       `json:"years"`   // wearer-years in lenses in the range
	Wear       Share         `json:"wear"`
	Nights     Counts        `json:"nights"`
	AllCare    Share         `json:"all_care"`
	Recalls    Share         `json:"recalls"` // kept on time, of those due
	Continuing []SurvivalRow `json:"continuing"`
	Stopped    Few           `json:"stopped"`
	Alerts     []LoadRow     `json:"alerts"`
	Rung       []RungRow     `json:"rung"` // messages of alerts to each person between 22:00 and 07:00
	Events     EventRate     `json:"events"`
	Adverse    []AdverseRow  `json:"adverse"` // events written down by the practice: all, then by kind
	Beside     []string      `json:"beside"`  // published figures to read ours against
	Notes      []string      `json:"notes"`   // what the figures do not say
}

// Few is a count that is not shown below five, so that no family can be
// recognised.
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
