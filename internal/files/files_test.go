package files

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/gofrs/flock"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hidden are the hidden files in a folder.
func hidden(t *testing.T, folder string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			names = append(names, e.Name())
		}
	}
	return names
}

// Writers of one file do not meet: each writes beside it under a name of its own,
// and one of them is the last. Nothing is left.
func TestReplaceByMany(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"report.html", strings.Repeat("long", 62) + ".txt", strings.Repeat("家", 80)} {
		path := filepath.Join(folder, name)
		var all sync.WaitGroup
		for i := range 8 {
			all.Go(func() {
				for range 5 {
					Sweep(path)
					assert.NoError(t, Replace(path, []byte(strings.Repeat(fmt.Sprint(i), 1000)), nil))
				}
			})
		}
		all.Wait()
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, strings.Repeat(string(got[:1]), 1000), string(got))
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.NotZero(t, info.Mode().Perm()&0o200)
	}
	assert.Empty(t, hidden(t, folder))
}

// What a writer that was killed has left is swept, what one still has in hand and
// what belongs to other files is not.
func TestSweep(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "house.toml")
	for _, name := range []string{".holdbook-house.toml-17", ".holdbook-house.toml-17b", ".holdbook-other.toml-17", ".house.toml.walk"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte("x"), 0o600))
	}
	mine, err := newTemporary(path, nil)
	require.NoError(t, err)
	Sweep(path)
	assert.ElementsMatch(t, []string{".holdbook-house.toml-17b", ".holdbook-other.toml-17", ".house.toml.walk", filepath.Base(mine.name)}, hidden(t, folder))
	mine.drop()
	assert.NotContains(t, hidden(t, folder), filepath.Base(mine.name))
}

// A file that has lost its name between being made and being locked is not used.
func TestTemporaryThatWasSwept(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("an open file keeps its name there")
	}
	f, err := os.CreateTemp(t.TempDir(), "x")
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, os.Remove(f.Name()))
	assert.False(t, (&temporary{file: f, name: f.Name()}).hold())
}

func TestCreateRefusesWhatIsThere(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	require.NoError(t, Create(path, []byte("first")))
	assert.ErrorIs(t, Create(path, []byte("second")), fs.ErrExist)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "first", string(got))
	assert.ErrorIs(t, Create(filepath.Join(folder, "none", "a"), nil), fs.ErrNotExist)
	assert.Empty(t, hidden(t, folder))
	if os.Symlink("nowhere", filepath.Join(folder, "link")) == nil {
		assert.ErrorIs(t, Create(filepath.Join(folder, "link"), nil), fs.ErrExist)
	}
}

// Of many who make one file at once, one does.
func TestCreateByMany(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	var made [8]error
	var all sync.WaitGroup
	for i := range made {
		all.Go(func() { made[i] = Create(path, []byte(strings.Repeat(fmt.Sprint(i), 1000))) })
	}
	all.Wait()
	first := -1
	for i, err := range made {
		if err == nil {
			assert.Negative(t, first, "two made it")
			first = i
		} else {
			assert.ErrorIs(t, err, fs.ErrExist)
		}
	}
	require.GreaterOrEqual(t, first, 0)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, strings.Repeat(fmt.Sprint(first), 1000), string(got))
}

// The last question is asked when the new text is on disk, and its error leaves
// the file as it was.
func TestReplaceAsksLast(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	err := Replace(path, []byte("new"), func() error {
		left := hidden(t, folder)
		require.Len(t, left, 1)
		beside, err := os.ReadFile(filepath.Join(folder, left[0]))
		require.NoError(t, err)
		assert.Equal(t, "new", string(beside))
		return fs.ErrInvalid
	})
	assert.ErrorIs(t, err, fs.ErrInvalid)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "old", string(got))
	assert.Empty(t, hidden(t, folder))
}

func TestLock(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a")
	first, err := TakeLock(path, ".walk")
	require.NoError(t, err)
	_, err = TakeLock(path, ".walk")
	var held *HeldError
	require.ErrorAs(t, err, &held)
	assert.Contains(t, held.By, fmt.Sprint("process ", os.Getpid()))
	other, err := TakeLock(path, ".batch")
	require.NoError(t, err)
	other.Release()
	first.Release()
	assert.Empty(t, hidden(t, folder))
	// What a killed process leaves behind does no harm, and is not taken for its lock.
	require.NoError(t, os.WriteFile(filepath.Join(folder, ".a.walk"), []byte("\x00process 1 since 00:00"), 0o444))
	again, err := TakeLock(path, ".walk")
	require.NoError(t, err)
	again.Release()
	assert.Empty(t, hidden(t, folder))
}

// Names that start alike and are long have a lock each.
func TestLockOfLongNames(t *testing.T) {
	folder := t.TempDir()
	for _, end := range []string{"a", "b"} {
		l, err := TakeLock(filepath.Join(folder, strings.Repeat("家", 80)+end), ".walk")
		require.NoError(t, err)
		defer l.Release()
	}
}

// A lock on a file that has lost its name is none: whoever asks next gets one on
// the file that then has it.
func TestLockThatLostItsName(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("an open file keeps its name there")
	}
	path := filepath.Join(t.TempDir(), "lock")
	l := flock.New(path)
	mine, err := l.TryLock()
	require.NoError(t, err)
	require.True(t, mine)
	defer l.Unlock()
	assert.True(t, named(l, path))
	require.NoError(t, os.Remove(path))
	assert.False(t, named(l, path))
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	assert.False(t, named(l, path), "another file has the name now")
}

// What a killed writer of this sheet has left is swept, and nothing else is.
func TestSweepTakesOnlyItsOwn(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"house.toml", ".holdbook-house.toml-123456", ".holdbook-house.toml-12x", ".holdbook-other.toml-123", "house.toml-1", ".holdbook-house.toml.walk"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), nil, 0o644))
	}
	Sweep(filepath.Join(folder, "house.toml"))
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	var left []string
	for _, e := range entries {
		left = append(left, e.Name())
	}
	assert.ElementsMatch(t, []string{"house.toml", ".holdbook-house.toml-12x", ".holdbook-other.toml-123", "house.toml-1", ".holdbook-house.toml.walk"}, left)
}
