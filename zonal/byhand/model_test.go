package byhand

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
	"holdbook/zonal"
)

// atticModel is a model of worked example 2 (house–attic 300, attic–outside 600,
// direct 1200 cfm at 50 Pa, n 0.65) with readings free of errors: as found,
// hatch opened, a 40 in² hole, and the attic nulled with a second fan.
func atticModel(t *testing.T) *zonal.Model {
	t.Helper()
	h := equalExponents(300, 600, 1200)
	e := exact()
	hole := Hole{Area: 40 * squareInch}
	known := zonal.Normal{Mean: 0.65}
	size := func(q float64) zonal.LogNormal { return zonal.LogNormal{Median: units.Flow(q * cfm), SDLn: 1.5} }
	m := &zonal.Model{
		Spaces: []zonal.Space{{Name: "house"}, {Name: "outside"}, {Name: "attic"}},
		Paths: []zonal.Path{{A: zonal.House, B: zonal.Outside, Flow50: size(1500), Exponent: known}, {A: zonal.House, B: 2, Flow50: size(300), Exponent: known},
			{A: 2, B: zonal.Outside, Flow50: size(2000), Exponent: known}},
		Openings:     []zonal.Opening{{Name: "hatch", A: zonal.House, B: 2, Flow50: size(3000)}, {Name: "hole", A: 2, B: zonal.House, Area: hole.Area, AreaSDLn: 0.03}},
		Calibrations: []zonal.Calibration{{Name: "fan", SDLn: 0.02}, {Name: "open", SDLn: 0.015}, {Name: "small", SDLn: 0.015}},
		CdSDLn:       0.05, Air: 1.204,
	}
	add := func(s State, opened []int, cal ...int) *zonal.Hold {
		m.Holds = append(m.Holds, zonal.Hold{Name: s.Name, House: s.House.Value, HouseSD: 0.1, Opened: opened,
			Fan:  &zonal.FlowReading{Flow: s.Fan.Value, SDLn: 0.003, Cal: cal},
			Read: []zonal.PressureReading{{Of: zonal.House, To: 2, Pressure: -s.ZoneToHouse.Value, SD: 0.1}}})
		return &m.Holds[len(m.Holds)-1]
	}
	add(h.state("as found", 50, -1, change{}), nil, 0, 1)
	add(h.state("hatch", 48, -1, change{HouseSide, 1000}), []int{0}, 0, 1)
	add(h.state("hole", 50, -1, change{HouseSide, hole.at50(t, e)}), []int{1}, 0, 2)
	for _, p := range []float64{0, 20} {
		s := onePressure(50, p, 0.1)
		cross := h.hz * share(p, 0.65)
		s.Fan = new(passes(units.Flow((h.direct+cross)*cfm), 0))
		second := add(s, nil, 0, 1)
		second.Fans = []zonal.FanSource{{From: 2, To: zonal.Outside, FlowReading: zonal.FlowReading{Flow: units.Flow((h.zo*share(50-p, 0.65) - cross) * cfm), SDLn: 0.003}}}
	}
	return m
}

// TestFindsItsHolds: each method is applied where the holds allow it, and
// returns the house.
func TestFindsItsHolds(t *testing.T) {
	found := Apply(atticModel(t), units.IP)
	var methods []string
	for _, f := range found {
		require.NoError(t, f.Err)
		if f.Series != nil {
			assert.InDelta(t, 0.5, float64(f.Series.Ratio.Value), 1e-6)
			assert.Equal(t, -1, f.Changed)
			continue
		}
		methods = append(methods, f.Result.Method)
		assert.InEpsilon(t, 300, inWhole(f.Result.HouseZone.Value), 1e-5, f.Result.Method)
	}
	assert.Equal(t, []string{"opened-door test, opened to the house", "opened-door test, opened to the house",
		"added-opening test, hole to the house", "two-fan null test", "two-fan step test"}, methods)
}

// TestCalibrations: a calibration that only one of two readings has widens
// their difference; one they share only scales the answer.
func TestCalibrations(t *testing.T) {
	width := func(m *zonal.Model) float64 {
		for _, f := range Apply(m, units.IP) {
			if f.Changed == 1 {
				require.NoError(t, f.Err)
				return math.Log(float64(f.Result.ZoneOutside.High / f.Result.ZoneOutside.Low))
			}
		}
		t.Fatal("no opened-door test")
		return 0
	}
	same, other := atticModel(t), atticModel(t)
	other.Holds[1].Fan.Cal = []int{0, 2}
	assert.Greater(t, width(other), 1.3*width(same))
}

// TestPassesOver: holds with anything else changed, and zones not read as
// found, give no hand answer; a change too small gives its error.
func TestPassesOver(t *testing.T) {
	m := atticModel(t)
	m.Holds[1].Sealed = []int{1}
	m.Holds[2].Opened = []int{0, 1}
	m.Holds[3].Fan, m.Holds[4].Fan = nil, nil
	found := Apply(m, units.SI)
	require.Len(t, found, 1)
	assert.NotNil(t, found[0].Series)

	m = atticModel(t)
	m.Holds[0].Read = nil
	assert.Empty(t, Apply(m, units.SI))

	m = atticModel(t)
	m.Holds[2].Read[0].Pressure = m.Holds[0].Read[0].Pressure + 1
	var small bool
	for _, f := range Apply(m, units.SI) {
		small = small || errors.Is(f.Err, ErrTooSmall)
	}
	assert.True(t, small)
	assert.Empty(t, Apply(&zonal.Model{}, units.SI))
}

// TestNamesNeighbours: a zone that touches another says so, and names it
// when it moved too.
func TestNamesNeighbours(t *testing.T) {
	m := atticModel(t)
	m.Spaces = append(m.Spaces, zonal.Space{Name: "garage"})
	m.Paths = append(m.Paths, zonal.Path{A: 3, B: 2, Flow50: m.Paths[0].Flow50, Exponent: m.Paths[0].Exponent})
	for h, p := range []units.Pressure{44, 40} {
		m.Holds[h].Read = append(m.Holds[h].Read, zonal.PressureReading{Of: 3, To: zonal.House, Pressure: p, SD: 0.3})
	}
	var notes []string
	for _, f := range Apply(m, units.IP) {
		if f.Result != nil {
			notes = append(notes, f.Result.Notes...)
		}
	}
	all := strings.Join(notes, "\n")
	assert.Contains(t, all, "the attic also touches the garage")
	assert.Contains(t, all, "coupled, upper estimate: the garage moved by")
}

// TestAveraged: repeated readings of one pressure are averaged by variance.
func TestAveraged(t *testing.T) {
	a := averaged(averaged(nil, pa(10, 1)), pa(13, 0.5))
	assert.InDelta(t, 12.4, float64(a.Value), 1e-12)
	assert.InDelta(t, math.Sqrt(0.2), float64(a.SD), 1e-12)
}

// Never worse than the hand method: as all errors go to zero the joint estimate
// agrees with the closed forms on the three worked examples to 0.1 %.
func TestZeroErrorAgreesWithTheHandMethods(t *testing.T) {
	for name, h := range map[string]triple{"garage": equalExponents(150, 600, 1350), "attic": equalExponents(300, 600, 1200), "crawlspace": equalExponents(600, 150, 1000)} {
		for _, to := range []Side{HouseSide, OutsideSide} {
			m := &zonal.Model{Spaces: make([]zonal.Space, 3), Air: 1.2041}
			for _, ends := range [][2]zonal.SpaceID{{zonal.House, 2}, {2, zonal.Outside}, {zonal.House, zonal.Outside}} {
				m.Paths = append(m.Paths, zonal.Path{A: ends[0], B: ends[1], Flow50: zonal.LogNormal{Median: 300 * cfm, SDLn: 1.5}, Exponent: zonal.Normal{Mean: 0.65}})
			}
			m.Openings = []zonal.Opening{{A: zonal.SpaceID(to - HouseSide), B: 2, Flow50: zonal.LogNormal{Median: 3000 * cfm, SDLn: 2}}}
			for k, s := range []State{h.state("as found", 50, -1, change{}), h.state("opened", 50, -1, change{to, 400})} {
				m.Holds = append(m.Holds, zonal.Hold{House: s.House.Value, HouseSD: 1e-5, Opened: make([]int, k),
					Fan:  &zonal.FlowReading{Flow: s.Fan.Value, SDLn: 1e-6},
					Read: []zonal.PressureReading{{Of: 2, To: zonal.House, Pressure: s.ZoneToHouse.Value, SD: 1e-5}}})
			}
			e, err := zonal.Solve(m, zonal.Options{})
			require.NoError(t, err)
			answered := 0
			for _, f := range Apply(m, units.IP) {
				if f.Result != nil {
					answered++
					assert.InEpsilon(t, float64(f.Result.HouseZone.Value), float64(e.Paths[0].Flow50.Value), 1e-3, name)
					assert.InEpsilon(t, float64(f.Result.ZoneOutside.Value), float64(e.Paths[1].Flow50.Value), 1e-3, name)
				}
			}
			assert.Equal(t, 1, answered, "%s, %s", name, to)
		}
	}
}
