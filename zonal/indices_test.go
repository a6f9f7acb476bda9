package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// A model that names what it does not have is an error, wherever it does so.
func TestBadIndicesAreErrors(t *testing.T) {
	flow := FlowReading{Flow: 0.1, SDLn: 0.05}
	for name, spoil := range map[string]func(m *Model, h *Hold){
		"opening below":   func(m *Model, h *Hold) { h.Opened = []int{-1} },
		"opening above":   func(m *Model, h *Hold) { h.Opened = []int{len(m.Openings)} },
		"sealed":          func(m *Model, h *Hold) { h.Sealed = []int{len(m.Paths)} },
		"covered":         func(m *Model, h *Hold) { h.Covered = []int{-2} },
		"fan calibration": func(m *Model, h *Hold) { h.Fan = &FlowReading{Flow: 1, SDLn: 0.01, Cal: []int{len(m.Calibrations)}} },
		"pressure of": func(m *Model, h *Hold) {
			h.Read = append(h.Read, PressureReading{Of: 99, To: House, Pressure: 1, SD: 1})
		},
		"pressure to": func(m *Model, h *Hold) {
			h.Read = append(h.Read, PressureReading{Of: House, To: -1, Pressure: 1, SD: 1})
		},
		"path flow": func(m *Model, h *Hold) { h.Flows = []PathFlow{{Of: House, To: 99, FlowReading: flow}} },
		"fan from":  func(m *Model, h *Hold) { h.Fans = []FanSource{{From: 99, To: Outside, FlowReading: flow}} },
		"second fan's own": func(m *Model, h *Hold) {
			f := flow
			f.Cal = []int{-1}
			h.Fans = []FanSource{{From: House, To: Outside, FlowReading: f}}
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := testModel(rand.New(rand.NewPCG(1, 2)), 2, 2)
			spoil(m, &m.Holds[1])
			_, err := Infer(m, Options{CurvatureOnly: true})
			require.ErrorContains(t, err, "hold 1")
			require.Error(t, m.Check())
			assert.Equal(t, []int{0, 1}, m.HoldOrder())
		})
	}
}

// A number that no part of a model can have is an error that names the part.
func TestBadNumbersAreErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for want, spoil := range map[string]func(m *Model, v float64){
		"density of the air":          func(m *Model, v float64) { m.Air = units.Density(v) },
		"discharge coefficient":       func(m *Model, v float64) { m.CdSDLn = v },
		"calibration 0 (fan)":         func(m *Model, v float64) { m.Calibrations[0] = Calibration{"fan", v} },
		"path 0 (house–outside): the": func(m *Model, v float64) { m.Paths[0].Flow50.SDLn = v },
		"path 1":                      func(m *Model, v float64) { m.Paths[1].Exponent.SD = v },
		"path 2":                      func(m *Model, v float64) { m.Paths[2].Flow50.Median = units.Flow(v) },
		"opening 0":                   func(m *Model, v float64) { m.Openings[0].Flow50.SDLn = v },
		"opening 0 (slot)":            func(m *Model, v float64) { m.Openings[0] = Opening{Name: "slot", A: House, B: 2, Area: units.Area(v)} },
		"hold 0 (hold): the standard": func(m *Model, v float64) { m.Holds[0].HouseSD = units.Pressure(v) },
		"hold 0 (hold): the fan":      func(m *Model, v float64) { m.Holds[0].Fan.SDLn = v },
		"pressure reading 0: its":     func(m *Model, v float64) { m.Holds[0].Read[0].SD = units.Pressure(v) },
	} {
		for _, v := range []float64{-1, nan, inf, -inf} {
			m := testModel(rand.New(rand.NewPCG(1, 2)), 2, 2)
			require.NoError(t, m.Check())
			spoil(m, v)
			_, err := Infer(m, Options{CurvatureOnly: true})
			require.ErrorContains(t, err, want, "%g", v)
		}
	}
	m := testModel(rand.New(rand.NewPCG(1, 2)), 2, 2)
	m.Spaces[2].Name, m.Spaces[3].Name = "attic", " Attic"
	require.ErrorContains(t, m.Check(), `two zones are called " Attic"`)
	_, err := Infer(nil, Options{})
	require.ErrorContains(t, err, "there is no model")
	_, err = Infer(&Model{}, Options{})
	require.ErrorContains(t, err, "start from NewModel")
}
