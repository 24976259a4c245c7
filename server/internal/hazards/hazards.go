// Package hazards is the safety case: everything by which this program could
// hurt somebody, what stops it, in which code that stands, and which test shows
// it. The log itself is hazards.json; `server hazards` prints it.
//
// It is a first judgement by its makers, in the form that ISO 14971 asks for
// (hazard, hazardous situation, harm, control, verification), and no claim to
// conform with it.
package hazards

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
)

//go:embed hazards.json
var logJSON []byte

// Log is every hazard, by area.
type Log struct {
	Severity    []string `json:"severity"`    // what 1 to 5 mean
	Probability []string `json:"probability"` // what 1 to 5 mean
	Scores      string   `json:"scores"`      // whose judgement they are
	Areas       []Area   `json:"areas"`
}

// Area is a part of the program, and what must hold there.
type Area struct {
	Name        string   `json:"name"`
	Requirement string   `json:"requirement"`
	Hazards     []Hazard `json:"hazards"`
}

// Hazard is one way to somebody's harm.
type Hazard struct {
	ID     string   `json:"id"`               // stable: H-001
	Merged []string `json:"merged,omitempty"` // ids of the first analysis that say the same

	Hazard      string `json:"hazard"`
	Cause       string `json:"cause"`
	Situation   string `json:"situation"` // in which somebody is exposed to it
	Harm        string `json:"harm"`
	Severity    int    `json:"severity"`    // 1 to 5
	Probability int    `json:"probability"` // 1 to 5

	// About names the rules, alert states, entry kinds and settings that it
	// touches, as "rule redness".
	About    []string  `json:"about,omitempty"`
	Controls []Control `json:"controls"`

	Status Status `json:"status"`
	Left   string `json:"left,omitempty"` // of partly: what is left
	By     string `json:"by,omitempty"`   // of accepted: whose decision it is
	Why    string `json:"why,omitempty"`  // of accepted
}

// Control is what stops a hazard.
type Control struct {
	What  string   `json:"what"`
	Code  []string `json:"code"`  // a file or folder, and perhaps a word that stands in it
	Tests []string `json:"tests"` // name of a Go test, or a file of pwa/test, a colon and a title
}

// Status says how far a hazard is controlled.
type Status string

// The statuses.
const (
	Controlled Status = "controlled"
	Partly     Status = "partly"
	Accepted   Status = "accepted"
)

// Default returns the log of this version of the program. It is shared: do not
// change it.
func Default() *Log { return log() }

var log = sync.OnceValue(func() *Log {
	l, err := Read(logJSON)
	if err != nil {
		panic(err) // the embedded log is tested
	}
	return l
})

// Read reads a log and refuses one that leaves something open.
func Read(raw []byte) (*Log, error) {
	l := new(Log)
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(l); err != nil {
		return nil, fmt.Errorf("hazards: %w", err)
	}
	return l, l.check()
}

func (l *Log) check() error {
	seen := map[string]bool{}
	for _, a := range l.Areas {
		if a.Name == "" || a.Requirement == "" || len(a.Hazards) == 0 {
			return fmt.Errorf("hazards: area %q: want a name, a requirement and hazards", a.Name)
		}
		for i := range a.Hazards {
			h := &a.Hazards[i]
			for _, id := range append([]string{h.ID}, h.Merged...) {
				if seen[id] || !strings.HasPrefix(id, "H-") {
					return fmt.Errorf("hazards: %s: want an id that stands once, as H-001", id)
				}
				seen[id] = true
			}
			if err := h.check(); err != nil {
				return fmt.Errorf("hazards: %s: %w", h.ID, err)
			}
		}
	}
	return nil
}

func (h *Hazard) check() error {
	for name, text := range map[string]string{"hazard": h.Hazard, "cause": h.Cause, "situation": h.Situation, "harm": h.Harm} {
		if text == "" {
			return fmt.Errorf("want a %s", name)
		}
	}
	for _, n := range []int{h.Severity, h.Probability} {
		if n < 1 || n > 5 {
			return fmt.Errorf("want severity and probability of 1 to 5, not %d", n)
		}
	}
	if (h.Status == Partly) != (h.Left != "") || (h.Status == Accepted) != (h.By != "" && h.Why != "") {
		return fmt.Errorf("want what is left of a partly controlled one, and by whom and why an accepted one is")
	}
	if h.Status == Controlled && (len(h.Controls) == 0 || h.tests() == 0) {
		return fmt.Errorf("controlled without a test that shows it")
	}
	if h.Status != Controlled && h.Status != Partly && h.Status != Accepted {
		return fmt.Errorf("status %q: want controlled, partly or accepted", h.Status)
	}
	return nil
}

// tests counts the tests of all controls.
func (h *Hazard) tests() (n int) {
	for _, c := range h.Controls {
		n += len(c.Tests)
	}
	return n
}

// Each calls f for every hazard, in the order of the log.
func (l *Log) Each(f func(a *Area, h *Hazard)) {
	for i := range l.Areas {
		for j := range l.Areas[i].Hazards {
			f(&l.Areas[i], &l.Areas[i].Hazards[j])
		}
	}
}

// Count returns how many hazards have a status.
func (l *Log) Count(s Status) (n int) {
	l.Each(func(_ *Area, h *Hazard) {
		if h.Status == s {
			n++
		}
	})
	return n
}
