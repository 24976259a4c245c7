package review

// Outcome is how an alert ended, chosen by the person who closes it.
type Outcome struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	// Seen reports whether somebody examined the eye; Event whether the outcome
	// counts as an adverse event of wear in the practice's rates.
	Seen  bool `json:"seen"`
	Event bool `json:"event"`
}

// Outcomes returns the outcomes an alert can be closed with. "Nothing found"
// records what an examination found on that day; it promises nothing.
func Outcomes() []Outcome {
	return []Outcome{
		{"spoken-to", "Spoken to, advice given", false, false},
		{"seen-nothing-found", "Examined, nothing found on the day", true, false},
		{"seen-treated", "Examined and treated here", true, true},
		{"referred", "Referred on", true, true},
		{"infiltrate", "Infiltrate without infection, as diagnosed", true, true},
		{"infection", "Infection of the cornea, as diagnosed", true, true},
		{"not-reached", "Family could not be reached", false, false},
		{"in-error", "Reported by mistake", false, false},
		{"other", "Other, see note", false, false},
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
