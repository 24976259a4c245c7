package alerts_test

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"testing"

	"nightkeep/alerts"
)

// A mutant is the rule table with one limit moved by one step, one operator
// exchanged, or one term dropped.
type mutant struct {
	name string
	rule string // "" when it touches a setting: any vector may notice
	json []byte
}

// node is a position in the decoded table whose value can be exchanged.
type node struct {
	path string
	get  any
	set  func(any)
}

func TestEveryMutantIsNoticed(t *testing.T) {
	t.Parallel()
	files := readVectors(t)
	mutants := makeMutants(t)
	refused := 0
	for _, m := range mutants {
		tb, err := alerts.Load(m.json)
		if err != nil {
			refused++ // the loader notices
			continue
		}
		if !noticed(tb, m, files) {
			t.Errorf("no vector notices: %s", m.name)
		}
	}
	t.Logf("%d mutants: %d refused by Load, the rest broke a vector", len(mutants), refused)
	if len(mutants) < 200 {
		t.Errorf("only %d mutants", len(mutants))
	}
}

func noticed(tb *alerts.Table, m mutant, files []vectorFile) bool {
	for _, f := range files {
		if m.rule != "" && m.rule != f.Rule {
			continue
		}
		for _, v := range f.Tests {
			if got, _ := stateOf(tb, f.Rule, v); got != v.Want {
				return true
			}
		}
	}
	return false
}

func makeMutants(t *testing.T) []mutant {
	t.Helper()
	b, err := os.ReadFile("rules.json")
	if err != nil {
		t.Fatal(err)
	}
	var table map[string]any
	if err := json.Unmarshal(b, &table); err != nil {
		t.Fatal(err)
	}
	var out []mutant
	try := func(rule string, n node, changed any) {
		n.set(changed)
		b, err := json.Marshal(table)
		if err != nil {
			t.Fatal(err)
		}
		n.set(n.get)
		out = append(out, mutant{fmt.Sprintf("%s: %v -> %v", n.path, n.get, changed), rule, b})
	}
	answers := answersBySign()
	for _, r := range table["rules"].([]any) {
		r := r.(map[string]any)
		mutateCond(r["id"].(string), r["about"].(string), node{r["id"].(string), r["when"], func(v any) { r["when"] = v }}, answers, try)
	}
	for _, s := range table["settings"].([]any) {
		s := s.(map[string]any)
		for _, k := range []string{"default", "min", "max"} {
			n := node{s["name"].(string) + "." + k, s[k], func(v any) { s[k] = v }}
			try("", n, s[k].(float64)+1)
			try("", n, s[k].(float64)-1)
		}
	}
	return out
}

func answersBySign() map[string][]string {
	out := map[string][]string{}
	for _, s := range alerts.Default().Signs {
		about := "symptoms"
		if s.Scope == alerts.OfNight || s.Scope == alerts.OfFact {
			about = "record"
		}
		out[about+"/"+string(s.Name)] = s.Answers
	}
	return out
}

func mutateCond(rule, about string, n node, answers map[string][]string, try func(string, node, any)) {
	c := n.get.(map[string]any)
	for form, other := range map[string]string{"all": "any", "any": "all"} {
		terms, ok := c[form].([]any)
		if !ok {
			continue
		}
		try(rule, n, map[string]any{other: terms})
		for i, term := range terms {
			rest := slices.Delete(slices.Clone(terms), i, i+1)
			if len(rest) == 1 {
				try(rule, n, rest[0])
			} else {
				try(rule, n, map[string]any{form: rest})
			}
			mutateCond(rule, about, node{fmt.Sprintf("%s.%s[%d]", n.path, form, i), term, func(v any) { terms[i] = v }}, answers, try)
		}
	}
	if w, ok := c["nights"].(map[string]any); ok {
		for _, k := range []string{"of", "atLeast"} {
			step(rule, node{n.path + "." + k, w[k], func(v any) { w[k] = v }}, try)
		}
		mutateCond(rule, about, node{n.path + ".where", w["where"], func(v any) { w["where"] = v }}, answers, try)
	}
	if sign, ok := c["sign"].(string); ok {
		mutateComparison(rule, n.path, c, answers[about+"/"+sign], try)
	}
}

func mutateComparison(rule, path string, c map[string]any, answers []string, try func(string, node, any)) {
	value := node{path + ".value", c["value"], func(v any) { c["value"] = v }}
	op := node{path + ".op", c["op"], func(v any) { c["op"] = v }}
	step(rule, value, try)
	if answers == nil {
		for _, o := range []string{">=", "<=", "<", ">", "="} {
			if o != c["op"] {
				try(rule, op, o)
			}
		}
		return
	}
	i := slices.Index(answers, c["value"].(string))
	for _, j := range []int{i - 1, i + 1} {
		if j >= 0 && j < len(answers) {
			try(rule, value, answers[j])
		}
	}
	if i+1 < len(answers) { // on the worst answer = and >= mean the same
		try(rule, op, map[string]string{"=": ">=", ">=": "="}[c["op"].(string)])
	}
}

func step(rule string, n node, try func(string, node, any)) {
	if v, ok := n.get.(float64); ok {
		try(rule, n, v+1)
		try(rule, n, v-1)
	}
}
