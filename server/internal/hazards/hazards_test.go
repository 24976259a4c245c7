package hazards_test

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"nightkeep/alerts"
	"nightkeep/server/internal/care"
	"nightkeep/server/internal/config"
	"nightkeep/server/internal/escalate"
	"nightkeep/server/internal/hazards"
	"nightkeep/server/internal/intake"
)

const root = "../../.."

// firstAnalysis is how many hazards the first analysis of the program had:
// H-001 to H-145. None of them may be lost.
const firstAnalysis = 145

func TestEveryHazardOfTheFirstAnalysisIsKept(t *testing.T) {
	t.Parallel()
	ids := map[string]bool{}
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		for _, id := range append([]string{h.ID}, h.Merged...) {
			ids[id] = true
		}
	})
	for n := range firstAnalysis {
		if id := fmt.Sprintf("H-%03d", n+1); !ids[id] {
			t.Errorf("%s is neither kept nor merged", id)
		}
	}
}

// A log that leaves something open is refused, and is told what is wanted.
func TestALogThatLeavesSomethingOpenIsRefused(t *testing.T) {
	t.Parallel()
	const whole = `{"areas": [{"name": "A", "requirement": "r", "hazards": [{"id": "H-001", "hazard": "h", "cause": "c",
		"situation": "s", "harm": "d", "severity": 4, "probability": 2,
		"controls": [{"what": "w", "code": ["x"], "tests": ["TestX"]}], "status": "controlled"}]}]}`
	if _, err := hazards.Read([]byte(whole)); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ was, is, says string }{
		{`"TestX"`, ``, "without a test"},
		{`"controlled"`, `"partly"`, "what is left"},
		{`"controlled"`, `"accepted"`, "by whom and why"},
		{`"controlled"`, `"open"`, "want controlled, partly or accepted"},
		{`"severity": 4`, `"severity": 6`, "1 to 5"},
		{`"cause": "c"`, `"cause": ""`, "want a cause"},
		{`"id": "H-001"`, `"id": "H-001", "merged": ["H-001"]`, "stands once"},
		{`"requirement": "r"`, `"requirement": ""`, "want a name, a requirement"},
		{`"harm"`, `"hurt"`, "unknown field"},
	} {
		if _, err := hazards.Read([]byte(strings.Replace(whole, tc.was, tc.is, 1))); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s for %s: %v, want one that says %q", tc.is, tc.was, err, tc.says)
		}
	}
}

// One hazard is found at once on the page: by its id, or by the id it was merged
// from; and the page asks nothing from elsewhere.
func TestThePageLeadsToEveryHazard(t *testing.T) {
	t.Parallel()
	var page, text, trace bytes.Buffer
	l := hazards.Default()
	for _, err := range []error{l.WriteHTML(&page), l.WriteText(&text), l.WriteTrace(&trace)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for n := range firstAnalysis {
		if anchor := fmt.Sprintf(`id="H-%03d"`, n+1); strings.Count(page.String(), anchor) != 1 {
			t.Errorf("the page has not one %s", anchor)
		}
		if line := fmt.Sprintf(`<a href="#H-%03d">`, n+1); !strings.Contains(page.String(), line) {
			t.Errorf("the index of the page lacks %s", line)
		}
	}
	l.Each(func(a *hazards.Area, h *hazards.Hazard) {
		if !strings.Contains(trace.String(), "\n  "+h.ID+" (") || !strings.Contains(text.String(), "\n"+h.ID) {
			t.Errorf("%s is missing in the text or the trace", h.ID)
		}
	})
	if out := regexp.MustCompile(`(?:src|href|url)\s*[=(]\s*["']?(?:[a-z]+:)?//`).FindString(page.String()); out != "" || strings.Contains(page.String(), "<script") {
		t.Errorf("the page is not whole by itself: %s", out)
	}
}

// What could cost an eye or leave a lasting harm has a control, and a test that
// shows it.
func TestWhatHarmsMostHasATest(t *testing.T) {
	t.Parallel()
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		shown := slices.ContainsFunc(h.Controls, func(c hazards.Control) bool { return len(c.Tests) > 0 })
		if h.Severity >= 4 && !shown && h.Status != hazards.Accepted {
			t.Errorf("%s has severity %d and no control with a test", h.ID, h.Severity)
		}
	})
}

// What is left of a hazard says whose it is: somebody's to decide, the adopting
// practitioner's to accept, to be watched with people, or to be built.
func TestWhatIsLeftSaysWhoseItIs(t *testing.T) {
	t.Parallel()
	whose := regexp.MustCompile(`^(To decide|To accept|To be watched|To build): .+\.$`)
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		if h.Status == hazards.Partly && !whose.MatchString(h.Left) {
			t.Errorf("%s: %q", h.ID, h.Left)
		}
	})
}

// Code and tests that the log names are there: the file or folder, with the
// word after it somewhere inside, and the test by its name or title.
func TestCodeAndTestsThatAreNamedExist(t *testing.T) {
	t.Parallel()
	tree := readTree(t)
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		for _, c := range h.Controls {
			if len(c.Code) == 0 {
				t.Errorf("%s: %q stands in no code", h.ID, c.What)
			}
			for _, code := range c.Code {
				if why := tree.hasCode(code); why != "" {
					t.Errorf("%s: %s: %s", h.ID, code, why)
				}
			}
			for _, test := range c.Tests {
				if !tree.hasTest(test) {
					t.Errorf("%s: there is no test %q", h.ID, test)
				}
			}
		}
	})
}

// A rule, a state of an alert, a channel, a kind of entry or a setting that no hazard names
// is one that nobody has thought about.
func TestEverythingThatActsIsNamedByAHazard(t *testing.T) {
	t.Parallel()
	named := map[string]bool{}
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		for _, x := range h.About {
			named[x] = true
		}
	})
	known := acting(t)
	for _, x := range known {
		if !named[x] {
			t.Errorf("no hazard names %s", x)
		}
		delete(named, x)
	}
	for x := range named {
		t.Errorf("a hazard names %s, which there is not", x)
	}
}

func acting(t *testing.T) (out []string) {
	t.Helper()
	for _, r := range alerts.Default().Rules {
		out = append(out, "rule "+r.ID)
	}
	out = append(out, "rule "+intake.NotAssessed, "rule "+intake.WornStopped, "rule "+intake.WornStill, "rule "+intake.ToldOnly)
	for _, k := range care.Kinds(care.Schema) {
		out = append(out, "kind "+string(k))
	}
	raw, err := os.ReadFile(filepath.Join(root, "server/internal/escalate/alert.go"))
	if err != nil {
		t.Fatal(err)
	}
	states := regexp.MustCompile(`State\s+= "(\w+)"`).FindAllSubmatch(raw, -1)
	if len(states) < 3 {
		t.Fatalf("%d states of an alert", len(states))
	}
	for _, m := range states {
		out = append(out, "state "+string(m[1]))
	}
	for _, c := range escalate.Channels() {
		out = append(out, "channel "+string(c))
	}
	for _, s := range alerts.Default().Settings {
		out = append(out, "setting "+s.Name)
	}
	out = append(out, "setting rota")
	for _, part := range []any{care.Practice{}, care.Contacts{}, escalate.Policy{}} {
		for _, f := range reflect.VisibleFields(reflect.TypeOf(part)) {
			if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); name != "contacts" {
				out = append(out, "setting "+name)
			}
		}
	}
	c, err := config.Load(nil, func(string) string { return "" }, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	var printed bytes.Buffer
	c.Print(&printed)
	for _, m := range regexp.MustCompile(`(?m)^#? ?NIGHTKEEP_([A-Z_]+)=`).FindAllStringSubmatch(printed.String(), -1) {
		out = append(out, "setting "+strings.ToLower(strings.ReplaceAll(m[1], "_", "-")))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// The list of parts is that of the modules in the program, and each has the
// licence that its own file says.
func TestPartsAreThoseOfTheProgram(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}", "nightkeep/server").Output()
	if err != nil {
		t.Fatal(err)
	}
	dirs := map[string]string{}
	for line := range strings.Lines(string(out)) {
		if path, dir, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
			dirs[path] = dir
		}
	}
	if len(dirs) < 20 {
		t.Fatalf("%d modules", len(dirs))
	}
	for _, p := range hazards.Parts() {
		if !slices.Contains([]string{"high", "middle", "low"}, p.Risk) || p.Why == "" || p.Faults == "" {
			t.Errorf("%s: want a risk of high, middle or low, what it does and its known faults", p.Part)
		}
		dir, isModule := dirs[p.Part]
		delete(dirs, p.Part)
		if isModule {
			if says := licenceIn(t, dir); says != p.Licence {
				t.Errorf("%s is listed under %s; its own file says %q", p.Part, p.Licence, says)
			}
		} else if p.Version == "" {
			t.Errorf("%s is not in the program", p.Part)
		}
	}
	for path := range dirs {
		t.Errorf("%s is in the program and in no list", path)
	}
	vendored, err := os.ReadFile(filepath.Join(root, "pwa/vendor/vendor.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`"name": "(.+)",\s+"version": "(.+)",\s+"licence": "(.+)"`).FindAllStringSubmatch(string(vendored), -1) {
		if !slices.ContainsFunc(hazards.Parts(), func(p hazards.Part) bool { return p.Part == m[1] && p.Version == m[2] && p.Licence == m[3] }) {
			t.Errorf("%v is vendored and not listed so", m[1:])
		}
	}
}

// licenceIn tells a licence by words of its text (SPDX).
func licenceIn(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "LICENSE*"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%s has no licence: %v", dir, err)
	}
	raw, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(raw)), " ")
	switch {
	case strings.Contains(text, "Neither the name of") && strings.Contains(text, "Redistributions in binary form"):
		return "BSD-3-Clause"
	case strings.Contains(text, "Apache License Version 2.0"):
		return "Apache-2.0"
	case strings.Contains(text, "Permission is hereby granted, free of charge"):
		return "MIT"
	}
	return "unknown"
}

// The words a practice can check stand in the read-me as the program has them.
func TestTheReadMeSaysWhatItIsForAndWhatNot(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	p := hazards.Intended()
	if len(p.Users) == 0 || len(p.Setting) == 0 || len(p.Limits) == 0 || len(p.Questions) == 0 || p.Incident == "" {
		t.Error("the purpose leaves something open")
	}
	for _, words := range append([]string{p.For}, p.IsNot...) {
		if !strings.Contains(string(raw), words) {
			t.Errorf("README.md does not say %q", words)
		}
	}
}

// What a release changed for safety is told first, by ids of this log.
func TestReleasesTellSafetyFirst(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(filepath.Join(root, "server/RELEASES.md"))
	if err != nil {
		t.Fatal(err)
	}
	releases := strings.Split(string(raw), "\n## ")[1:]
	for _, r := range releases {
		name, rest, _ := strings.Cut(r, "\n")
		if _, after, ok := strings.Cut(rest, "### "); !ok || !strings.HasPrefix(after, "Safety\n") {
			t.Errorf("%s does not begin with Safety", name)
		}
	}
	if len(releases) == 0 {
		t.Error("there is no release")
	}
	ids := map[string]bool{}
	hazards.Default().Each(func(_ *hazards.Area, h *hazards.Hazard) {
		for _, id := range append([]string{h.ID}, h.Merged...) {
			ids[id] = true
		}
	})
	for _, id := range regexp.MustCompile(`H-\d+`).FindAllString(string(raw), -1) {
		if !ids[id] {
			t.Errorf("%s is no hazard of the log", id)
		}
	}
}

// tree is the text of every source file by its path.
type tree map[string]string

func readTree(t *testing.T) tree {
	t.Helper()
	out := tree{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && (name == "node_modules" || name == "vendor" || strings.HasPrefix(name, ".") && name != "..") && path != root {
			return filepath.SkipDir
		}
		if !slices.Contains([]string{".go", ".js", ".json"}, filepath.Ext(name)) || name == "hazards.json" {
			return nil
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		out[filepath.ToSlash(rel)] = string(raw)
		return err
	})
	if err != nil || len(out) < 300 {
		t.Fatalf("%d files: %v", len(out), err)
	}
	return out
}

// hasCode returns what is wrong with a place: "path" or "path word". A word may
// stand in any file below a folder, so that a file can be moved within it.
func (tr tree) hasCode(code string) string {
	path, word, _ := strings.Cut(code, " ")
	if _, err := os.Stat(filepath.Join(root, path)); err != nil {
		return "no such file or folder"
	}
	for file, text := range tr {
		below := file == path || strings.HasPrefix(file, path+"/")
		if below && !strings.HasSuffix(file, "_test.go") && (strings.Contains(text, word) || strings.HasSuffix(file, "/"+word)) {
			return ""
		}
	}
	if word == "" {
		return "" // a file of another kind
	}
	return "the word stands nowhere in it"
}

// blank stands for what a title fills in.
var blank = regexp.MustCompile(`\\\$\\\{[^}]*\\\}`)

// hasTest reports whether there is a Go test of that name, or in a file of
// pwa/test one with that title. Where the title is made from a table, what is
// filled in must stand in the file or in testdata and the rules it reads.
func (tr tree) hasTest(test string) bool {
	file, title, js := strings.Cut(test, ".js: ")
	if !js {
		for path, text := range tr {
			if strings.HasSuffix(path, "_test.go") && strings.Contains(text, "\nfunc "+test+"(t *testing.T) {") {
				return true
			}
		}
		return false
	}
	text := tr[file+".js"]
	for _, m := range regexp.MustCompile("(?s)\\btest\\(\\s*('(?:[^'\\\\]|\\\\.)*'|\"[^\"]*\"|`[^`]*`)").FindAllStringSubmatch(text, -1) {
		quoted := m[1][1 : len(m[1])-1]
		if strings.ReplaceAll(quoted, `\'`, `'`) == title {
			return true
		}
		if m[1][0] != '`' {
			continue
		}
		made := regexp.MustCompile("^" + blank.ReplaceAllString(regexp.QuoteMeta(quoted), "(.+)") + "$").FindStringSubmatch(title)
		if len(made) > 1 && !slices.ContainsFunc(made[1:], func(x string) bool { return !tr.filled(text, x) }) {
			return true
		}
	}
	return false
}

// filled reports whether a name that a title is made with stands in the file of
// the test or in a table that tests read.
func (tr tree) filled(text, name string) bool {
	if strings.Contains(text, "'"+name+"'") || strings.Contains(text, "["+"'"+name) {
		return true
	}
	for path, table := range tr {
		if strings.HasSuffix(path, ".json") && (strings.HasPrefix(path, "testdata/") || strings.HasPrefix(path, "alerts/")) && strings.Contains(table, `"`+name+`"`) {
			return true
		}
	}
	return regexp.MustCompile(`= (\d+);`).MatchString(text) && regexp.MustCompile(`^\d+$`).MatchString(name)
}
