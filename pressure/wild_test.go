package pressure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// shown is the value of a computed quantity, or the error that stands in its place.
func shown[Q ~float64](c Computed[Q], err error) ([]float64, error) {
	return []float64{float64(c.Value)}, err
}

func ends[Q ~float64](e units.Estimate[Q], err error) ([]float64, error) {
	return []float64{float64(e.Low), float64(e.Value), float64(e.High)}, err
}

// wildly calls everything that checks what it is given with any numbers.
func wildly(v [6]float64) map[string]func() ([]float64, error) {
	p, q, a := units.Pressure(v[0]), units.Flow(v[1]), units.Area(v[2])
	n, rho, l := units.Ratio(v[3]), units.Density(v[4]), units.Length(v[5])
	air := Air{units.Temperature(v[0]), units.Pressure(v[1]), units.Ratio(v[2])}
	ref, leak, cal := AreaReference{p, n}, Leak{v[0], v[3]}, Calibration{n, units.Ratio(v[5])}
	s := Station{Pressure: p, PressureSD: units.Pressure(v[5]), Flow: q, Repeat: n}
	t := Station{Pressure: units.Pressure(v[2]), PressureSD: units.Pressure(v[4]), Flow: units.Flow(v[5]), Repeat: n}
	w, storeys := Weather{units.TemperatureDifference(v[0]), Speed(v[1])}, int(v[5])
	point := OnePoint{s, cal, n, units.Ratio(v[2])}
	return map[string]func() ([]float64, error){
		"density":    func() ([]float64, error) { return shown(air.Density()) },
		"viscosity":  func() ([]float64, error) { return shown(air.Viscosity()) },
		"saturation": func() ([]float64, error) { return shown(SaturationPressure(air.Temperature)) },
		"barometer":  func() ([]float64, error) { return shown(BarometerAt(l)) },
		"altitude":   func() ([]float64, error) { return shown(TemperatureAt(l)) },
		"area":       func() ([]float64, error) { return shown(AreaOfFlow(q, ref, rho)) },
		"leak area":  func() ([]float64, error) { return shown(LeakArea(leak, ref, rho)) },
		"convert":    func() ([]float64, error) { return shown(ConvertArea(a, ref, At4Pa, n)) },
		"hole flow":  func() ([]float64, error) { return shown(HoleFlow(a, n, p, rho)) },
		"hole area":  func() ([]float64, error) { return shown(HoleArea(q, n, p, rho)) },
		"ajar":       func() ([]float64, error) { return shown(AjarArea(Leaf{l, units.Length(v[1])}, units.Length(v[2]))) },
		"hole":       func() ([]float64, error) { return ends(Hole{a, n, n, n}.Flow(p, p, rho)) },
		"subtract": func() ([]float64, error) {
			b, err := TwoBaselines(p, units.Pressure(v[3]))
			if err != nil {
				return nil, err
			}
			c, err := DefaultGauge().Subtract(units.Pressure(v[4]), b)
			return []float64{float64(c.Value), float64(c.SD)}, err
		},
		"true flow":   func() ([]float64, error) { return shown(TrueFlow(q, rho, units.Density(v[5]))) },
		"unscaled":    func() ([]float64, error) { return shown(Unscaled(q, p, units.Pressure(v[5]), n)) },
		"envelope":    func() ([]float64, error) { return shown(EnvelopeFlow(q, Direction(v[0]), rho, units.Density(v[5]))) },
		"fan":         func() ([]float64, error) { return shown(FanFlow(q, Direction(v[0]), rho, units.Density(v[5]))) },
		"air changes": func() ([]float64, error) { return shown(AirChanges(q, units.Volume(v[5]))) },
		"per area":    func() ([]float64, error) { return shown(FlowPerArea(q, a)) },
		"sla":         func() ([]float64, error) { return shown(SpecificLeakageArea(a, units.Area(v[5]))) },
		"stack":       func() ([]float64, error) { return shown(StackPressure(rho, units.Density(v[0]), l)) },
		"wind":        func() ([]float64, error) { return shown(WindPressure(n, rho, Speed(v[0]))) },
		"log":         func() ([]float64, error) { return ends(LogEstimate(q, v[5])) },
		"normal":      func() ([]float64, error) { return ends(NormalEstimate(p, units.Pressure(v[5]))) },
		"model":       func() ([]float64, error) { return ends(ModelEstimate(q, v[5])) },
		"basic":       func() ([]float64, error) { return shown(BasicInfiltration(a, storeys, Shelter(v[4]), w)) },
		"enhanced": func() ([]float64, error) {
			i, err := EnhancedHouse{leak, storeys, Foundation(v[3]), v[2] > 0, Shelter(v[4])}.Infiltration(w)
			return shown(i.Total, err)
		},
		"annual":     func() ([]float64, error) { return shown(AnnualAirChanges(units.Rate(v[0]))) },
		"fans":       func() ([]float64, error) { return shown(WithFans(q, units.Flow(v[0]), units.Flow(v[2]))) },
		"force":      func() ([]float64, error) { return shown(DrivingForce(l, w.Difference)) },
		"total":      func() ([]float64, error) { return shown(TotalRate(a, storeys, Edition(v[3]), units.System(v[4]))) },
		"normalised": func() ([]float64, error) { return shown(NormalisedLeakage(a, units.Area(v[0]), l)) },
		"credit": func() ([]float64, error) {
			return shown(InfiltrationCredit(n, units.Ratio(v[0]), a, units.System(v[4])))
		},
		"fan rate":   func() ([]float64, error) { return shown(FanRate(q, units.Flow(v[0]), v[2] > 0, n)) },
		"one point":  func() ([]float64, error) { return ends(point.FlowAt(units.Pressure(v[4]))) },
		"its leak":   func() ([]float64, error) { l, err := point.Leak(); return []float64{l.C}, err },
		"two points": func() ([]float64, error) { f, err := FitTwo(s, t, cal); return []float64{f.Leak.C}, err },
		"many points": func() ([]float64, error) {
			f, err := FitWeighted([]Station{s, t, s, t, s}, cal)
			return []float64{f.R2}, err
		},
		"standard fit": func() ([]float64, error) {
			f, err := FitStandard([]Station{s, t, s, t, t})
			return []float64{f.R2}, err
		},
		"reference": func() ([]float64, error) {
			r, err := ToReference(leak, air, Standard(v[4]))
			return []float64{r.Leak.C}, err
		},
		"new leak":     func() ([]float64, error) { l, err := NewLeak(q, p, n); return []float64{l.C}, err },
		"leak of area": func() ([]float64, error) { l, err := LeakOfArea(a, ref, n, rho); return []float64{l.C}, err },
		"samples": func() ([]float64, error) {
			s, err := SummariseSamples(v[:])
			return []float64{s.Mean, s.SD, s.Effective}, err
		},
		"gauge": func() ([]float64, error) { return nil, Gauge{n, p, p, n, n}.Check() },
	}
}

// Whatever the numbers, everything that checks them gives a finite result or a fault that
// says what was wrong and what to do; nothing panics.
func TestWildNumbers(t *testing.T) {
	wild := []float64{0, 1, -1, 2, 5, 0.65, 50, 293, 1e5, 1e-9, 1e9, 1e-300, 1e300, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64}
	rng := rand.New(rand.NewPCG(1, 2))
	good := map[string]int{}
	for range 3000 {
		var v [6]float64
		for i := range v {
			if v[i] = 3 * rng.Float64(); rng.IntN(2) == 0 {
				v[i] = wild[rng.IntN(len(wild))]
			}
		}
		for name, f := range wildly(v) {
			out, err := f()
			if err != nil {
				requireFault(t, name, err)
				continue
			}
			good[name]++
			require.True(t, units.Finite(out...), "%s of %v: %v", name, v, out)
		}
	}
	require.Greater(t, len(good), 30, "few were ever given numbers that serve: %v", good)
}
