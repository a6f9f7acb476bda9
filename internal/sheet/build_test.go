package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A sheet made key by key reads as the one that was typed.
func TestSet(t *testing.T) {
	var s Sheet
	for _, set := range [][]string{
		{"si", "job", "units"}, {"true", "job", "invented"}, {"2026-03-14", "job", "date"},
		{"2", "house", "storeys"}, {"92 %", "house", "exterior_share"}, {"1 % or 0.25 Pa", "gauge", "pressure"},
		{"as found", "hold", "1", "name"}, {"-50 Pa", "hold", "1", "house"}, {"44 Pa", "hold", "1", "to_house", "north.attic"},
		{"house, garage", "hold", "2", "sealed", "1", "between"}, {"1180 cfm", "air_handler", "flow"},
		{"north.attic", "zone", "1", "name"}, {"house, outside", "zone", "1", "touches"}, {"walls, ceiling", "zone", "1", "insulated"},
	} {
		require.NoError(t, s.Set(set[0], set[1:]...), set)
	}
	assert.Equal(t, `sheet = 1

[job]
date = 2026-03-14
units = "si"
invented = true

[house]
storeys = 2
exterior_share = 0.92

[gauge]
pressure = "1 % or 0.25 Pa"

[[zone]]
name = "north.attic"
touches = ["house", "outside"]
insulated = ["walls", "ceiling"]

[[hold]]
name = "as found"
house = "-50 Pa"
to_house = { "north.attic" = "44 Pa" }

[[hold]]
sealed = [{ between = ["house", "garage"] }]

[air_handler]
flow = "1180 cfm"
`, string(Draft(&s)))
}

// What a file could not say cannot be set: the error is the key with what is wrong.
func TestSetRefuses(t *testing.T) {
	var s Sheet
	for _, c := range [][]string{
		{`fan = "0 cfm": fan must be above zero; leave it out when it was not read`, "0 cfm", "hold", "1", "fan"},
		{`attic = "9000 Pa": "9000 Pa": more than any house shows; check the number and its unit`, "9000 Pa", "hold", "1", "to_house", "attic"},
		{`method = "both": method cannot be "both"; write "total" or "outside"`, "both", "duct_test", "1", "method"},
		{`between = "house": between names two spaces; write between = ["house", "attic"]`, "house", "path", "1", "between"},
		{`too many [[zone]] tables; there may be 100`, "attic", "zone", "101", "name"},
	} {
		assert.EqualError(t, s.Set(c[1], c[2:]...), c[0])
	}
	for _, path := range [][]string{{"hold", "1", "huose"}, {"house"}, {}} {
		assert.Panics(t, func() { _ = s.Set("50 Pa", path...) }, path)
	}
}
