package ductleak

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"holdbook/pressure"
	"holdbook/units"
)

var wild = []float64{0, 1, -1, 5, 25, 50, 1e-9, 1e9, 1e-300, 1e300, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64}

type wilder struct{ *rand.Rand }

func (w wilder) number() float64 {
	if w.IntN(2) == 0 {
		return 60 * w.Float64()
	}
	return wild[w.IntN(len(wild))]
}

func wildly[Q ~float64](w wilder) units.Measured[Q] {
	return units.Measured[Q]{Value: Q(w.number()), SD: Q(w.number())}
}

func wildEstimate[Q ~float64](w wilder) units.Estimate[Q] {
	return units.Estimate[Q]{Value: Q(w.number()), Low: Q(w.number()), High: Q(w.number())}
}

func (w wilder) state() HeldState {
	return HeldState{House: wildly[units.Pressure](w), Fan: wildly[units.Flow](w), Ducts: wildly[units.Pressure](w)}
}

// Whatever the readings, every test gives finite results in order or an error
// that names a reading; nothing panics.
func TestWildReadings(t *testing.T) {
	w := wilder{rand.New(rand.NewPCG(3, 4))}
	for range 300 {
		n := units.Measured[units.Ratio]{Value: units.Ratio(w.number()), SD: 0.06}
		if w.IntN(3) > 0 {
			n.Value = 0.6
		}
		sub, err := Subtraction{Open: w.state(), Covered: w.state(), Calibration: 0.02, Correction: n, Scaling: n}.Evaluate()
		sound(t, err, Plain(sub.Outside25), Plain(sub.Inside50))
		open, err := OpenRegister{Flow: wildly[units.Flow](w), House: wildly[units.Pressure](w), Ducts: wildly[units.Pressure](w), Scaling: n}.Evaluate()
		sound(t, err, Plain(open.Outside25))
		one, err := OnePressureTest{Flow: wildly[units.Flow](w), Pressure: wildly[units.Pressure](w), Residual: wildly[units.Pressure](w),
			Inside25: wildEstimate[units.Flow](w), Scaling: n}.Evaluate()
		sound(t, err, Plain(one.Outside25), Plain(one.Residual))
		total, err := TotalTest{Flow: wildly[units.Flow](w), Pressure: wildly[units.Pressure](w), Scaling: n}.Evaluate()
		sound(t, err, Plain(total.Total25))
		covers, err := RankCovers([]CoverReading{{Name: "a", Cover: wildly[units.Pressure](w), House: wildly[units.Pressure](w), Zone: wildly[units.Pressure](w)}})
		sound(t, err, Plain(covers.Median))
		shift, err := HouseShift{On: wildly[units.Pressure](w), Off: wildly[units.Pressure](w), Flow50: wildEstimate[units.Flow](w), Exponent: n}.Evaluate()
		sound(t, err, Plain(shift.Net))
		run, err := RunningTest{AirHandler: wildly[units.Flow](w), Registers: []RunningRegister{{"r", units.Flow(w.number()), units.Flow(w.number())}}, Hood: OrdinaryHood}.Evaluate()
		sound(t, err, Plain(run.Leakage))
		room, err := RoomReading{Name: "a", Pressure: wildly[units.Pressure](w), Flow: wildly[units.Flow](w), Limit: 3}.Evaluate(1.2)
		sound(t, err, Plain(room.Free), Plain(room.Extra))
		op, err := OperatingLeakage(wildEstimate[units.Flow](w), wildly[units.Pressure](w), n)
		sound(t, err, Plain(op.Leakage))
		both, err := Combine([]Answer{{"a", wildEstimate[units.Flow](w), true, Meter{"fan", 0.02}}, {"b", wildEstimate[units.Flow](w), true, Meter{"fan", 0.02}}})
		sound(t, err, Plain(both.Combined))
		share, err := ShareOf(wildEstimate[units.Flow](w), wildEstimate[units.Flow](w))
		sound(t, err, Plain(share))
	}
}

func TestWildLosses(t *testing.T) {
	w := wilder{rand.New(rand.NewPCG(5, 6))}
	for range 100 {
		in := lossCase(100, 80, 0.2)
		for range 2 {
			switch w.IntN(7) {
			case 0:
				in.Flow = wildEstimate[units.Flow](w)
			case 1:
				in.Output = wildEstimate[units.Power](w)
			case 2:
				in.Supply.Leakage = wildEstimate[units.Flow](w)
			case 3:
				in.Return.Surface = wildEstimate[units.Area](w)
			case 4:
				in.Return.Resistance = wildEstimate[units.ThermalResistance](w)
			case 5:
				in.Supply.Ambient = wildEstimate[units.Temperature](w)
			case 6:
				in.Natural = wildEstimate[units.Flow](w)
			}
		}
		r, err := DistributionEfficiency(in)
		sound(t, err, Plain(r.Efficiency), Plain(r.Effectiveness), Plain(r.Net))
		if err != nil {
			continue
		}
		y, err := r.Year(YearInput{RunTime: Exactly(units.Time(w.number())), Output: in.Output, Efficiency: wildEstimate[units.Ratio](w), Price: w.number()})
		sound(t, err, Plain(y.Bought), Plain(y.Cost))
	}
}

func TestWildOnOff(t *testing.T) {
	w := wilder{rand.New(rand.NewPCG(7, 8))}
	for range 40 {
		test := OnOffTest{AirHandler: wildly[units.Flow](w), SupplyPressure: wildly[units.Pressure](w)}
		for range 3 {
			test.Differences = append(test.Differences, Difference{House: units.Pressure(w.number()), Flow: units.Flow(w.number()), Envelope: units.Flow(w.number())})
		}
		if w.IntN(2) == 0 {
			test = simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm)
			test.Differences[w.IntN(10)].Flow = units.Flow(w.number())
		}
		r, err := test.Evaluate()
		sound(t, err, Plain(r.Supply), Plain(r.Net))
	}
}

// sound fails on an error without a name for the reading, and without an error
// on a result that is not finite or out of order.
func sound(t *testing.T, err error, results ...units.Estimate[float64]) {
	t.Helper()
	if err != nil {
		var e *pressure.Fault
		if !errors.As(err, &e) || e.Reading == "" || e.Do == "" {
			t.Errorf("error %q names no reading", err)
		}
		return
	}
	for _, e := range results {
		ordered(t, "result", e)
	}
}
