package ductleak

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdbook/pressure"
	"holdbook/units"
)

// aroundDucts is a house whose ducts run through a space: flows at 50 Pa (cfm)
// across each of its leaks.
type aroundDucts struct {
	house, ceiling, vents, ducts, covers float64
}

const registersOpen = 3000.0 // cfm at 50 Pa, an orifice

// solve is the fan flow with the house held at 50 Pa, and how far ducts and space
// lie from the house, with the registers open or covered. The flow into the ducts
// falls and that out of them rises with their pressure, and so in the space.
func (a aroundDucts) solve(hold float64, open bool) (fan, duct, zone float64) {
	flow := func(q50, p, n float64) float64 { return q50 * pressure.SignedPower(p/50, n) }
	fed := func(p float64) float64 { // house to ducts
		if open {
			return flow(registersOpen, p, 0.5)
		}
		return flow(a.covers, p, 0.65)
	}
	// both lie p Pa above the house that is held below outdoors
	ductAt := func(z float64) float64 {
		return root(0, hold, func(p float64) float64 { return flow(a.ducts, z-p, 0.6) - fed(p) })
	}
	zone = root(0, hold, func(z float64) float64 {
		return flow(a.vents, hold-z, 0.6) - flow(a.ceiling, z, 0.65) - flow(a.ducts, z-ductAt(z), 0.6)
	})
	duct = ductAt(zone)
	return flow(a.house, hold, 0.65) + flow(a.ceiling, zone, 0.65) + fed(duct), duct, zone
}

// root is where a falling function passes zero.
func root(low, high float64, f func(float64) float64) float64 {
	for range 60 {
		if middle := (low + high) / 2; f(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// drawn is a house with an attic vented anyhow, what subtraction reads in it with
// a fan good to 1 % and pressures to 0.3 Pa, and the leakage of its ducts at 25 Pa.
func drawn(rng *rand.Rand) (Subtraction, float64) {
	ln := func(median, sd float64) float64 { return median * math.Exp(sd*rng.NormFloat64()) }
	a := aroundDucts{house: ln(1500, 0.4), ceiling: ln(300, 0.6), vents: ln(1000, 1.5), ducts: ln(200, 0.5), covers: ln(50, 0.5)}
	const sd = 0.3 // Pa
	pressure := func(p float64) units.Measured[units.Pressure] {
		return units.Measured[units.Pressure]{Value: units.Pressure(max(0, p+sd*rng.NormFloat64())), SD: sd}
	}
	calibration := math.Exp(0.025 * rng.NormFloat64())
	state := func(open bool) (HeldState, float64) {
		fan, duct, zone := a.solve(50, open)
		read := fan * cfm * calibration * (1 + 0.01*rng.NormFloat64())
		return HeldState{House: pressure(50), Fan: units.Measured[units.Flow]{Value: units.Flow(read), SD: units.Flow(0.01 * read)}, Ducts: pressure(duct)}, zone
	}
	t := Subtraction{Calibration: 0.025, Correction: units.Measured[units.Ratio]{Value: CorrectionExponent, SD: ExponentSD}, Scaling: units.Measured[units.Ratio]{Value: DuctExponent, SD: ExponentSD}}
	t.Open, _ = state(true)
	zone := 0.0
	t.Covered, zone = state(false)
	t.Zone = pressure(zone)
	return t, a.ducts * cfm * math.Pow(0.5, 0.6)
}

// In houses whose ducts run through attics vented anyhow the subtraction that
// counts the attic as outdoors holds the truth too seldom, above all of those
// under nine tenths of the hold; what is called resolved holds it nine times in
// ten. 4,000 houses: 91 % above nine tenths, 80 % in the next tenth, 60 to 75 %
// below that.
func TestSubtractionThroughAnAttic(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	var resolved, held, poor, poorHeld float64
	for range 300 {
		test, truth := drawn(rng)
		r, err := test.Evaluate()
		if err != nil {
			continue
		}
		in := 0.0
		if holds(r.Outside25, truth) {
			in = 1
		}
		switch {
		case r.Resolved:
			resolved, held = resolved+1, held+in
		case r.PoorZone && r.Difference >= differenceSigma*r.Sigma:
			poor, poorHeld = poor+1, poorHeld+in
		}
	}
	t.Logf("resolved %.0f: %.0f %%; attic poorly vented %.0f: %.0f %%", resolved, 100*held/resolved, poor, 100*poorHeld/poor)
	if resolved < 80 || held/resolved < 0.86 {
		t.Errorf("of %.0f resolved the interval holds the truth in %.1f %%", resolved, 100*held/resolved)
	}
	if poor < 40 || poorHeld/poor > 0.80 {
		t.Errorf("the %.0f refused were held in %.1f %%: no reason to refuse them", poor, 100*poorHeld/poor)
	}
}

// The space around the ducts is trusted from nine tenths of the hold and its own
// doubt, 1.645 standard deviations, upwards; ducts outdoors need none.
func TestSubtractionZoneThreshold(t *testing.T) {
	good := func(zone, sd units.Pressure) SubtractionResult {
		t.Helper()
		test := Subtraction{
			Open:       HeldState{House: units.Known(units.Pressure(50)), Fan: units.Measured[units.Flow]{Value: 2500 * cfm, SD: 5 * cfm}},
			Covered:    HeldState{House: units.Known(units.Pressure(50)), Fan: units.Measured[units.Flow]{Value: 2300 * cfm, SD: 5 * cfm}, Ducts: units.Known(units.Pressure(42))},
			Zone:       units.Measured[units.Pressure]{Value: zone, SD: sd},
			Correction: units.Known(CorrectionExponent), Scaling: units.Known(DuctExponent),
		}
		r, err := test.Evaluate()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, c := range []struct {
		zone, sd units.Pressure
		poor     bool
	}{{0, 0, false}, {44.99, 0, true}, {45, 0, false}, {46.6, 1, true}, {46.7, 1, false}, {50, 0.4, false}} {
		if r := good(c.zone, c.sd); r.PoorZone != c.poor || r.Resolved == c.poor {
			t.Errorf("%v ± %v Pa: poor %v, resolved %v", c.zone, c.sd, r.PoorZone, r.Resolved)
		}
	}
}
