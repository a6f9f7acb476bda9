package main

import (
	"go/ast"
	"go/build"
	"go/doc"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// physics are the packages that a program of its own can use.
var physics = []string{"units", "pressure", "zonal", "zonal/byhand", "ductleak"}

// compiled are the packages of this module and all that they import, each with the file
// in which the compiler keeps what it exports.
var compiled = sync.OnceValues(func() (map[string]string, error) {
	out, err := exec.Command("go", "list", "-export", "-deps", "-f", "{{.ImportPath}} {{.Export}}", "./...").Output()
	list := map[string]string{}
	for line := range strings.Lines(string(out)) {
		name, file, _ := strings.Cut(strings.TrimSpace(line), " ")
		list[name] = file
	}
	return list, err
})

// checked type-checks packages of this module from their source.
func checked(t *testing.T, dirs []string) map[string]*types.Package {
	t.Helper()
	exports, err := compiled()
	require.NoError(t, err)
	files := token.NewFileSet()
	conf := types.Config{Importer: importer.ForCompiler(files, "gc", func(name string) (io.ReadCloser, error) { return os.Open(exports[name]) })}
	list := map[string]*types.Package{}
	for _, dir := range dirs {
		found, err := build.ImportDir(dir, 0)
		require.NoError(t, err)
		var parsed []*ast.File
		for _, name := range found.GoFiles {
			f, err := parser.ParseFile(files, filepath.Join(dir, name), nil, parser.SkipObjectResolution)
			require.NoError(t, err)
			parsed = append(parsed, f)
		}
		p, err := conf.Check(path.Join("holdbook", dir), files, parsed, nil)
		require.NoError(t, err)
		list[dir] = p
	}
	return list
}

// What a physics package exports can be named by any program: no exported function,
// method, field, constant or variable mentions a type of an internal package.
func TestExportedTypesCanBeNamed(t *testing.T) {
	for dir, p := range checked(t, physics) {
		var all []string
		for _, name := range p.Scope().Names() {
			if o := p.Scope().Lookup(name); o.Exported() {
				all = append(all, internalIn(o)...)
			}
		}
		assert.Empty(t, all, dir)
	}
}

// internalIn lists where what an exported object shows is of an internal package.
func internalIn(o types.Object) (list []string) {
	seen := map[types.Type]bool{}
	var walk func(where string, v types.Type)
	object := func(where string, o types.Object) {
		if o.Exported() {
			walk(where+"."+o.Name(), o.Type())
		}
	}
	walk = func(where string, v types.Type) {
		if seen[v] {
			return
		}
		seen[v] = true
		switch v := v.(type) {
		case *types.Named:
			if p := v.Obj().Pkg(); p != nil && strings.Contains(p.Path()+"/", "/internal/") {
				list = append(list, where+" is of "+v.String())
			}
			for a := range v.TypeArgs().Types() {
				walk(where, a)
			}
		case *types.Signature:
			for _, part := range []*types.Tuple{v.Params(), v.Results()} {
				for x := range part.Variables() {
					walk(where, x.Type())
				}
			}
		case *types.Struct:
			for f := range v.Fields() {
				object(where, f)
			}
		case *types.Map:
			walk(where, v.Key())
			walk(where, v.Elem())
		case interface{ Elem() types.Type }: // pointer, slice, array, channel
			walk(where, v.Elem())
		case *types.Alias:
			walk(where, types.Unalias(v))
		}
	}
	walk(o.Name(), o.Type())
	if n, is := types.Unalias(o.Type()).(*types.Named); is && n.Obj() == o {
		walk(o.Name(), n.Underlying())
		for m := range n.Methods() {
			object(o.Name(), m)
		}
	}
	return list
}

// Every function and method that a program can call of a physics package is shown by an
// example whose output is checked.
func TestEveryFunctionHasAnExample(t *testing.T) {
	dirs := []string{"zonal", "zonal/byhand", "pressure", "ductleak"}
	packages := checked(t, dirs)
	for _, dir := range dirs {
		shown, scope := shownIn(t, dir), packages[dir].Scope()
		for _, name := range scope.Names() {
			switch o := scope.Lookup(name).(type) {
			case *types.Func:
				assert.True(t, !o.Exported() || shown[name], "%s.%s has no example", dir, name)
			case *types.TypeName:
				n, is := o.Type().(*types.Named)
				if !is || !o.Exported() {
					continue
				}
				for m := range n.Methods() {
					assert.True(t, !m.Exported() || shown[name+"_"+m.Name()], "%s.%s.%s has no example", dir, name, m.Name())
				}
			}
		}
	}
}

// shownIn are the names of a package's examples with an output.
func shownIn(t *testing.T, dir string) map[string]bool {
	files, shown := token.NewFileSet(), map[string]bool{}
	tests, err := filepath.Glob(filepath.Join(dir, "example*_test.go"))
	require.NoError(t, err)
	for _, name := range tests {
		f, err := parser.ParseFile(files, name, nil, parser.ParseComments)
		require.NoError(t, err)
		for _, e := range doc.Examples(f) {
			shown[e.Name] = shown[e.Name] || e.Output != "" || e.EmptyOutput
		}
	}
	return shown
}
