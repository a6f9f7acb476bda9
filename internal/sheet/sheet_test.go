package sheet

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sheets = "../../testdata/sheets"

func mustRead(t *testing.T, name string) *Sheet {
	t.Helper()
	s, err := Read(filepath.Join(sheets, name))
	require.NoError(t, err)
	return s
}

func mustParse(t *testing.T, text string) *Sheet {
	t.Helper()
	s, err := Parse([]byte(text), "test.toml")
	require.NoError(t, err)
	return s
}

func TestShortest(t *testing.T) {
	s := mustRead(t, "shortest.toml")
	require.Len(t, s.Zones, 1)
	assert.Equal(t, "attic", s.Zones[0].Name.Value)
	assert.Equal(t, Attic, s.Zones[0].Kind)
	assert.True(t, s.Zones[0].Implied)
	assert.True(t, s.Zones[0].IsVented())
	require.Len(t, s.Holds, 1)
	h := s.Holds[0]
	assert.InDelta(t, 50, float64(h.House.Value), 1e-12)
	assert.False(t, h.House.Signed())
	assert.Equal(t, Pos{3, 9}, h.House.Pos)
	require.Len(t, h.Readings, 1)
	assert.Equal(t, "attic", h.Readings[0].Of.Name)
	assert.Equal(t, HouseName, h.Readings[0].To.Name)
	assert.Equal(t, Pos{4, 22}, h.Readings[0].Pressure.Pos)
	assert.True(t, h.AsFound())
	assert.True(t, h.Finished())
	_, ok := s.BaselineHold(0)
	assert.False(t, ok)
}

func BenchmarkParseFull(b *testing.B) {
	data, err := os.ReadFile(filepath.Join(sheets, "full.toml"))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(data, "full.toml"); err != nil {
			b.Fatal(err)
		}
	}
}

func TestFullReads(t *testing.T) {
	s := mustRead(t, "full.toml")
	out, err := Encode(s)
	require.NoError(t, err)
	t.Log(string(out))
}
