package ductleak

import (
	"cmp"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

// SupplyShape is what supply leakage of one unit at house pressure zero adds
// to envelope flow when the air handler starts, at house pressure dP (signed,
// positive pressurised) with the supply ducts dPs above the house:
//
//	(1 + dP/dPs)^n − (dP/dPs)^n, powers signed
//
// It is 1 at dP = 0 and at −dPs, greatest (2·0.5^n) halfway between.
func SupplyShape(dP, dPs, n float64) float64 {
	x := dP / dPs
	return pressure.SignedPower(1+x, n) - pressure.SignedPower(x, n)
}

// ReturnShape is the same for the return ducts, dPr below the house; it
// carries its minus sign: −[ (1 − dP/dPr)^n + (dP/dPr)^n ].
func ReturnShape(dP, dPr, n float64) float64 {
	x := dP / dPr
	return -(pressure.SignedPower(1-x, n) + pressure.SignedPower(x, n))
}

// Station is one house pressure of an on/off test: what the door fan moves,
// signed like the pressure (positive into the house, pressurised).
type Station struct {
	House units.Pressure // signed
	Flow  units.Flow     // signed
}

// Difference is the envelope flow with the air handler on, less off, at one
// house pressure.
type Difference struct {
	House    units.Pressure // signed
	Flow     units.Flow     // signed: on less off
	Envelope units.Flow     // off flow there, signed; it sets the noise
}

// Differences pairs an off series with an on series: the off flow is carried
// to each on pressure by the power law from the nearest off station on the same
// side of zero. A station of exactly zero pressure needs one of its own.
func Differences(on, off []Station, n units.Ratio) ([]Difference, error) {
	if len(on) == 0 || len(off) == 0 {
		return nil, wrong("on/off test", "read the door fan with the air handler off and on", "one series is missing")
	}
	out := make([]Difference, len(on))
	for i, s := range on {
		if !units.Finite(float64(s.House)) || !units.Finite(float64(s.Flow)) {
			return nil, wrong("on/off test, a station with the air handler on", "give the numbers read", "not a finite number")
		}
		q, err := flowAt(off, s.House, n)
		if err != nil {
			return nil, err
		}
		out[i] = Difference{House: s.House, Flow: s.Flow - q, Envelope: q}
	}
	return out, nil
}

// flowAt is the off flow at a house pressure.
func flowAt(off []Station, p units.Pressure, n units.Ratio) (units.Flow, error) {
	best := -1
	for i, s := range off {
		if !units.Finite(float64(s.House)) || !units.Finite(float64(s.Flow)) {
			return 0, wrong("on/off test, a station with the air handler off", "give the numbers read", "not a finite number")
		}
		if !sameSide(s.House, p) {
			continue
		}
		if best < 0 || math.Abs(float64(s.House-p)) < math.Abs(float64(off[best].House-p)) {
			best = i
		}
	}
	if best < 0 {
		return 0, wrong("on/off test", "read both at the same house pressures",
			"no reading with the air handler off lies on the same side of zero as the one at %s", p)
	}
	if p == 0 {
		return off[best].Flow, nil
	}
	return ScaleFlow(off[best].Flow, off[best].House, p, n), nil
}

func sameSide(a, b units.Pressure) bool {
	return a > 0 && b > 0 || a < 0 && b < 0 || a == 0 && b == 0
}

// TwoParameter is the closed-form fit of supply and return leakage with the
// duct pressures known.
type TwoParameter struct {
	SupplyPressure, ReturnPressure units.Pressure // operating, relative to the house
	Supply, Return                 units.Flow     // operating leakage to outside
	RMS                            units.Flow     // root mean square of what the fit leaves
	// Clipped is "supply" or "return" where that one would have come out
	// negative: it is zero and the other was fitted alone.
	Clipped string
	// UnitSupply, UnitReturn, UnitNet are the standard deviations of the
	// answers and of supply less return for one unit of noise in each difference.
	UnitSupply, UnitReturn, UnitNet float64
	Correlation                     float64 // of supply and return
}

// normalSums are the sums of products of the two shapes and the differences.
type normalSums struct{ ss, rr, sr, sy, ry, yy float64 }

func sumsOf(d []Difference, dPs, dPr, n float64) normalSums {
	var k normalSums
	for _, x := range d {
		fs, fr, y := SupplyShape(float64(x.House), dPs, n), ReturnShape(float64(x.House), dPr, n), float64(x.Flow)
		k.ss += fs * fs
		k.rr += fr * fr
		k.sr += fs * fr
		k.sy += fs * y
		k.ry += fr * y
		k.yy += y * y
	}
	return k
}

// FitKnownPressures is the least-squares fit of the differences to
// Qs·f_s + Qr·f_r:
//
//	Qs = (Sfy·Srr − Sry·Ssr)/D,  Qr = (Sry·Sss − Sfy·Ssr)/D,  D = Sss·Srr − Ssr²
//
// A negative answer is set to zero and the other refitted alone. It needs two
// different house pressures.
func FitKnownPressures(d []Difference, dPs, dPr units.Pressure, n units.Ratio) (TwoParameter, error) {
	if !(dPs > 0 && dPr > 0) || !units.Finite(float64(dPs)) || !units.Finite(float64(dPr)) {
		return TwoParameter{}, wrong("on/off test, operating duct pressure", "give both above zero, relative to the house",
			"%s and %s", dPs, dPr)
	}
	if err := cmp.Or(checkDifferences(d), checkExponent(n)); err != nil {
		return TwoParameter{}, err
	}
	f, ok := twoParameter(sumsOf(d, float64(dPs), float64(dPr), float64(n)), len(d))
	if !ok {
		return TwoParameter{}, wrong("on/off test", "add stations on the other side of zero", "the stations do not tell supply from return")
	}
	f.SupplyPressure, f.ReturnPressure = dPs, dPr
	return f, nil
}

func checkDifferences(d []Difference) error {
	if len(d) < 2 {
		return wrong("on/off test", "read at two house pressures at least, better at ten, both signs", "%d station", len(d))
	}
	for _, x := range d {
		if !units.Finite(float64(x.House)) || !units.Finite(float64(x.Flow)) || !units.Finite(float64(x.Envelope)) {
			return wrong("on/off test, a station", "give the numbers read", "not a finite number")
		}
	}
	return nil
}

func twoParameter(k normalSums, count int) (TwoParameter, bool) {
	det := k.ss*k.rr - k.sr*k.sr
	if !(det > 1e-9*k.ss*k.rr) {
		return TwoParameter{}, false
	}
	f := TwoParameter{
		UnitSupply: math.Sqrt(k.rr / det), UnitReturn: math.Sqrt(k.ss / det),
		UnitNet:     math.Sqrt((k.rr + k.ss + 2*k.sr) / det),
		Correlation: -k.sr / math.Sqrt(k.ss*k.rr),
	}
	qs, qr := (k.sy*k.rr-k.ry*k.sr)/det, (k.ry*k.ss-k.sy*k.sr)/det
	switch {
	case qs < 0:
		f.Clipped, qs, qr = "supply", 0, max(0, k.ry/k.rr)
	case qr < 0:
		f.Clipped, qs, qr = "return", max(0, k.sy/k.ss), 0
	}
	left := k.yy - 2*qs*k.sy - 2*qr*k.ry + qs*qs*k.ss + qr*qr*k.rr + 2*qs*qr*k.sr
	f.Supply, f.Return = units.Flow(qs), units.Flow(qr)
	f.RMS = units.Flow(math.Sqrt(max(0, left) / float64(count)))
	return f, true
}

// ScanPressures finds the two operating duct pressures, in whole pascals from
// 5 to the plenum pressures given, at which the closed-form fit leaves least.
// Its flows carry a wide band, their difference a narrow one.
func ScanPressures(d []Difference, supplyTop, returnTop units.Pressure, n units.Ratio) (TwoParameter, error) {
	if err := checkDifferences(d); err != nil {
		return TwoParameter{}, err
	}
	if !(supplyTop >= 5 && returnTop >= 5 && supplyTop <= 1000 && returnTop <= 1000) {
		return TwoParameter{}, wrong("on/off test, top of the scan", "give the plenum pressures, 5 to 1000 Pa",
			"%s and %s", supplyTop, returnTop)
	}
	best, found := TwoParameter{}, false
	for ps := units.Pressure(5); ps <= supplyTop; ps++ {
		for pr := units.Pressure(5); pr <= returnTop; pr++ {
			f, ok := twoParameter(sumsOf(d, float64(ps), float64(pr), float64(n)), len(d))
			if ok && (!found || f.RMS < best.RMS) {
				f.SupplyPressure, f.ReturnPressure = ps, pr
				best, found = f, true
			}
		}
	}
	if !found {
		return best, wrong("on/off test", "add stations on the other side of zero", "the stations do not tell supply from return")
	}
	return best, nil
}
