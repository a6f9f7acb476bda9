package sheet

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// ErrChanged says that a file is no longer what was read: somebody else wrote
// to it meanwhile.
var ErrChanged = errors.New("the file was changed by someone else meanwhile; nothing was written, read it again")

// Create writes a sheet to a new file and gives back what it reads as. It
// refuses to write over a file that exists.
func Create(path string, s *Sheet) (*Sheet, error) {
	data, err := Encode(s)
	if err != nil {
		return nil, err
	}
	return CreateText(path, data)
}

// CreateText writes the text of a sheet to a new file, as Create does.
func CreateText(path string, data []byte) (*Sheet, error) {
	written, err := ParseFile(data, path)
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return nil, &FileError{path, "a file of this name exists; choose another name", err}
	}
	if err != nil {
		return nil, creating(path, err)
	}
	if err := writeSynced(f, data); err != nil {
		os.Remove(path)
		return nil, opening(path, err)
	}
	return written, syncFolder(filepath.Dir(path))
}

func creating(path string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &FileError{path, "there is no such folder; make it first", err}
	}
	return opening(path, err)
}

// Append adds a [[hold]] at the end of the file that s was read from, and
// gives back the sheet as it now reads. What stands in the file is not
// touched.
func (s *Sheet) Append(h Hold) (*Sheet, error) {
	return s.AppendText("\n" + EncodeHold(h, s.Job.PrintUnits()))
}

// AppendText adds lines at the end of the file that s was read from: blocks,
// further keys of the last block, or comments. It writes as Edit does.
func (s *Sheet) AppendText(text string) (*Sheet, error) {
	return s.Edit(func(old []byte) []byte { return join(old, text) })
}

// Edit changes the text of the file that s was read from, and gives back the
// sheet as it now reads. The file is replaced in one step, so that it is whole
// at any moment, and is on disk when Edit returns. The file stays as it was,
// and the error says why, when it was changed since s was read (ErrChanged),
// when it would no longer be a good sheet (Problems), or when it cannot be
// written.
func (s *Sheet) Edit(change func(old []byte) []byte) (*Sheet, error) {
	path, err := filepath.EvalSymlinks(s.File)
	if err != nil {
		return nil, opening(s.File, err)
	}
	old, err := s.unchanged(path)
	if err != nil {
		return nil, err
	}
	data := change(old)
	after, err := parse(data, s.File, s.folder)
	if err != nil {
		return nil, err
	}
	if err := s.replace(path, data); err != nil {
		return nil, err
	}
	return after, nil
}

// unchanged reads the file again and refuses when it is not as it was.
func (s *Sheet) unchanged(path string) ([]byte, error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0) // a file that may not be written is refused here
	if err != nil {
		return nil, opening(s.File, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MaxSize+1))
	if err != nil {
		return nil, opening(s.File, err)
	}
	if sha256.Sum256(data) != s.digest {
		return nil, &FileError{s.File, ErrChanged.Error(), ErrChanged}
	}
	return data, nil
}

// join puts text after what stands, on a line of its own and with the line
// ends of the file.
func join(old []byte, text string) []byte {
	data := bytes.Clone(old)
	if len(data) > 0 && data[len(data)-1] != '\n' {
		text = "\n" + text
	}
	if !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	if bytes.Contains(old, []byte("\r\n")) {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return append(data, text...)
}

// replace writes data beside the file and puts it in the file's place.
func (s *Sheet) replace(path string, data []byte) error {
	info, err := os.Stat(path)
	if err != nil {
		return opening(s.File, err)
	}
	temp, err := os.CreateTemp(filepath.Dir(path), besidePrefix(path)+"*")
	if errors.Is(err, fs.ErrPermission) {
		return &FileError{s.File, "its folder may not be written to; check the folder's permissions, or copy the sheet elsewhere", err}
	}
	if err != nil {
		return opening(s.File, err)
	}
	defer os.Remove(temp.Name()) // fails once it has taken the file's place
	err = errors.Join(temp.Chmod(info.Mode().Perm()), writeSynced(temp, data))
	if err != nil {
		return opening(s.File, err)
	}
	if _, err := s.unchanged(path); err != nil {
		return err
	}
	if err := os.Rename(temp.Name(), path); err != nil {
		return opening(s.File, err)
	}
	return syncFolder(filepath.Dir(path))
}

// besidePrefix begins the names of the files that are to take a file's place.
func besidePrefix(path string) string {
	base := []rune(filepath.Base(path))
	return ".holdbook-" + string(base[:min(len(base), 50)]) + "-"
}

// Sweep removes what writers of a sheet that were killed have left beside it.
// Only who alone writes to the sheet may call it.
func Sweep(path string) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return // nothing depends on it
	}
	for _, e := range entries {
		if rest, ok := strings.CutPrefix(e.Name(), besidePrefix(path)); ok && strings.Trim(rest, "0123456789") == "" {
			os.Remove(filepath.Join(filepath.Dir(path), e.Name()))
		}
	}
}

// writeSynced writes and closes a file whose bytes are then on disk.
func writeSynced(f *os.File, data []byte) error {
	_, err := f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// syncFolder makes a new name in a folder last. Windows has no such call, and
// does not need it.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return opening(path, err)
	}
	err = f.Sync()
	return errors.Join(err, f.Close())
}
