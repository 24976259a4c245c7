package hazards

import (
	_ "embed"
	"encoding/json"
	"sync"
)

// Purpose is what the program is for, in words that a practice can check, and
// what it has to settle before it relies on it.
type Purpose struct {
	For       string     `json:"for"`
	Users     []string   `json:"users"`
	Setting   []string   `json:"setting"`
	IsNot     []string   `json:"is_not"`
	Limits    []string   `json:"limits"`
	Questions []Question `json:"questions"`
	Incident  string     `json:"incident"` // what to do when somebody came to harm
}

// Question is one to settle, and where it is written. It claims nothing.
type Question struct {
	Ask  string `json:"ask"`
	Read string `json:"read"`
}

//go:embed purpose.json
var purposeJSON []byte

// Intended returns the purpose of this version. It is shared: do not change it.
func Intended() *Purpose { return intended() }

var intended = sync.OnceValue(func() *Purpose {
	p := new(Purpose)
	if err := json.Unmarshal(purposeJSON, p); err != nil {
		panic(err) // the embedded words are tested
	}
	return p
})
