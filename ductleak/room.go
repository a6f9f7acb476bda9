package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// RoomReading is a room behind its closed door, air handler running, door fan
// off.
type RoomReading struct {
	Name     string
	Pressure units.Measured[units.Pressure] // room to the main body of the house, signed
	Flow     units.Measured[units.Flow]     // supply (or return) flow of the room; zero where not known
	Limit    units.Pressure                 // the pressure that must not be passed, a magnitude
}

// RoomResult is what the reading says.
type RoomResult struct {
	Reading RoomReading
	// Free is the free area of all openings that would keep the room at Limit,
	// and Extra what is lacking of it; both zero where the flow is not known.
	Free, Extra units.Estimate[units.Area]
	Above       bool // the reading is above the limit
}

// standardAir is the air that ratings of fans and heating equipment are for.
var standardAir = units.Density(units.PoundPerCubicFoot.ToSI(0.075))

// TransferArea is the free area that passes q at pressure p, sharp-edged:
// A = q / (Cd·√(2p/ρ)), Cd 0.60.
func TransferArea(q units.Flow, p units.Pressure, air units.Density) units.Area {
	return pressure.AreaReference{Pressure: p, Cd: pressure.SharpCd}.Area(q, air)
}

// TransferPressure is the inverse: the pressure across an opening of free area a.
func TransferPressure(q units.Flow, a units.Area, air units.Density) units.Pressure {
	v := float64(q) / (float64(pressure.SharpCd) * float64(a))
	return units.Pressure(float64(air) * v * v / 2)
}

// Evaluate sizes the transfer opening. The openings that are there already
// pass the room's flow at the pressure read; what is lacking is the area at the
// limit less the area that is there.
func (t RoomReading) Evaluate(air units.Density) (RoomResult, error) {
	name := "room " + t.Name
	if err := cmp.Or(
		checkMeasured(name+", pressure", t.Pressure),
		checkNotNegative(name+", flow", t.Flow),
		checkPositive(name+", limit", units.Known(t.Limit)),
		checkPositive(name+", density of air", units.Known(air))); err != nil {
		return RoomResult{}, err
	}
	p := units.Pressure(math.Abs(float64(t.Pressure.Value)))
	if p > 60 {
		return RoomResult{}, wrong(name+", pressure", "check the reading and its unit", "%s is above 60 Pa", p)
	}
	r := RoomResult{Reading: t, Above: p > t.Limit}
	if t.Flow.Value > 0 {
		r.Free, r.Extra = t.openings(air)
	}
	return r, checkResult(name+", transfer opening", r.Free, r.Extra)
}

func (t RoomReading) openings(air units.Density) (free, extra units.Estimate[units.Area]) {
	out := simulate(func(n fit.Noise) []float64 {
		q := aroundPositive(n, t.Flow)
		read := math.Max(1e-3, math.Abs(float64(around(n, t.Pressure))))
		need := TransferArea(q, t.Limit, air)
		return []float64{float64(need), float64(need) * math.Max(0, 1-math.Sqrt(float64(t.Limit)/read))}
	})
	return estimateOf[units.Area](out[0]), estimateOf[units.Area](out[1])
}

// Working shows the size of the opening.
func (r RoomResult) Working(s units.System) []pressure.Worked {
	if r.Reading.Flow.Value == 0 {
		return nil
	}
	w := writer{s}
	return []pressure.Worked{
		worked("orifice equation, Cd 0.60", "Free area at the limit = {Q}/(0.60·√(2·{limit}/ρ))", w.area("", r.Free.Value),
			w.flow("Q", r.Reading.Flow.Value), w.pressure("limit", r.Reading.Limit)),
		worked("orifice equation, Cd 0.60", "Area lacking = {A}·(1 - √({limit}/|{p}|)), not below zero", w.area("", r.Extra.Value),
			w.area("A", r.Free.Value), w.pressure("limit", r.Reading.Limit), w.pressure("p", r.Reading.Pressure.Value)),
	}
}
