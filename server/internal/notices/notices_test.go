package notices_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"nightkeep/server/internal/notices"
)

var update = flag.Bool("update", false, "make the text anew")

// pkg is what the Go tool says of one package of the program.
type pkg struct {
	Dir      string
	Standard bool
	Module   *struct{ Path, Version, Dir string }
}

// named is how files with a licence, or what it asks to be passed on, are called.
var named = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|copyright)([.-].*)?$`)

// licences returns the files of a package's folder and of those above it in its
// module, and whose they are: a part taken from elsewhere has its own.
func licences(t *testing.T, into map[string]map[string]bool, root, dir, name string) {
	t.Helper()
	for ; ; dir = filepath.Dir(dir) {
		list, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range list {
			if e.IsDir() || !named.MatchString(e.Name()) || strings.HasSuffix(e.Name(), ".go") {
				continue
			}
			raw, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			body := strings.TrimSpace(strings.ReplaceAll(string(raw), "\r\n", "\n"))
			if into[body] == nil {
				into[body] = map[string]bool{}
			}
			into[body][name] = true
		}
		if dir == root {
			return
		}
	}
}

// program returns the packages of the program, its modules' and Go's own.
func program(t *testing.T) (list []pkg) {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-json=Dir,Standard,Module", "nightkeep/server")
	cmd.Env = append(os.Environ(), "GOOS=linux", "GOARCH=amd64") // the same text wherever it is made
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return list
		} else if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
}

// made is the text as it follows from what is built.
func made(t *testing.T) (text string, names []string) {
	t.Helper()
	by := map[string]map[string]bool{}
	for _, p := range program(t) {
		if !p.Standard && p.Module != nil && p.Module.Version != "" {
			name := p.Module.Path + " " + p.Module.Version
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
			licences(t, by, p.Module.Dir, p.Dir, name)
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	goroot := strings.TrimSpace(string(root))
	licences(t, by, goroot, goroot, "the Go library")
	licences(t, by, "../../../pwa/vendor", "../../../pwa/vendor", "preact, in the pages")
	licences(t, by, "../../../pwa/vendor/qrcode", "../../../pwa/vendor/qrcode", "qrcode-generator, in the pages")
	names = append(names, "the Go library", "preact, in the pages", "qrcode-generator, in the pages")
	var parts []string
	for body, whose := range by {
		var list []string
		for name := range whose {
			list = append(list, name)
		}
		slices.Sort(list)
		parts = append(parts, fmt.Sprintf("== %s\n\n%s\n", strings.Join(list, "\n== "), body))
	}
	slices.Sort(parts)
	return "Nightkeep is built with the work of others, under these licences.\n\n" + strings.Join(parts, "\n"), names
}

// The notices are those of what is built: every module of the program, Go's
// library and the two libraries that browsers get, each with the text its authors
// ask to be passed on. Licences that ask for more than that are not among them.
func TestNoticesAreOfWhatIsBuilt(t *testing.T) {
	t.Parallel()
	want, names := made(t)
	if *update {
		if err := os.WriteFile("notices.txt", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got := notices.Text()
	if got != want {
		t.Error("the text does not fit what is built: go test ./server/internal/notices -update")
	}
	for _, name := range names {
		if !strings.Contains(got, "== "+name+"\n") {
			t.Errorf("%s has no licence", name)
		}
	}
	for _, not := range []string{"GNU GENERAL PUBLIC LICENSE", "GNU AFFERO", "Server Side Public License", "Business Source License"} {
		if strings.Contains(got, not) {
			t.Errorf("something built in is under %q", not)
		}
	}
	if len(names) < 20 {
		t.Errorf("only %d modules", len(names))
	}
}
