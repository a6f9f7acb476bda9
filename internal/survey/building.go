package survey

import (
	"holdbook/internal/sheet"
	"holdbook/units"
)

// Building is what the sheet states of the house, for who takes the results further.
type Building struct {
	Volume       *Stated `json:"volume,omitempty"`
	FloorArea    *Stated `json:"floor_area,omitempty"`
	EnvelopeArea *Stated `json:"envelope_area,omitempty"`
	Height       *Stated `json:"height,omitempty"`
	Storeys      float64 `json:"storeys,omitempty" jsonschema:"minimum=0"`
	Bedrooms     *int    `json:"bedrooms,omitempty" jsonschema:"minimum=0"`
	Altitude     *Stated `json:"altitude,omitempty"`
	Indoor       *Stated `json:"indoor,omitempty"`
	Outdoor      *Stated `json:"outdoor,omitempty"`
	// ExteriorShare is the share of the envelope that faces outdoors.
	ExteriorShare float64 `json:"exterior_share,omitempty" jsonschema:"minimum=0,maximum=1"`
	// VentilationFan is the flow of outdoor air of the fan there is.
	VentilationFan *Stated `json:"ventilation_fan,omitempty"`
	// Balanced says that the ventilation fan supplies as much as it takes out.
	Balanced bool `json:"ventilation_balanced,omitempty"`
}

// Stated is a number that the sheet states.
type Stated struct {
	Value float64    `json:"value" in:"Unit"`
	Unit  units.Unit `json:"unit"`
}

// buildingOf is what the sheet states of the house; nil where that is nothing.
func buildingOf(c *Case) *Building {
	h := c.Sheet.House
	b := Building{Volume: stated(h.Volume, units.CubicMetre), FloorArea: stated(h.FloorArea, units.SquareMetreOfFloor),
		EnvelopeArea: stated(h.EnvelopeArea, units.SquareMetreOfFloor), Height: stated(h.Height, units.Metre),
		Storeys: float64(h.Storeys.Or(0)), Altitude: stated(h.Altitude, units.Metre), Indoor: stated(h.Indoor, units.Kelvin),
		Outdoor: stated(h.Outdoor, units.Kelvin), ExteriorShare: float64(h.ExteriorShare.Or(0))}
	if h.Bedrooms.Given {
		n := int(h.Bedrooms.Value)
		b.Bedrooms = &n
	}
	if v := c.Sheet.Ventilation; v != nil {
		b.VentilationFan, b.Balanced = stated(v.Flow, units.CubicMetrePerSecond), v.Balanced.Value
	}
	if b == (Building{}) {
		return nil
	}
	return &b
}

// stated is a quantity of the sheet in the SI base u; nil where it is not given.
func stated[Q ~float64](q sheet.Quantity[Q], u units.Unit) *Stated {
	if !q.Given {
		return nil
	}
	return &Stated{float64(q.Value), u}
}

// flagOf is a flag of the sheet; nil where it is not given.
func flagOf(f sheet.Flag) *bool {
	if !f.Given {
		return nil
	}
	return &f.Value
}
