package sheet

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"

	"holdbook/internal/files"
)

// ErrChanged says that a file is no longer what was read: somebody else wrote
// to it meanwhile.
var ErrChanged = errors.New("the file was changed by someone else meanwhile; nothing was written, read it again")

// ErrLinked says that a file has a second name, which writing would leave behind
// with the old text.
var ErrLinked = errors.New("this file has a second name (a hard link), which would keep the old readings; copy the sheet to a file of its own, or remove the other name")

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
	switch err := files.Create(path, data); {
	case errors.Is(err, fs.ErrExist):
		return nil, &FileError{path, "a file of this name exists; choose another name", err}
	case errors.Is(err, fs.ErrNotExist):
		return nil, &FileError{path, "there is no such folder; make it first", err}
	case err != nil:
		return nil, writing(path, err)
	}
	return written, nil
}

// writing says in our words why a file could not be written.
func writing(path string, err error) error {
	if errors.Is(err, files.ErrFolder) {
		return &FileError{path, "its folder may not be written to; check the folder's permissions, or copy the sheet elsewhere", err}
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

// With is the sheet as it would read with lines added at its end; nothing is written.
func (s *Sheet) With(text string) (*Sheet, error) {
	return parse(join(s.text, text), s.File, s.folder)
}

// Edit changes the text of the file that s was read from, and gives back the
// sheet as it now reads. The file is replaced in one step, so that it is whole
// at any moment, and is on disk when Edit returns. The file stays as it was,
// and the error says why, when it was changed since s was read (ErrChanged),
// when it would no longer be a good sheet (Problems), or when it cannot be
// written.
func (s *Sheet) Edit(change func(old []byte) []byte) (*Sheet, error) {
	old, err := s.unchanged()
	if err != nil {
		return nil, err
	}
	data := change(old)
	after, err := parse(data, s.File, s.folder)
	if err != nil {
		return nil, err
	}
	again := func() error {
		_, err := s.unchanged()
		return err
	}
	if err := files.Replace(s.File, data, again); err != nil {
		return nil, writing(s.File, err)
	}
	return after, nil
}

// unchanged reads the file again and refuses when it is not as it was, or when
// replacing it would part it from another name that it has.
func (s *Sheet) unchanged() ([]byte, error) {
	f, err := files.Open(s.File, os.O_RDWR) // a file that may not be written is refused here
	if err != nil {
		return nil, opening(s.File, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MaxSize+1))
	if err != nil {
		return nil, opening(s.File, err)
	}
	if info, err := f.Stat(); err == nil && files.Links(info) > 1 {
		return nil, &FileError{s.File, ErrLinked.Error(), ErrLinked}
	}
	if !bytes.Equal(data, s.text) {
		return nil, &FileError{s.File, ErrChanged.Error(), ErrChanged}
	}
	return data, nil
}

// Lines is how many lines the text of s has.
func (s *Sheet) Lines() int {
	n := bytes.Count(s.text, []byte("\n"))
	if len(s.text) > 0 && !bytes.HasSuffix(s.text, []byte("\n")) {
		n++
	}
	return n
}

// Missing counts the lines of s that the file it was read from does not have any
// more. The error says why the file is no good sheet now.
func (s *Sheet) Missing() (lines int, err error) {
	now, err := Read(s.File)
	if err != nil {
		return 0, err
	}
	have := map[string]int{}
	for line := range bytes.Lines(now.text) {
		have[string(bytes.TrimSpace(line))]++
	}
	for line := range bytes.Lines(s.text) {
		key := string(bytes.TrimSpace(line))
		if have[key]--; have[key] < 0 && key != "" {
			lines++
		}
	}
	return lines, nil
}

// WriteCopy writes the text of s, as it was read or last written, to a new file.
func (s *Sheet) WriteCopy(path string) error {
	if err := files.Create(path, s.text); err != nil {
		return writing(path, err)
	}
	return nil
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
