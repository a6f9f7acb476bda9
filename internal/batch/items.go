package batch

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"holdbook/internal/files"
	"holdbook/internal/sheet"
)

// ending is that of the sheets looked for in folders.
const ending = ".toml"

// Stdin is the path that stands for the lines of standard input.
const Stdin = "-"

// Items are the sheets that paths stand for: a file is a sheet, a folder all
// files in it and below it that end in .toml, in the order of their names, a
// pattern (* ? [ ]) what it matches, and "-" the lines of in; see Lines in
// lines.go. A path that cannot be used is an item with an error.
func Items(paths []string, in io.Reader) iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for _, p := range paths {
			each := fromPath
			if p == Stdin {
				each = func(_ string, yield func(Item) bool) bool { return fromLines(in, yield) }
			}
			if !each(p, yield) {
				return
			}
		}
	}
}

// fromPath yields what one path stands for, and says whether more is wanted.
func fromPath(path string, yield func(Item) bool) bool {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return fromFolder(path, yield)
	case err == nil:
		return yield(file(path))
	}
	found, bad := filepath.Glob(path)
	if bad != nil || len(found) == 0 {
		return yield(file(path)) // which says that there is none
	}
	slices.Sort(found)
	for _, f := range found {
		if !fromPath(f, yield) {
			return false
		}
	}
	return true
}

// fromFolder yields the sheets in a folder and below it. A folder without any is
// an error: it is most likely another one that was meant.
func fromFolder(folder string, yield func(Item) bool) bool {
	none, more := true, true
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error { // its errors are yielded
		switch {
		case err != nil:
			more = yield(Item{Name: path, Err: fileFault(path, err)})
		case d.IsDir() || !strings.EqualFold(filepath.Ext(path), ending):
			return nil
		default:
			more = yield(file(path))
		}
		none = false
		if !more {
			return fs.SkipAll
		}
		return nil
	})
	if none {
		return yield(Item{Name: folder, Err: fmt.Errorf("%s: no file in this folder ends in %s", folder, ending)})
	}
	return more
}

// file is the sheet in a file, which must be a plain one: a pipe in a folder would
// be waited for without end.
func file(path string) Item {
	return Item{Name: path, File: true, Load: func() ([]byte, error) {
		// one byte more than is accepted, so that the reader says what is wrong
		text, err := files.Read(path, sheet.MaxSize+1)
		if err != nil {
			return nil, fileFault(path, err)
		}
		return text, nil
	}}
}

// fileFault says what keeps a file from being read.
func fileFault(path string, err error) error {
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file; check its name and folder", path)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s: you may not read this file; check its permissions", path)
	case errors.As(err, &pe):
		err = pe.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// Count says how many items paths stand for, without reading a sheet; ok is false
// when that cannot be known beforehand.
func Count(paths []string) (n int, ok bool) {
	if slices.Contains(paths, Stdin) {
		return 0, false
	}
	for range Items(paths, nil) {
		n++
	}
	return n, true
}
