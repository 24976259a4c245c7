package alerts

import (
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"sync"
)

// Text is one wording for people, with a source where it quotes a fact.
type Text struct {
	Text   string `json:"text"`
	Source string `json:"source,omitempty"`
}

// Card is a help card that the phone shows without a network.
type Card struct {
	ID     string   `json:"id"`
	Title  string   `json:"title"`
	Do     []string `json:"do"`   // steps in order
	Dont   []string `json:"dont"` // what not to do
	Source string   `json:"source"`
}

// Texts is the English wording of every key that the table uses.
type Texts struct {
	Version  int             `json:"version"`
	Language string          `json:"language"` // BCP 47
	Texts    map[string]Text `json:"texts"`
	Cards    []Card          `json:"cards"`
}

// English returns the wording that this version of the program carries.
// It is read once and shared: do not change it.
func English() *Texts { return english() }

var english = sync.OnceValue(func() *Texts {
	t := new(Texts)
	if err := strict(textsJSON, t); err != nil {
		panic(err) // the embedded texts are tested
	}
	return t
})

// Say returns the wording of a key, or the key itself when there is none.
func (t *Texts) Say(key string) string {
	if s, ok := t.Texts[key]; ok {
		return s.Text
	}
	return key
}

// Row is one rule in words, as a clinician reads it.
type Row struct {
	ID, Level, Condition, Family, Clinic, Basis string

	Plain string // the condition for somebody who reads it once
	Steps []string
}

// Rows returns the rules in words, in the table's order. The limits are those of
// a practice, as in [Input.Settings]; nil words the usual ones.
func (t *Table) Rows(limits map[string]int) []Row {
	say, in := English(), teller{t, limits}
	rows := make([]Row, 0, len(t.Rules))
	for i := range t.Rules {
		r := &t.Rules[i]
		row := Row{ID: r.ID, Level: r.Level.String(), Condition: t.words(r, &r.When), Plain: sentence(in.plain(r, &r.When)),
			Family: say.Say(r.Family), Clinic: say.Say(r.Clinic), Basis: r.Source}
		for _, a := range r.Actions {
			row.Steps = append(row.Steps, say.Say("action."+a))
		}
		rows = append(rows, row)
	}
	return rows
}

func (t *Table) words(r *Rule, c *Cond) string {
	switch {
	case c.All != nil:
		return t.join(r, c.All, " and ")
	case c.Any != nil:
		return t.join(r, c.Any, " or ")
	case c.Not != nil:
		return "not (" + t.words(r, c.Not) + ")"
	case c.Nights != nil:
		w := c.Nights
		return fmt.Sprintf("on at least %s of the last %s nights: %s", t.operand(w.AtLeast), t.operand(w.Of), t.words(r, &w.Where))
	}
	def := t.defs(r)[c.Sign]
	if def.Answers == nil {
		return fmt.Sprintf("%s %s %s %s", def.Label, c.Op, t.operand(*c.Value), def.Unit)
	}
	worse := c.Op == ">=" && c.Value.Word != def.Answers[len(def.Answers)-1]
	if worse {
		return fmt.Sprintf("%s: %s or worse", def.Label, c.Value.Word)
	}
	return fmt.Sprintf("%s: %s", def.Label, c.Value.Word)
}

func (t *Table) join(r *Rule, terms []Cond, with string) string {
	parts := make([]string, len(terms))
	for i := range terms {
		parts[i] = t.words(r, &terms[i])
		if terms[i].All != nil || terms[i].Any != nil || terms[i].Nights != nil {
			parts[i] = "(" + parts[i] + ")"
		}
	}
	return strings.Join(parts, with)
}

func (t *Table) operand(o Operand) string {
	if o.Number != nil {
		return strconv.FormatFloat(*o.Number, 'f', -1, 64)
	}
	s := t.settings[o.Setting]
	return fmt.Sprintf("%d [setting %s, %d to %d]", s.Default, s.Name, s.Min, s.Max)
}

// WriteText prints the table for a clinician: level, condition in words, what
// the family and the clinic are told, basis, and the version.
func WriteText(w io.Writer, t *Table) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Rules, version %d: %d rules, most pressing first\n", t.Version, len(t.Rules))
	for _, r := range t.Rows(nil) {
		fmt.Fprintf(&b, "\n%s  [%s]\n  when    %s\n  family  %s\n  clinic  %s\n", r.ID, r.Level, r.Condition, r.Family, r.Clinic)
		for i, s := range r.Steps {
			fmt.Fprintf(&b, "  %6d  %s\n", i+1, s)
		}
		fmt.Fprintf(&b, "  basis   %s\n", r.Basis)
	}
	b.WriteString("\nSettings of the practice\n")
	for _, s := range t.Settings {
		fmt.Fprintf(&b, "  %s: %d %s (%d to %d). %s: %s\n", s.Name, s.Default, s.Unit, s.Min, s.Max, s.Label, s.Why)
	}
	b.WriteString("\nSigns\n")
	for _, s := range t.Signs {
		fmt.Fprintf(&b, "  %s (%s): %s; %s. %s\n", s.Name, s.Scope, s.Label, s.Values(), s.Meaning)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Values returns the answers or the range of a sign in words.
func (s SignDef) Values() string {
	if s.Answers != nil {
		return strings.Join(s.Answers, ", ")
	}
	return fmt.Sprintf("%v to %v %s", *s.Min, *s.Max, s.Unit)
}

var page = template.Must(template.New("rules").Parse(`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Rules, version {{.Version}}</title></head><body>
<h1>Rules, version {{.Version}}</h1>
<table><thead><tr><th scope="col">Rule</th><th scope="col">Level</th><th scope="col">When</th><th scope="col">Told to the family</th><th scope="col">Told to the clinic</th><th scope="col">Basis</th></tr></thead><tbody>
{{range .Rows nil}}<tr id="{{.ID}}"><th scope="row">{{.ID}}</th><td>{{.Level}}</td><td>{{.Condition}}</td><td>{{.Family}}<ol>{{range .Steps}}<li>{{.}}</li>{{end}}</ol></td><td>{{.Clinic}}</td><td>{{.Basis}}</td></tr>
{{end}}</tbody></table>
<h2>Settings of the practice</h2>
<table><thead><tr><th scope="col">Setting</th><th scope="col">Default</th><th scope="col">Bounds</th><th scope="col">Why</th></tr></thead><tbody>
{{range .Settings}}<tr><th scope="row">{{.Label}}</th><td>{{.Default}} {{.Unit}}</td><td>{{.Min}} to {{.Max}}</td><td>{{.Why}}</td></tr>
{{end}}</tbody></table>
<h2>Signs</h2>
<table><thead><tr><th scope="col">Sign</th><th scope="col">Of</th><th scope="col">Values</th><th scope="col">Meaning</th></tr></thead><tbody>
{{range .Signs}}<tr><th scope="row">{{.Label}}</th><td>{{.Scope}}</td><td>{{.Values}}</td><td>{{.Meaning}}</td></tr>
{{end}}</tbody></table></body></html>
`))

// WriteHTML prints the same table as [WriteText] as one HTML page without
// scripts or styles.
func WriteHTML(w io.Writer, t *Table) error { return page.Execute(w, t) }
