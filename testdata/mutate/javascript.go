package main

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// The app's modules have one form (.biome.json): an operator stands between
// spaces, a statement on a line of its own ends in a semicolon.
var (
	jsOperator  = regexp.MustCompile(` (===|!==|<=|>=|<|>|&&|\|\||\+|-) `)
	jsNot       = regexp.MustCompile(`([( ])!([a-zA-Z(])`)
	jsNumber    = regexp.MustCompile(`([ (\[])(\d[\d_]*)([ ,;)\]])`)
	jsStatement = regexp.MustCompile(`^\t+((?:await )?[\w.]+\([^{}]*\);|[\w.]+(?:\[\w+\])? (?:=|\+=) [^{}]*;|(?:continue|break);)$`)
	jsSwaps     = map[string]string{
		"===": "!==", "!==": "===", "<": "<=", "<=": "<", ">": ">=", ">=": ">", "&&": "||", "||": "&&", "+": "-", "-": "+",
	}
)

// inJS returns the faults of a module of the app.
func inJS(path string, raw []byte) (out []fault) {
	at := 0
	for i, line := range bytes.SplitAfter(raw, []byte("\n")) {
		text := string(bytes.TrimSuffix(line, []byte("\n")))
		word := strings.TrimSpace(text)
		add := func(from, to int, s string) {
			out = append(out, fault{path, i + 1, at + from, at + to, s, fmt.Sprintf("%q, %q to %q", word, text[from:to], s)})
		}
		if word != "" && !strings.HasPrefix(word, "*") && !strings.HasPrefix(word, "/") && !strings.HasPrefix(word, "import") {
			code, _, _ := strings.Cut(text, " // ")
			jsLine(code, add)
		}
		at += len(line)
	}
	return out
}

func jsLine(code string, add func(from, to int, s string)) {
	for _, m := range jsOperator.FindAllStringSubmatchIndex(code, -1) {
		add(m[2], m[3], jsSwaps[code[m[2]:m[3]]])
	}
	for _, m := range jsNot.FindAllStringSubmatchIndex(code, -1) {
		add(m[3], m[4], "")
	}
	for _, m := range jsNumber.FindAllStringSubmatchIndex(code, -1) {
		if n, err := strconv.Atoi(strings.ReplaceAll(code[m[4]:m[5]], "_", "")); err == nil {
			add(m[4], m[5], strconv.Itoa(n+1))
		}
	}
	if m := jsStatement.FindStringSubmatchIndex(code); m != nil {
		add(m[2], m[3], ";")
	}
}
