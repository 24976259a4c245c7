package care

import (
	"encoding/json"
	"strings"

	"nightkeep/schedule/civil"
)

// OwnWords returns what an entry says in the family's own words, "" for none: a
// note, an answer, the words beside a report, what was said elsewhere, why
// something was taken back.
func (e *Entry) OwnWords() string {
	text := func(name string) (out string) {
		_ = json.Unmarshal([]byte(e.Answer(name)), &out)
		return strings.TrimSpace(out)
	}
	switch e.Kind {
	case Note, Reply:
		return text("text")
	case Symptoms:
		return text("note")
	case Elsewhere:
		return strings.TrimSpace("Seen elsewhere on " + text("on") + ", by " + text("who") + ": " + text("said") + " " + text("phone"))
	case Retraction:
		return text("reason")
	}
	return ""
}

// Reading is what a family reads of both eyes beside the practice's own words, as its
// phones show it once they are sent. No list of words can tell whether the two agree:
// whoever sends them reads both.
type Reading struct {
	Yes   string     `json:"yes"` // goes back with the same request by whoever has read both; another one for other words, or where an eye stands otherwise by then
	Right EyeReading `json:"right"`
	Left  EyeReading `json:"left"`
	Words []string   `json:"words"` // the own words
}

// EyeReading is where one eye stands then.
type EyeReading struct {
	State  Mark       `json:"state"`           // none, rest or stop, tonight
	Until  civil.Date `json:"until,omitzero"`  // the first night without a cause; zero when none is known
	Check  bool       `json:"check,omitempty"` // a check at home comes first
	From   civil.Date `json:"from,omitzero"`   // what is sent says that lenses are worn again from this night on
	Begins civil.Date `json:"begins,omitzero"` // what is sent says that none is worn from this night on, which is still to come
}

// Add adds what an entry of the practice says of the eyes it names, tonight being night.
func (r *Reading) Add(f WearFact, night civil.Date) {
	for _, eye := range f.Eyes {
		of := &r.Right
		if eye == "left" {
			of = &r.Left
		}
		switch {
		case f.Kind == Resume:
			of.From, of.Check = f.From, of.Check || f.Check
		case f.Begins.After(night):
			of.Begins = f.Begins
		}
	}
}
