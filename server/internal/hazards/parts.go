package hazards

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
)

// Part is something in the program that others made.
type Part struct {
	Part    string `json:"part"`              // module path, or name
	Version string `json:"version,omitempty"` // of what is no Go module; those say their own
	Licence string `json:"licence"`           // SPDX identifier
	Risk    string `json:"risk"`              // high: an alert or advice may fail with it; middle: a record or an access; low: the rest
	Why     string `json:"why"`               // what it does here
	Faults  string `json:"faults"`            // known ones, and where they are mended
}

// goItself is the part that is no module.
const goItself = "the Go standard library and runtime"

//go:embed parts.json
var partsJSON []byte

// Parts returns every part of others in the program that runs, with the version
// it was built with.
func Parts() []Part { return parts() }

var parts = sync.OnceValue(func() []Part {
	var list []Part
	if err := json.Unmarshal(partsJSON, &list); err != nil {
		panic(err) // the embedded list is tested
	}
	built := map[string]string{goItself: runtime.Version()}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, m := range info.Deps {
			built[m.Path] = m.Version
		}
	}
	for i := range list {
		if v := built[list[i].Part]; v != "" {
			list[i].Version = v
		}
	}
	return list
})

// WriteParts prints the parts, one in three lines.
func WriteParts(w io.Writer) error {
	var b strings.Builder
	for _, p := range Parts() {
		fmt.Fprintf(&b, "%s %s\n  %s, risk %s: %s\n  faults: %s\n", p.Part, p.Version, p.Licence, p.Risk, p.Why, p.Faults)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
