//go:build unix

package files

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe that nobody writes to is refused, and not waited for.
func TestPipeIsNotWaitedFor(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "pipe.toml")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	done := make(chan error)
	go func() { _, err := Read(path, 10); done <- err }()
	select {
	case err := <-done:
		assert.ErrorIs(t, err, ErrNotPlain)
	case <-time.After(time.Minute):
		t.Fatal("it waits for a writer")
	}
	_, err := Read(os.DevNull, 10)
	assert.ErrorIs(t, err, ErrNotPlain)
	_, err = Read(folder, 10)
	assert.ErrorIs(t, err, ErrIsFolder)
}

// A file that another owns stays that other's, where the system lets us.
func TestOwnerIsKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o640))
	if os.Chown(path, 4321, 1234) != nil {
		t.Skip("only root gives files away")
	}
	require.NoError(t, os.Chmod(path, 0o640))
	require.NoError(t, Replace(path, []byte("new"), nil))
	info, err := os.Stat(path)
	require.NoError(t, err)
	s := info.Sys().(*syscall.Stat_t)
	assert.Equal(t, []uint32{4321, 1234}, []uint32{s.Uid, s.Gid})
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
}

// A link whose target is not there yet leads to it, as a shell's > does.
func TestLinkToNothingYet(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "far", "off"), 0o700))
	require.NoError(t, os.Symlink("far/off", filepath.Join(folder, "near")))
	require.NoError(t, os.Symlink("../report.txt", filepath.Join(folder, "far", "off", "second")))
	require.NoError(t, os.Symlink("near/second", filepath.Join(folder, "first")))
	require.NoError(t, Replace(filepath.Join(folder, "first"), []byte("x"), nil))
	got, err := os.ReadFile(filepath.Join(folder, "far", "report.txt"))
	require.NoError(t, err)
	assert.Equal(t, "x", string(got))
	for _, link := range []string{"first", "near", "far/off/second"} {
		info, err := os.Lstat(filepath.Join(folder, link))
		require.NoError(t, err)
		assert.NotZero(t, info.Mode()&os.ModeSymlink, link)
	}
	require.NoError(t, os.Symlink("loop", filepath.Join(folder, "loop")))
	assert.Error(t, Replace(filepath.Join(folder, "loop"), []byte("x"), nil))
}
