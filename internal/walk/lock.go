package walk

import (
	"errors"
	"io/fs"
	"strings"

	"holdbook/internal/files"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// TakeLock keeps a second walk away from the sheet in a file.
func TakeLock(path string) (*files.Lock, error) {
	l, err := files.TakeLock(path, ".walk")
	if err == nil {
		return l, nil
	}
	why := "it cannot be locked against a second walk: " + plain(err)
	if held := (*files.HeldError)(nil); errors.As(err, &held) {
		why = strings.TrimSpace("another walk has this sheet open "+units.SanitizeTo(held.By, 60)) + "; go on there, or stop it first"
	} else if errors.Is(err, fs.ErrPermission) {
		why = "its folder may not be written to, so nothing could be kept; check the folder's permissions, or copy the sheet elsewhere"
	}
	return nil, &sheet.FileError{File: path, Why: why, Err: err}
}

// plain is an error of the system without the path it names.
func plain(err error) string {
	if pe := (*fs.PathError)(nil); errors.As(err, &pe) {
		err = pe.Err
	}
	return err.Error()
}
