package zonal

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
