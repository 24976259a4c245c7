package alerts

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"sync"
)

// Sign is the name of something a rule may look at, as listed in the table.
type Sign string

// Scope says where a sign is found.
type Scope string

// The scopes. Signs of an eye and of a report are read by rules about
// "symptoms"; signs of a night and facts by rules about the "record".
const (
	OfEye    Scope = "eye"    // an answer for one eye of a symptom report
	OfReport Scope = "report" // an answer for the whole report
	OfNight  Scope = "night"  // logged for one night, read inside a window
	OfFact   Scope = "fact"   // worked out by the caller for today
)

// SignDef describes a sign: either its answers from harmless to worst, or a
// range of numbers in a unit.
type SignDef struct {
	Name    Sign     `json:"name"`
	Scope   Scope    `json:"scope"`
	Since   int      `json:"since,omitempty"` // the version of the table that first asked it; 0: the first
	Label   string   `json:"label"`
	Answers []string `json:"answers,omitempty"`
	Min     *float64 `json:"min,omitempty"` // a pointer, so that 0 is not lost
	Max     *float64 `json:"max,omitempty"`
	Unit    string   `json:"unit,omitempty"`
	Meaning string   `json:"meaning"`
}

// Setting is a limit that a practice may move within bounds, because no
// published limit exists.
type Setting struct {
	Name    string `json:"name"`
	Label   string `json:"label"`
	Default int    `json:"default"`
	Min     int    `json:"min"`
	Max     int    `json:"max"`
	Unit    string `json:"unit"`
	Why     string `json:"why"`
	Source  string `json:"source,omitempty"` // of Min, when it is published
}

// Operand is the right-hand side of a comparison: a number, a word, or the
// name of a setting.
type Operand struct {
	Number  *float64
	Word    string
	Setting string
}

// UnmarshalJSON reads 3, "mild" or {"setting": "name"} and refuses the rest.
func (o *Operand) UnmarshalJSON(b []byte) error {
	*o = Operand{}
	switch b[0] {
	case '"':
		return json.Unmarshal(b, &o.Word)
	case '{':
		var ref struct {
			Setting string `json:"setting"`
		}
		if err := strict(b, &ref); err != nil {
			return err
		}
		o.Setting = ref.Setting
		return nil
	case 'n':
		return fmt.Errorf("value null: want a number, a word or a setting")
	}
	return json.Unmarshal(b, &o.Number)
}

// Cond is a condition: exactly one of its forms is set.
type Cond struct {
	All    []Cond   `json:"all"`
	Any    []Cond   `json:"any"`
	Not    *Cond    `json:"not"`
	Sign   Sign     `json:"sign"`
	Op     string   `json:"op"`
	Value  *Operand `json:"value"`
	Nights *Window  `json:"nights"`

	def  *SignDef // of Sign, found by the check
	rank int      // of Value among the sign's answers
}

// Window holds when Where holds on at least AtLeast of the Of calendar nights
// that end with today's.
type Window struct {
	Of      Operand `json:"of"`
	AtLeast Operand `json:"atLeast"`
	Where   Cond    `json:"where"`
}

// Yield says that an advice step is left out where one of others is told: two
// that contradict each other are never read together.
type Yield struct {
	Action string   `json:"action"`
	To     []string `json:"to"`
}

// Rule is one row of the table.
type Rule struct {
	ID      string   `json:"id"`
	Level   Level    `json:"level"`
	About   string   `json:"about"` // "symptoms" (once per eye) or "record"
	When    Cond     `json:"when"`
	Family  string   `json:"family"`  // text key
	Clinic  string   `json:"clinic"`  // text key
	Actions []string `json:"actions"` // advice steps in order, text key "action."+step
	Mark    Mark     `json:"mark"`    // what it means for wearing a lens: none, rest or stop
	// LensOnly: about a lens and not about an eye, so no sign of an eye.
	LensOnly bool   `json:"lens_only"`
	Source   string `json:"source"`

	perEye bool
}

// Table is a checked set of rules. It is immutable and safe for concurrent
// use once loaded.
type Table struct {
	Version  int       `json:"version"` // at least 1; stored with every finding
	Signs    []SignDef `json:"signs"`
	Settings []Setting `json:"settings"`
	Actions  []string  `json:"actions"`   // every advice step, in the order in which steps are taken
	GivesWay []Yield   `json:"gives_way"` // steps that are not told beside certain others
	Rules    []Rule    `json:"rules"`

	symptoms, record map[Sign]*SignDef
	settings         map[string]*Setting
	longest          int // nights of the longest window
	ofRecord         int // rules about the record
}

// Load reads and checks a table. It refuses an unknown field, operator, sign,
// answer, setting or advice step, a duplicate id, a missing source, and a rule
// that breaks an invariant of the package; the error names the rule.
func Load(b []byte) (*Table, error) {
	t := new(Table)
	if err := strict(b, t); err != nil {
		return nil, fmt.Errorf("rule table: %w", err)
	}
	if err := t.check(); err != nil {
		return nil, fmt.Errorf("rule table: %w", err)
	}
	return t, nil
}

// Default returns the table that this version of the program carries. It is
// read once and shared: do not change it.
func Default() *Table { return builtin() }

var builtin = sync.OnceValue(func() *Table {
	t, err := Load(rulesJSON)
	if err != nil {
		panic(err) // the embedded table is tested
	}
	return t
})

// Answers returns the answers of each sign of a scope that has some, from
// harmless to worst.
func (t *Table) Answers(of Scope) map[string][]string {
	out := map[string][]string{}
	for _, s := range t.Signs {
		if s.Scope == of && len(s.Answers) > 0 {
			out[string(s.Name)] = s.Answers
		}
	}
	return out
}

// Rule returns the rule with the id, or nil.
func (t *Table) Rule(id string) *Rule {
	for i := range t.Rules {
		if t.Rules[i].ID == id {
			return &t.Rules[i]
		}
	}
	return nil
}

// CheckSettings reports the first setting that the table does not know or that
// lies outside its bounds. A practice's settings are checked when saved.
func (t *Table) CheckSettings(s map[string]int) error {
	for name, v := range s {
		def := t.settings[name]
		if def == nil {
			return fmt.Errorf("setting %q: not in the table", name)
		}
		if v < def.Min || v > def.Max {
			return fmt.Errorf("setting %q: %d %s, want %d to %d", name, v, def.Unit, def.Min, def.Max)
		}
	}
	return nil
}

func strict(b []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); err != io.EOF {
		return fmt.Errorf("something follows the JSON value")
	}
	return nil
}
