package zonal

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// handHouse is a model of worked example 2 (house–attic 300, attic–outside 600,
// direct 1200 cfm at 50 Pa, n 0.65) with readings free of errors: as found,
// hatch opened, a 40 in² hole, and the attic nulled with a second fan.
func handHouse(t *testing.T) *Model {
	t.Helper()
	h := equalExponents(300, 600, 1200)
	e := exact()
	hole := Hole{Area: 40 * squareInch}
	known := Normal{Mean: 0.65}
	size := func(q float64) LogNormal { return LogNormal{units.Flow(q * cfm), 1.5} }
	m := &Model{
		Spaces: []Space{{Name: "house"}, {Name: "outside"}, {Name: "attic"}},
		Paths: []Path{{A: House, B: Outside, Flow50: size(1500), Exponent: known}, {A: House, B: 2, Flow50: size(300), Exponent: known},
			{A: 2, B: Outside, Flow50: size(2000), Exponent: known}},
		Openings:     []Opening{{Name: "hatch", A: House, B: 2, Flow50: size(3000)}, {Name: "hole", A: 2, B: House, Area: hole.Area, AreaSDLn: 0.03}},
		Calibrations: []Calibration{{"fan", 0.02}, {"open", 0.015}, {"small", 0.015}},
		CdSDLn:       0.05, Air: 1.204,
	}
	add := func(s HandState, opened []int, cal ...int) *Hold {
		m.Holds = append(m.Holds, Hold{Name: s.Name, House: s.House.Value, HouseSD: 0.1, Opened: opened,
			Fan:  &FlowReading{Flow: s.Fan.Value, SDLn: 0.003, Cal: cal},
			Read: []PressureReading{{Of: House, To: 2, Pressure: -s.ZoneToHouse.Value, SD: 0.1}}})
		return &m.Holds[len(m.Holds)-1]
	}
	add(h.state("as found", 50, -1, change{}), nil, 0, 1)
	add(h.state("hatch", 48, -1, change{HouseSide, 1000}), []int{0}, 0, 1)
	add(h.state("hole", 50, -1, change{HouseSide, hole.at50(t, e)}), []int{1}, 0, 2)
	for _, p := range []float64{0, 20} {
		s := onePressure(50, p, 0.1)
		cross := h.hz * share(p, 0.65)
		s.Fan = &HandFlow{Value: units.Flow((h.direct + cross) * cfm)}
		second := add(s, nil, 0, 1)
		second.Fans = []FanSource{{From: 2, To: Outside, FlowReading: FlowReading{Flow: units.Flow((h.zo*share(50-p, 0.65) - cross) * cfm), SDLn: 0.003}}}
	}
	return m
}

// TestHandFindsItsHolds: each method is applied where the holds allow it, and
// returns the house.
func TestHandFindsItsHolds(t *testing.T) {
	found := Hand(handHouse(t), units.IP)
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

// TestHandCalibrations: a calibration that only one of two readings has widens
// their difference; one they share only scales the answer.
func TestHandCalibrations(t *testing.T) {
	width := func(m *Model) float64 {
		for _, f := range Hand(m, units.IP) {
			if f.Changed == 1 {
				require.NoError(t, f.Err)
				return math.Log(float64(f.Result.ZoneOutside.High / f.Result.ZoneOutside.Low))
			}
		}
		t.Fatal("no opened-door test")
		return 0
	}
	same, other := handHouse(t), handHouse(t)
	other.Holds[1].Fan.Cal = []int{0, 2}
	assert.Greater(t, width(other), 1.3*width(same))
}

// TestHandPassesOver: holds with anything else changed, and zones not read as
// found, give no hand answer; a change too small gives its error.
func TestHandPassesOver(t *testing.T) {
	m := handHouse(t)
	m.Holds[1].Sealed = []int{1}
	m.Holds[2].Opened = []int{0, 1}
	m.Holds[3].Fan, m.Holds[4].Fan = nil, nil
	found := Hand(m, units.SI)
	require.Len(t, found, 1)
	assert.NotNil(t, found[0].Series)

	m = handHouse(t)
	m.Holds[0].Read = nil
	assert.Empty(t, Hand(m, units.SI))

	m = handHouse(t)
	m.Holds[2].Read[0].Pressure = m.Holds[0].Read[0].Pressure + 1
	var small bool
	for _, f := range Hand(m, units.SI) {
		small = small || errors.Is(f.Err, ErrTooSmall)
	}
	assert.True(t, small)
	assert.Empty(t, Hand(&Model{}, units.SI))
}

// TestHandNamesNeighbours: a zone that touches another says so, and names it
// when it moved too.
func TestHandNamesNeighbours(t *testing.T) {
	m := handHouse(t)
	m.Spaces = append(m.Spaces, Space{Name: "garage"})
	m.Paths = append(m.Paths, Path{A: 3, B: 2, Flow50: m.Paths[0].Flow50, Exponent: m.Paths[0].Exponent})
	for h, p := range []units.Pressure{44, 40} {
		m.Holds[h].Read = append(m.Holds[h].Read, PressureReading{Of: 3, To: House, Pressure: p, SD: 0.3})
	}
	var notes []string
	for _, f := range Hand(m, units.IP) {
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
	a := averaged(averaged(nil, HandPressure{10, 1}), HandPressure{13, 0.5})
	assert.InDelta(t, 12.4, float64(a.Value), 1e-12)
	assert.InDelta(t, math.Sqrt(0.2), float64(a.SD), 1e-12)
}
