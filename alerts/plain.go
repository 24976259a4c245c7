package alerts

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// teller words a table's conditions with the limits of one practice.
type teller struct {
	*Table
	limits map[string]int // by setting; absent: the usual one
}

// plain is a condition for somebody who reads it once: every answer that
// counts is named with what it means, and no sign of comparison is used. The
// exact form is [Table.words].
func (t teller) plain(r *Rule, c *Cond) string {
	switch {
	case c.All != nil:
		return t.plainList(r, c.All, " and ", "all of these: ")
	case c.Any != nil:
		return t.plainList(r, c.Any, " or ", "one of these: ")
	case c.Not != nil:
		return "not: " + t.plain(r, c.Not)
	case c.Nights != nil:
		return t.plainNights(c.Nights) + t.plain(r, &c.Nights.Where)
	}
	def := t.defs(r)[c.Sign]
	if def.Answers == nil {
		return t.plainNumber(def, c)
	}
	if c.Value.Word == "yes" {
		return def.Label
	}
	counts := []string{c.Value.Word}
	if c.Op == ">=" {
		counts = def.Answers[slices.Index(def.Answers, c.Value.Word):]
	}
	named := make([]string, len(counts))
	for i, a := range counts {
		named[i] = def.explained(a)
	}
	return def.Label + ": " + either(named)
}

// plainList joins short terms with a word, and lists terms that hold terms.
func (t teller) plainList(r *Rule, terms []Cond, with, head string) string {
	parts, nested := make([]string, len(terms)), false
	for i := range terms {
		parts[i] = t.plain(r, &terms[i])
		nested = nested || terms[i].All != nil || terms[i].Any != nil || terms[i].Nights != nil
	}
	if nested {
		return head + strings.Join(parts, "; ")
	}
	return strings.Join(parts, with)
}

func (t teller) plainNights(w *Window) string {
	least, of := t.plainOperand(w.AtLeast), t.plainOperand(w.Of)
	if least == of {
		return fmt.Sprintf("on each of the last %s nights ", of)
	}
	if least == "1" {
		least = "one"
	}
	return fmt.Sprintf("on at least %s of the last %s nights ", least, of)
}

func (t teller) plainNumber(def *SignDef, c *Cond) string {
	unit := def.Unit
	if c.Value.Number != nil && *c.Value.Number == 1 {
		unit = strings.TrimSuffix(unit, "s")
	}
	amount := t.plainOperand(*c.Value) + " " + unit
	switch c.Op {
	case ">=":
		amount += " or more"
	case "<=":
		amount += " or less"
	case ">":
		amount = "more than " + amount
	case "<":
		amount = "less than " + amount
	}
	if strings.HasPrefix(def.Unit, "grade") && def.Meaning != "" {
		amount += " (" + def.Meaning + ")"
	}
	return def.Label + ": " + amount
}

func (t teller) plainOperand(o Operand) string {
	if o.Number != nil {
		return t.operand(o)
	}
	s := t.settings[o.Setting]
	if now := int(t.limit(o, t.limits)); now != s.Default {
		return fmt.Sprintf("%d (set by the practice; usually %d, may be %d to %d)", now, s.Default, s.Min, s.Max)
	}
	return fmt.Sprintf("%d (the practice may set %d to %d)", s.Default, s.Min, s.Max)
}

// explained is an answer with its meaning, when the table gives one.
func (s *SignDef) explained(answer string) string {
	word := strings.ReplaceAll(answer, "-", " ")
	for part := range strings.SplitSeq(s.Meaning, "; ") {
		if of, means, ok := strings.Cut(part, ": "); ok && of == answer {
			return word + " (" + means + ")"
		}
	}
	return word
}

// either joins words as "a, b or c".
func either(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// sentence begins with a capital letter.
func sentence(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[n:]
}
