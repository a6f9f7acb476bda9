package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What can be read in one go: no file above 400 lines and no function above 50. Tests
// apart.
func TestPartsStaySmall(t *testing.T) {
	const (
		longestFile     = 400
		longestFunction = 50
	)
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
			if fn, ok := decl.(*ast.FuncDecl); ok {
				assert.LessOrEqual(t, line(fn.End())-line(fn.Pos())+1, longestFunction, "%s: %s", path, fn.Name.Name)
			}
		}
		return nil
	}))
	require.Greater(t, files, 100)
}

// A type whose methods fill more than a screen does several things: none has more than 40,
// those of what it embeds included.
func TestMethodSetsAreSmall(t *testing.T) {
	packages, err := compiled()
	require.NoError(t, err)
	var dirs []string
	for name := range packages {
		if dir, ours := strings.CutPrefix(name+"/", "holdbook/"); ours {
			dirs = append(dirs, filepath.Clean(dir))
		}
	}
	require.Greater(t, len(dirs), 15)
	for dir, p := range checked(t, dirs) {
		for _, name := range p.Scope().Names() {
			if o, is := p.Scope().Lookup(name).(*types.TypeName); is {
				n := types.NewMethodSet(types.NewPointer(o.Type())).Len()
				assert.LessOrEqual(t, n, 40, "%s.%s", dir, name)
			}
		}
	}
}
