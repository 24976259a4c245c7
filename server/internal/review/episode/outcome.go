package episode

// Outcome is how an alert ended, chosen by the person who closes it.
type Outcome struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	// Seen reports whether somebody examined the eye; Event whether the outcome
	// counts as an adverse event of wear in the practice's rates.
	Seen  bool `json:"seen"`
	Event bool `json:"event"`
	// Disease reports whether the outcome names a disease of the cornea: lenses
	// are then worn again only after an examination.
	Disease bool `json:"disease"`
}

// Outcomes returns the outcomes an alert can be closed with. "Nothing found"
// records what an examination found on that day; it promises nothing.
func Outcomes() []Outcome {
	return []Outcome{
		{"spoken-to", "Spoken to, advice given", false, false, false},
		{"seen-nothing-found", "Examined, nothing found on the day", true, false, false},
		{"seen-treated", "Examined and treated here", true, true, false},
		{"referred", "Referred on", true, true, false},
		{"infiltrate", "Infiltrate without infection, as diagnosed", true, true, true},
		{"infection", "Infection of the cornea, as diagnosed", true, true, true},
		{"not-reached", "Family could not be reached", false, false, false},
		{"in-error", "Reported by mistake", false, false, false},
		{"other", "Other, see note", false, false, false},
	}
}

// OutcomeOf returns the outcome with the key, and whether there is one.
func OutcomeOf(key string) (Outcome, bool) {
	for _, o := range Outcomes() {
		if o.Key == key {
			return o, true
		}
	}
	return Outcome{}, false
}
