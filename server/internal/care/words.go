package care

import (
	"encoding/json"
	"strings"
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
