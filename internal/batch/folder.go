package batch

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"holdbook/internal/files"
)

// Folder takes a file for each sheet of a batch.
type Folder struct {
	path, ending string
	mark         []byte
	taken        map[string]bool // names, in small letters: some systems tell no others apart
}

// OpenFolder is a folder for files of an ending, made if it is not there. Of the files
// that it holds already only those are replaced that begin with the mark: others are
// somebody's, perhaps the sheets themselves.
func OpenFolder(path, ending, mark string) (*Folder, error) {
	if err := os.MkdirAll(path, 0o777); err != nil {
		return nil, fileFault(path, err)
	}
	return &Folder{path: path, ending: ending, mark: []byte(mark), taken: map[string]bool{}}, nil
}

// NotOursError tells of a file that is not replaced.
type NotOursError struct{ Path string }

func (e *NotOursError) Error() string {
	return e.Path + ": there is a file of this name that is no such document, and it is left as it is; move it, or name another folder"
}

// Write writes the file of a sheet, whole or not at all, and says where. The error is a
// NotOursError where another file has its name.
func (f *Folder) Write(sheet string, text []byte) (path string, err error) {
	path = filepath.Join(f.path, f.name(sheet))
	if err := f.free(path); err != nil {
		return "", err
	}
	files.Sweep(path)
	if err := files.Replace(path, text, nil); err != nil {
		return "", fileFault(path, err)
	}
	return path, nil
}

// markWithin is how far into a file its mark stands.
const markWithin = 200

// free tells whether a file may be written.
func (f *Folder) free(path string) error {
	old, err := files.Read(path, markWithin)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case errors.Is(err, files.ErrNotPlain), errors.Is(err, files.ErrIsFolder), err == nil && !bytes.Contains(old, f.mark):
		return &NotOursError{path}
	case err != nil:
		return fileFault(path, err)
	}
	return nil
}

// longestName leaves room below the 255 bytes that a name may have.
const longestName = 80

// name is the name of a sheet's file: that of the sheet, where it is safe on every
// system and not taken, else with what tells it from others.
func (f *Folder) name(sheet string) string {
	base := filepath.Base(filepath.ToSlash(sheet))
	base = strings.TrimSuffix(base[strings.LastIndexAny(base, `/\`)+1:], ending)
	safe := safeName(base)
	sum := sha256.Sum256([]byte(sheet))
	apart := fmt.Sprintf("%s-%x", safe, sum[:4])
	name := safe
	if safe != base {
		name = apart
	}
	for n := 2; f.taken[strings.ToLower(name)]; n++ {
		if name = apart; f.taken[strings.ToLower(name)] {
			name = fmt.Sprintf("%s-%d", apart, n)
		}
	}
	f.taken[strings.ToLower(name)] = true
	return name + f.ending
}

// devices are names that Windows has for something else, whatever their ending.
var devices = []string{"con", "prn", "aux", "nul", "conin$", "conout$"}

// safeName is a name with nothing in it that a system, a shell or a reader could take
// for more than a letter.
func safeName(base string) string {
	safe := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '_', r == '-':
			return r
		}
		return '-'
	}, base)
	safe = strings.Trim(safe, ".-")
	safe = safe[:min(len(safe), longestName)]
	stem, _, _ := strings.Cut(strings.ToLower(safe), ".")
	numbered := len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt"))
	if safe == "" || numbered || slices.Contains(devices, stem) {
		return strings.Trim("sheet-"+safe, "-")
	}
	return safe
}
