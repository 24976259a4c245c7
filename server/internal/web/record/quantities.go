package record

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"nightkeep/pwa"
	"nightkeep/server/internal/care"
)

// quantity is one clinical number: Min to Max is what is possible, None one
// value beside it that says "not set", Usual what needs no second look. The
// console asks "sure?" outside Usual; the server refuses outside Min to Max.
type quantity struct {
	Label  string     `json:"label"`
	Unit   string     `json:"unit"`
	Digits int        `json:"digits"` // decimals that are shown
	Step   float64    `json:"step"`   // finer is asked about by the console
	Signed bool       `json:"signed"` // shown with its sign
	Whole  bool       `json:"whole"`
	Halves bool       `json:"halves"` // whole and half numbers only
	None   *float64   `json:"none"`
	Min    float64    `json:"min"`
	Max    float64    `json:"max"`
	Usual  [2]float64 `json:"usual"`
	Source string     `json:"source"`
}

// quantityTable is the file that the console's form reads too.
type quantityTable struct {
	Quantities map[string]quantity `json:"quantities"`
	Visit      map[string]string   `json:"visit"` // path under an eye to quantity
	Plan       map[string]string   `json:"plan"`  // path to quantity
	Lens       map[string]string   `json:"lens"`  // path in a lens to quantity
}

// quantities is read once; a table that cannot be read is a fault of the
// program, found by its tests.
var quantities = func() (t quantityTable) {
	if err := json.Unmarshal(pwa.Quantities, &t); err != nil {
		panic(fmt.Sprintf("quantities.json: %v", err))
	}
	return t
}()

// The numbers of a visit (under an eye), of a plan and of a lens, by path.
var VisitFields, PlanFields, LensFields = quantities.Visit, quantities.Plan, quantities.Lens

// fault says in words why a number is not one of this quantity; empty when it is.
func (q quantity) fault(n float64) string {
	if q.None != nil && n == *q.None {
		return ""
	}
	switch {
	case math.IsNaN(n) || n < q.Min || n > q.Max:
		return fmt.Sprintf("%s is not possible; want %s to %s", q.words(n), plainNumber(q.Min), q.words(q.Max))
	case q.Whole && n != math.Trunc(n):
		return fmt.Sprintf("%s: want a whole number, %s to %s", q.words(n), plainNumber(q.Min), q.words(q.Max))
	case q.Halves && 2*n != math.Trunc(2*n):
		return fmt.Sprintf("%s: want a whole or a half, %s to %s", q.words(n), plainNumber(q.Min), q.words(q.Max))
	}
	return ""
}

func (q quantity) words(n float64) string {
	return strings.TrimSpace(plainNumber(n) + " " + q.Unit)
}

// Usual is the usual range of a quantity of the table that is counted in whole numbers.
func Usual(name string) [2]int {
	u := quantities.Quantities[name].Usual
	return [2]int{int(u[0]), int(u[1])}
}

// plainNumber is a number with as many digits as it needs and a true minus.
func plainNumber(n float64) string {
	return strings.ReplaceAll(strconv.FormatFloat(n, 'f', -1, 64), "-", "−")
}

// CheckNumbers holds every number of a document against its quantity. fields
// are paths inside the document; at stands before a path in the error's field,
// said before the label in its words.
func CheckNumbers(doc any, fields map[string]string, at, said string) error {
	raw, err := json.Marshal(doc)
	if err != nil {
		return err
	}
	var tree map[string]any
	if err := json.Unmarshal(raw, &tree); err != nil {
		return err
	}
	for _, path := range slices.Sorted(maps.Keys(fields)) {
		n, ok := numberAt(tree, path)
		if !ok {
			continue
		}
		q := quantities.Quantities[fields[path]]
		if why := q.fault(n); why != "" {
			return care.Refuse("not-possible", at+path, "%s: %s", pathWords(said, path, q), why)
		}
	}
	return nil
}

// numberAt finds a number inside nested objects.
func numberAt(tree map[string]any, path string) (float64, bool) {
	head, rest, deeper := strings.Cut(path, ".")
	if !deeper {
		n, ok := tree[head].(float64)
		return n, ok
	}
	inner, ok := tree[head].(map[string]any)
	if !ok {
		return 0, false
	}
	return numberAt(inner, rest)
}

// pathWords names a field in words: "right eye, staining central" or "right
// lens, base curve".
func pathWords(said, path string, q quantity) string {
	label := q.Label
	head, name, deeper := strings.Cut(path, ".")
	name = strings.ReplaceAll(name, "_", " ")
	switch {
	case !deeper || said != "" && (head == "refraction" || head == "residual"):
	case head == "right" || head == "left":
		said, label = head+" lens", q.Label
	case head == "measures":
		label = name
	default:
		label = head + " " + name
	}
	if said == "" {
		return label
	}
	return said + ", " + strings.ToLower(label)
}

// UnknownKeys returns a key of a map of findings that the table does not have.
func UnknownKeys[V any](part string, have map[string]V) string {
	for _, key := range slices.Sorted(maps.Keys(have)) {
		if _, ok := quantities.Visit[part+"."+key]; !ok {
			return key
		}
	}
	return ""
}

// AskUnless asks about what is possible and unlikely: all of it at once, with the
// code "unlikely". The same request with "sure" goes through.
func AskUnless(sure bool, doubts []string) error {
	if sure || len(doubts) == 0 {
		return nil
	}
	return care.Errorf(care.Conflict, "unlikely", "%s", strings.Join(doubts, " "))
}
