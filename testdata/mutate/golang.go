package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// find returns every fault that can be put into the files of a folder.
func find(dir, only string) ([]fault, error) {
	var out []fault
	paths, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		return nil, err
	}
	for _, p := range paths {
		if only != "" && filepath.Base(p) != only || strings.HasSuffix(p, "_test.go") || strings.Contains(p, "/forge/") || strings.Contains(p, "/storetest/") || strings.Contains(p, "/scene/") {
			continue
		}
		raw, err := os.ReadFile(p)
		switch {
		case err != nil:
			continue // a folder
		case strings.HasSuffix(p, ".go"):
			more, err := inGo(p, raw)
			if err != nil {
				return nil, err
			}
			out = append(out, more...)
		case strings.HasSuffix(p, ".js") && strings.HasPrefix(dir, "pwa"):
			out = append(out, inJS(p, raw)...)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("nothing to change in %s", dir)
	}
	return out, nil
}

// swaps are the operators that a fault exchanges.
var swaps = map[token.Token]string{
	token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">", token.EQL: "!=", token.NEQ: "==",
	token.LAND: "||", token.LOR: "&&", token.ADD: "-", token.SUB: "+", token.MUL: "/",
}

// goFaults collects the faults of one file.
type goFaults struct {
	set  *token.FileSet
	path string
	raw  []byte
	out  []fault
}

func inGo(path string, raw []byte) ([]fault, error) {
	g := &goFaults{set: token.NewFileSet(), path: path, raw: raw}
	f, err := parser.ParseFile(g.set, path, raw, 0)
	if err != nil {
		return nil, err
	}
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil {
			ast.Inspect(fn.Body, g.look)
		} else if c, ok := d.(*ast.GenDecl); ok && c.Tok == token.CONST {
			ast.Inspect(c, g.look)
		}
	}
	return g.out, nil
}

// add puts text in place of what stands from one position to the other.
func (g *goFaults) add(from, to token.Pos, text string) {
	a, b := g.set.Position(from), g.set.Position(to)
	was := strings.Join(strings.Fields(string(g.raw[a.Offset:b.Offset])), " ")
	if len(was) > 60 {
		was = was[:60] + "…"
	}
	g.out = append(g.out, fault{g.path, a.Line, a.Offset, b.Offset, text, fmt.Sprintf("%q to %q", was, text)})
}

// look finds the faults at one node.
func (g *goFaults) look(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if to, ok := swaps[n.Op]; ok && !isText(n) {
			g.add(n.OpPos, n.OpPos+token.Pos(len(n.Op.String())), to)
		}
	case *ast.UnaryExpr:
		if n.Op == token.NOT {
			g.add(n.OpPos, n.OpPos+1, "")
		}
	case *ast.BasicLit:
		if v, err := strconv.ParseInt(n.Value, 0, 64); n.Kind == token.INT && err == nil {
			g.add(n.Pos(), n.End(), strconv.FormatInt(v+1, 10))
		}
	case *ast.IfStmt:
		g.add(n.Cond.Pos(), n.Cond.End(), "!("+string(g.raw[g.set.Position(n.Cond.Pos()).Offset:g.set.Position(n.Cond.End()).Offset])+")")
	case *ast.ExprStmt:
		if call, ok := n.X.(*ast.CallExpr); ok && !isPanic(call) {
			g.add(n.Pos(), n.End(), "_ = 0")
		}
	case *ast.AssignStmt:
		if n.Tok == token.ASSIGN && len(n.Lhs) == 1 {
			if _, plain := n.Lhs[0].(*ast.Ident); !plain {
				g.add(n.Pos(), n.TokPos+1, "_ =")
			}
		}
	case *ast.IncDecStmt:
		g.add(n.Pos(), n.End(), "_ = 0")
	case *ast.BranchStmt:
		if n.Label == nil && n.Tok != token.FALLTHROUGH {
			g.add(n.Pos(), n.End(), "_ = 0")
		}
	case *ast.ReturnStmt:
		g.lost(n)
	}
	return true
}

// lost makes a function forget its error.
func (g *goFaults) lost(n *ast.ReturnStmt) {
	if len(n.Results) == 0 {
		return
	}
	last := n.Results[len(n.Results)-1]
	switch x := last.(type) {
	case *ast.Ident:
		if x.Name == "err" {
			g.add(last.Pos(), last.End(), "nil")
		}
	case *ast.CallExpr:
		if f, ok := x.Fun.(*ast.SelectorExpr); ok && len(n.Results) == 1 && (f.Sel.Name == "Errorf" || f.Sel.Name == "Refuse" || f.Sel.Name == "New") {
			g.add(last.Pos(), last.End(), "nil")
		}
	}
}

func isPanic(c *ast.CallExpr) bool {
	f, ok := c.Fun.(*ast.Ident)
	return ok && f.Name == "panic"
}

// isText reports a sum of texts, which has no other sense.
func isText(b *ast.BinaryExpr) bool {
	for _, x := range []ast.Expr{b.X, b.Y} {
		if l, ok := x.(*ast.BasicLit); ok && l.Kind == token.STRING && b.Op == token.ADD {
			return true
		}
	}
	return false
}
