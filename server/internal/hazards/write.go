package hazards

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
)

// WriteText prints the log for somebody who looks one hazard up: each begins
// with its id.
func (l *Log) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Hazards: %d controlled, %d partly, %d accepted\n%s\n", l.Count(Controlled), l.Count(Partly), l.Count(Accepted), l.Scores)
	for _, a := range l.Areas {
		fmt.Fprintf(&b, "\n== %s\n   %s\n", a.Name, a.Requirement)
		for _, h := range a.Hazards {
			h.text(&b)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (h *Hazard) text(b *strings.Builder) {
	fmt.Fprintf(b, "\n%s  %s  [severity %d, probability %d, %s]\n", strings.Join(append([]string{h.ID}, h.Merged...), ", "),
		h.Hazard, h.Severity, h.Probability, h.Status)
	fmt.Fprintf(b, "  cause      %s\n  situation  %s\n  harm       %s\n", h.Cause, h.Situation, h.Harm)
	for _, c := range h.Controls {
		fmt.Fprintf(b, "  control    %s\n    code     %s\n", c.What, strings.Join(c.Code, "; "))
		for _, t := range c.Tests {
			fmt.Fprintf(b, "    test     %s\n", t)
		}
	}
	if h.Left != "" {
		fmt.Fprintf(b, "  left       %s\n", h.Left)
	}
	if h.By != "" {
		fmt.Fprintf(b, "  accepted   %s: %s\n", h.By, h.Why)
	}
	if len(h.About) > 0 {
		fmt.Fprintf(b, "  about      %s\n", strings.Join(h.About, ", "))
	}
}

// WriteTrace prints what must hold, by which hazard it would fail, and by which
// tests each is shown: one line a hazard.
func (l *Log) WriteTrace(w io.Writer) error {
	var b strings.Builder
	for i, a := range l.Areas {
		fmt.Fprintf(&b, "R-%02d %s\n", i+1, a.Requirement)
		for _, h := range a.Hazards {
			var tests []string
			for _, c := range h.Controls {
				tests = append(tests, c.Tests...)
			}
			fmt.Fprintf(&b, "  %s (%s): %s\n", h.ID, h.Status, strings.Join(tests, "; "))
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

//go:embed page.html
var pageHTML string

var page = template.Must(template.New("hazards").Funcs(template.FuncMap{
	"slug": func(s string) string { return strings.ToLower(strings.NewReplacer(" ", "-", ":", "").Replace(s)) },
	"add":  func(a, b int) int { return a + b },
}).Parse(pageHTML))

// WriteHTML prints purpose, log and parts as one page without scripts and without anything
// from elsewhere, to be searched and printed.
func (l *Log) WriteHTML(w io.Writer) error {
	return page.Execute(w, struct {
		*Log
		Purpose *Purpose
		Parts   []Part
	}{l, Intended(), Parts()})
}
