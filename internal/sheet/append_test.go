package sheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// At no moment does a new sheet stand there empty or in part: a process that is
// killed, or a computer that loses its power, leaves it whole or not at all.
func TestCreateIsWholeAtAnyMoment(t *testing.T) {
	text := []byte("sheet = 1\n" + strings.Repeat("# a line of a long sheet\n", 40_000))
	require.Less(t, len(text), MaxSize)
	folder := t.TempDir()
	path := filepath.Join(folder, "new.toml")
	for range 40 {
		done, seen := make(chan struct{}), make(chan int, 1)
		go func() {
			for {
				if info, err := os.Stat(path); err == nil {
					seen <- int(info.Size())
					return
				}
				select {
				case <-done:
					seen <- -1
					return
				default:
				}
			}
		}()
		_, err := CreateText(path, text)
		require.NoError(t, err)
		size := <-seen
		close(done)
		require.Equal(t, len(text), size, "bytes that stood there when the name first did")
		require.NoError(t, os.Remove(path))
	}
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left)
}

// A second name of a sheet would keep the old readings: nothing is written then.
func TestEditRefusesAHardLink(t *testing.T) {
	folder := t.TempDir()
	path, other := filepath.Join(folder, "a.toml"), filepath.Join(folder, "b.toml")
	s, err := CreateText(path, []byte("sheet = 1\n"))
	require.NoError(t, err)
	if os.Link(path, other) != nil {
		t.Skip("no hard links here")
	}
	_, err = s.AppendText("# more\n")
	require.ErrorIs(t, err, ErrLinked)
	assert.Contains(t, err.Error(), "copy the sheet to a file of its own")
	for _, name := range []string{path, other} {
		got, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, "sheet = 1\n", string(got))
	}
	require.NoError(t, os.Remove(other))
	_, err = s.AppendText("# more\n")
	require.NoError(t, err)
}
