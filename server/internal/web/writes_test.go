package web_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// reads are what of the store may be asked past the caller; what is not here
// counts as a write.
var reads = []string{"View", "Unreadable", "Size", "Refused", "InPlace"}

// mayWrite are the functions that write by themselves: the two that ask again, in
// the transaction, whether the caller still may, and the look whether the disk
// takes writes again, on nobody's behalf.
var mayWrite = []string{"transport/call.go Update", "transport/call.go UpdateShared", "transport/health.go diskRefuses"}

// Nothing of the HTTP face writes to the store but through [transport.Call]: a
// device that is revoked, or a person who left, while a request runs changes
// nothing any more. That a room has no store to write to is the type's doing; this
// finds the detours.
func TestNothingWritesPastTheCaller(t *testing.T) {
	t.Parallel()
	files := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		for _, at := range detours(t, filepath.ToSlash(path), nil) {
			t.Error(at)
		}
		return nil
	})
	if err != nil || files < 50 {
		t.Fatalf("looked at %d files: %v", files, err)
	}
	for _, bad := range []string{
		"func f(c *call) { c.Srv.Intake.DB.Update(nil) }", "func f(db *store.DB) { db.WriteFirst(nil) }", "func f() { store.Open() }",
	} {
		if len(detours(t, "clinic/x.go", "package clinic\n"+bad)) == 0 {
			t.Errorf("not found: %s", bad)
		}
	}
	if len(detours(t, "transport/x.go", "package transport\nfunc f(s *Server) { s.db.Write(nil) }")) == 0 {
		t.Error("not found: a write in transport")
	}
}

// detours returns where a file reaches for the store in another way than it may.
func detours(t *testing.T, path string, src any) (found []string) {
	t.Helper()
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, path, src, 0)
	if err != nil {
		t.Fatal(err)
	}
	inTransport, assembles := strings.HasPrefix(path, "transport/"), path == "web.go"
	for _, decl := range f.Decls {
		fn, _ := decl.(*ast.FuncDecl)
		ast.Inspect(decl, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			of, _ := s.X.(*ast.Ident)
			fromStore := of != nil && of.Name == "store" && (s.Sel.Name == "DB" || s.Sel.Name == "Open")
			if inner, ok := s.X.(*ast.SelectorExpr); ok && inner.Sel.Name == "db" && !slices.Contains(reads, s.Sel.Name) {
				if fn == nil || !slices.Contains(mayWrite, path+" "+fn.Name.Name) {
					found = append(found, set.Position(s.Pos()).String()+": db."+s.Sel.Name+" writes past the caller")
				}
			}
			if !assembles && (s.Sel.Name == "DB" || fromStore) && (!inTransport || !fromStore) {
				found = append(found, set.Position(s.Pos()).String()+": a room has no store of its own")
			}
			return true
		})
	}
	return found
}
