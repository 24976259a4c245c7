package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mayImport says which of our own packages, and which from outside, each
// package may use. Everything may use the standard library. It is the picture
// in DEVELOPERS.md, enforced.
var mayImport = map[string][]string{
	"schedule/civil":                  {},
	"pwa":                             {"github.com/evanw/esbuild/pkg/api", "github.com/molecule-man/go-brrr"},
	"schedule":                        {"schedule/civil", "github.com/robfig/cron/v3"},
	"alerts":                          {"schedule/civil"},
	"server/internal/care":            {"schedule/civil", "schedule", "alerts"},
	"server/internal/vision":          {"schedule/civil"},
	"server/internal/review":          {"schedule/civil", "schedule", "alerts", "server/internal/care", "server/internal/vision", "server/internal/review/"},
	"server/internal/review/stats":    {"schedule/civil", "gonum.org/v1/gonum/"},
	"server/internal/review/course":   {"schedule/civil", "schedule", "server/internal/care"},
	"server/internal/review/episode":  {"alerts", "schedule/civil", "server/internal/care"},
	"server/internal/review/figures":  {"schedule/civil", "server/internal/care", "server/internal/review", "server/internal/review/course", "server/internal/review/episode", "server/internal/review/stats"},
	"server/internal/calc":            {"schedule/civil", "server/internal/vision", "server/internal/review", "server/internal/review/"},
	"server/internal/access":          {"server/internal/care"},
	"server/internal/watch":           {},
	"server/internal/quota":           {"golang.org/x/time/rate"},
	"server/internal/retention":       {"schedule/civil", "server/internal/care"},
	"server/internal/hazards":         {},
	"server/internal/push":            {"server/internal/care", "github.com/SherClockHolmes/webpush-go"},
	"server/internal/phone":           {"server/internal/care", "github.com/nyaruka/phonenumbers"},
	"server/internal/mail":            {"server/internal/care", "github.com/wneessen/go-mail"},
	"server/internal/escalate":        {"server/internal/care", "alerts", "schedule/civil"},
	"server/internal/remind":          {"server/internal/care", "schedule", "schedule/civil", "github.com/robfig/cron/v3"},
	"server/internal/interop":         {"server/internal/care", "server/internal/review", "server/internal/review/", "alerts", "schedule", "schedule/civil"},
	"server/internal/kv":              {},
	"server/internal/durable":         {"golang.org/x/sys/unix"},
	"server/internal/notices":         {},
	"server/internal/kv/bolt":         {"server/internal/durable", "server/internal/kv", "go.etcd.io/bbolt", "go.etcd.io/bbolt/errors"},
	"server/internal/kv/kvtest":       {"server/internal/kv"},
	"server/internal/store/pairs":     {"server/internal/care", "server/internal/kv", "github.com/cespare/xxhash/v2"},
	"server/internal/store/audit":     {"server/internal/care", "server/internal/store/pairs"},
	"server/internal/store/register":  {"server/internal/care", "schedule", "schedule/civil", "server/internal/store/pairs"},
	"server/internal/store/duty":      {"server/internal/care", "schedule", "schedule/civil", "server/internal/escalate", "server/internal/store/pairs", "server/internal/store/register"},
	"server/internal/store/log":       {"server/internal/care", "schedule/civil", "server/internal/store/pairs", "server/internal/store/audit", "server/internal/store/register", "server/internal/store/duty"},
	"server/internal/store/archive":   {"server/internal/care", "server/internal/store/pairs", "server/internal/store/audit", "server/internal/store/register", "server/internal/store/duty", "server/internal/store/log"},
	"server/internal/store":           {"server/internal/care", "schedule/civil", "server/internal/escalate", "server/internal/durable", "server/internal/kv", "server/internal/kv/bolt", "server/internal/store/"},
	"server/internal/dispatch":        {"server/internal/care", "schedule", "schedule/civil", "server/internal/escalate", "server/internal/remind", "server/internal/store", "server/internal/store/"},
	"server/internal/intake":          {"server/internal/access", "server/internal/care", "alerts", "schedule", "schedule/civil", "server/internal/escalate", "server/internal/quota", "server/internal/review", "server/internal/review/", "server/internal/dispatch", "server/internal/store", "server/internal/store/"},
	"server/internal/web":             {"server/internal/store", "server/internal/web/", "github.com/gofiber/fiber/v2"},
	"server/internal/web/transport":   {"schedule/civil", "server/internal/access", "server/internal/care", "server/internal/escalate", "server/internal/intake", "server/internal/notices", "server/internal/quota", "server/internal/store", "server/internal/store/", "server/internal/watch", "github.com/gofiber/fiber/v2", "github.com/valyala/fasthttp"},
	"server/internal/web/record":      {"pwa", "schedule", "schedule/civil", "server/internal/access", "server/internal/care", "server/internal/retention", "server/internal/intake", "server/internal/phone", "server/internal/review", "server/internal/review/", "server/internal/store", "server/internal/store/", "golang.org/x/text/"},
	"server/internal/web/ready":       {"alerts", "schedule/civil", "server/internal/care", "server/internal/escalate", "server/internal/intake", "server/internal/store", "server/internal/web/record", "server/internal/web/transport"},
	"server/internal/web/shared":      {"schedule/civil", "server/internal/access", "server/internal/care", "server/internal/escalate", "server/internal/interop", "server/internal/quota", "server/internal/dispatch", "server/internal/store", "server/internal/store/", "server/internal/web/record", "server/internal/web/transport", "github.com/gofiber/fiber/v2"},
	"server/internal/web/family":      {"schedule", "schedule/civil", "server/internal/access", "server/internal/care", "server/internal/dispatch", "server/internal/intake", "server/internal/quota", "server/internal/review", "server/internal/review/", "server/internal/store", "server/internal/store/", "server/internal/web/record", "server/internal/web/transport", "github.com/gofiber/fiber/v2"},
	"server/internal/web/clinic":      {"alerts", "schedule", "schedule/civil", "server/internal/access", "server/internal/calc", "server/internal/care", "server/internal/quota", "server/internal/escalate", "server/internal/intake", "server/internal/interop", "server/internal/phone", "server/internal/review", "server/internal/review/", "server/internal/dispatch", "server/internal/store", "server/internal/store/", "server/internal/web/ready", "server/internal/web/record", "server/internal/web/transport", "github.com/gofiber/fiber/v2", "golang.org/x/text/"},
	"server/internal/web/course":      {"schedule/civil", "server/internal/access", "server/internal/care", "server/internal/intake", "server/internal/review", "server/internal/review/", "server/internal/store", "server/internal/store/", "server/internal/vision", "server/internal/web/record", "server/internal/web/transport", "github.com/gofiber/fiber/v2"},
	"server/internal/web/practice":    {"server/internal/quota", "alerts", "schedule/civil", "server/internal/access", "server/internal/care", "server/internal/escalate", "server/internal/hazards", "server/internal/intake", "server/internal/phone", "server/internal/retention", "server/internal/review", "server/internal/review/", "server/internal/dispatch", "server/internal/store", "server/internal/store/", "server/internal/web/ready", "server/internal/web/record", "server/internal/web/transport", "github.com/gofiber/fiber/v2", "github.com/go-webauthn/webauthn/"},
	"server/internal/demo":            {"server/internal/", "schedule", "schedule/civil", "testdata/demo"},
	"server/internal/config":          {"server/internal/care", "server/internal/seal", "filippo.io/age"},
	"server/internal/seal":            {"filippo.io/age", "server/internal/durable"},
	"server/internal/bench":           {"server/internal/", "schedule", "schedule/civil", "alerts", "github.com/gofiber/fiber/v2", "go.etcd.io/bbolt", "github.com/chromedp/", "github.com/jackc/pgx/v5/pgxpool", "modernc.org/sqlite"},
	"server/internal/app":             {"filippo.io/age", "github.com/coreos/go-systemd/v22/daemon", "golang.org/x/crypto/acme", "golang.org/x/crypto/acme/autocert", "github.com/gofiber/fiber/v2", "server/internal/", "alerts", "schedule", "pwa", "schedule/civil"},
	"server/internal/app/courier":     {"schedule", "schedule/civil", "server/internal/care", "server/internal/escalate", "server/internal/mail", "server/internal/push", "server/internal/remind", "server/internal/store", "server/internal/store/"},
	"server/internal/app/machine":     {},
	"server/bench":                    {"server/internal/app", "server/internal/app/machine", "server/internal/bench"},
	"server":                          {"server/internal/app", "server/internal/app/machine", "server/internal/config"},
	"server/e2e":                      {},
	"testdata/demo":                   {},
	"testdata/mutate":                 {},
	"server/internal/store/forge":     {"server/internal/kv", "server/internal/kv/bolt", "github.com/cespare/xxhash/v2"},
	"server/internal/store/scene":     {"server/internal/care", "schedule", "schedule/civil", "server/internal/dispatch", "server/internal/escalate", "server/internal/remind", "server/internal/store", "server/internal/store/", "go.etcd.io/bbolt"},
	"server/internal/store/storetest": {"server/internal/store", "server/internal/store/", "server/internal/care", "server/internal/escalate", "server/internal/dispatch", "schedule/civil"},
	"server/internal/mail/mailtest":   {},
	"server/internal/push/pushtest":   {"server/internal/push", "github.com/golang-jwt/jwt/v5"},
}

func TestImportsRunOneWay(t *testing.T) {
	t.Parallel()
	for dir, files := range sources(t) {
		allowed, known := mayImport[dir]
		if !known {
			t.Errorf("%s is a package the import table does not know", dir)
			continue
		}
		for _, file := range files {
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
			if err != nil {
				t.Fatal(err)
			}
			for _, spec := range f.Imports {
				path := strings.Trim(spec.Path.Value, `"`)
				ours, isOurs := strings.CutPrefix(path, "nightkeep/")
				if !isOurs && !strings.Contains(strings.SplitN(path, "/", 2)[0], ".") {
					continue // standard library
				}
				if !slices.ContainsFunc(allowed, func(a string) bool {
					return ours == a || path == a || strings.HasSuffix(a, "/") && (strings.HasPrefix(ours, a) || strings.HasPrefix(path, a))
				}) {
					t.Errorf("%s imports %s, which the table does not allow", file, path)
				}
			}
		}
	}
}

// maxFiles is how many files a reader can still take in: a package that grows
// beyond it is split into rooms.
const maxFiles = 25

func TestPackagesStaySmall(t *testing.T) {
	t.Parallel()
	for dir, files := range sources(t) {
		if len(files) > maxFiles {
			t.Errorf("%s has %d files, want at most %d: split it into rooms", dir, len(files), maxFiles)
		}
	}
}

// maxLines is how long a function can be and still be read at one look.
const maxLines = 45

// long are the functions that are longer, each with the reason.
var long = map[string]string{
	"server/internal/web/clinic Routes":       "a table: one line a route",
	"server/internal/web/practice Routes":     "a table: one line a route",
	"server/internal/store/archive owners":    "a table: one line a bucket",
	"server/internal/care Entry.AppendJSON":   "writes one form from left to right, on the way of every entry",
	"server/internal/care quickEntry":         "reads one form from left to right, on the way of every entry",
	"server/internal/intake Reply.AppendJSON": "writes one form from left to right, on the way of every push",
	"server/internal/intake quickRequest":     "reads one form from left to right, on the way of every push",
}

func TestFunctionsStayShort(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	for dir, files := range sources(t) {
		for _, file := range files {
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, file, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range f.Decls {
				fn, ok := d.(*ast.FuncDecl)
				if !ok || fn.Body == nil {
					continue
				}
				lines := set.Position(fn.End()).Line - set.Position(fn.Pos()).Line + 1
				if lines <= maxLines {
					continue
				}
				name := dir + " " + nameOf(fn)
				if met[name] = true; long[name] == "" {
					t.Errorf("%s has %d lines, want at most %d: give its parts names", name, lines, maxLines)
				}
			}
		}
	}
	for name := range long {
		if !met[name] {
			t.Errorf("%s is listed as long and is not", name)
		}
	}
}

// nameOf is a function's name, with its type's before it.
func nameOf(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	of := fn.Recv.List[0].Type
	if star, ok := of.(*ast.StarExpr); ok {
		of = star.X
	}
	if id, ok := of.(*ast.Ident); ok {
		return id.Name + "." + fn.Name.Name
	}
	return fn.Name.Name
}

// The store knows how an alert and a message are written, and runs no rule about
// either: of package escalate it uses what describes data.
func TestTheStoreRunsNoRules(t *testing.T) {
	t.Parallel()
	data := []string{"Alert", "Row", "Raised", "Worsened"}
	for dir, files := range sources(t) {
		if !strings.HasPrefix(dir, "server/internal/store") || strings.HasSuffix(dir, "storetest") || strings.HasSuffix(dir, "scene") {
			continue
		}
		for _, file := range files {
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok {
					if x, ok := s.X.(*ast.Ident); ok && x.Name == "escalate" && !slices.Contains(data, s.Sel.Name) {
						t.Errorf("%s uses escalate.%s: apply it in package dispatch, inside the transaction", file, s.Sel.Name)
					}
				}
				return true
			})
		}
	}
}

// What only measures or tests is not in the program that a practice runs.
func TestTheBinaryHoldsNothingForTests(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	for pkg := range strings.FieldsSeq(string(out)) {
		for _, not := range []string{"/chromedp/", "/jackc/pgx", "modernc.org/sqlite", "server/internal/bench", "test", "/forge", "/scene"} {
			if strings.Contains(pkg, ".") || strings.HasPrefix(pkg, "nightkeep/") {
				if strings.Contains(pkg, not) && !strings.HasPrefix(pkg, "nightkeep/testdata/demo") {
					t.Errorf("the program holds %s", pkg)
				}
			}
		}
	}
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	t.Parallel()
	for dir, files := range sources(t) {
		docs := 0
		for _, file := range files {
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.PackageClauseOnly|parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			if f.Doc != nil {
				docs++
			}
		}
		if docs != 1 {
			t.Errorf("%s has %d package comments, want 1", dir, docs)
		}
	}
}

// A map that grows is no longer read: what is decided about a package stands with it.
func TestTheMapFitsItsPage(t *testing.T) {
	t.Parallel()
	const most = 12 << 10 // bytes
	raw, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	if len(raw) > most {
		t.Errorf("DEVELOPERS.md has %d bytes, want at most %d: move a part to the page of its package", len(raw), most)
	}
}

func TestTopLevelIsFixed(t *testing.T) {
	t.Parallel()
	want := []string{"DEVELOPERS.md", "README.md", "alerts", "go.mod", "go.sum", "pwa", "schedule", "server", "testdata"}
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(want, e.Name()) {
			t.Errorf("%s does not belong at the top level", e.Name())
		}
	}
	mod, err := os.ReadFile("../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(mod), "\nreplace ") {
		t.Error("go.mod holds a replace")
	}
}

// sources returns the non-test Go files of each package by its folder.
func sources(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	err := filepath.WalkDir("..", func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || strings.HasPrefix(d.Name(), ".") && d.Name() != "..") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
			dir, err := filepath.Rel("..", filepath.Dir(path))
			if err != nil {
				return err
			}
			out[filepath.ToSlash(dir)] = append(out[filepath.ToSlash(dir)], path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 10 {
		t.Fatalf("found only %d packages", len(out))
	}
	return out
}
