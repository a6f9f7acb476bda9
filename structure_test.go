package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What can be read in one go: no file above 400 lines, no function above 50, and no type
// with more than 40 methods. Tests apart.
func TestPartsStaySmall(t *testing.T) {
	const (
		longestFile     = 400
		longestFunction = 50
		mostMethods     = 40
	)
	methods := map[string]int{}
	files := 0
	require.NoError(t, filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		line := func(p token.Pos) int { return set.Position(p).Line }
		assert.LessOrEqual(t, line(f.FileEnd), longestFile+1, path)
		for _, decl := range f.Decls {
			fn, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			assert.LessOrEqual(t, line(fn.End())-line(fn.Pos())+1, longestFunction, "%s: %s", path, fn.Name.Name)
			if fn.Recv != nil {
				methods[filepath.Dir(path)+" "+receiver(fn.Recv.List[0].Type)]++
			}
		}
		return nil
	}))
	require.Greater(t, files, 100)
	for name, n := range methods {
		assert.LessOrEqual(t, n, mostMethods, name)
	}
}

// receiver is the name of the type of a method.
func receiver(e ast.Expr) string {
	switch x := e.(type) {
	case *ast.StarExpr:
		return receiver(x.X)
	case *ast.IndexExpr:
		return receiver(x.X)
	case *ast.Ident:
		return x.Name
	}
	return ""
}
