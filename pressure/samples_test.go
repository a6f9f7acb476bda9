package pressure

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"holdbook/internal/fit"
	"holdbook/units"
)

// series is correlated noise of unit variance whose correlation falls by the
// factor phi from one sample to the next, about a line.
func series(r *rand.Rand, n int, phi, level, drift float64) []float64 {
	out := make([]float64, n)
	x := r.NormFloat64()
	for i := range out {
		out[i] = level + x + drift*(float64(i)/float64(n-1)-0.5)
		x = phi*x + math.Sqrt(1-phi*phi)*r.NormFloat64()
	}
	return out
}

// TestSamplesOfCorrelatedNoise holds the error of the mean to simulated noise of
// which everything is known: the variance of the mean of n samples of an AR(1)
// series is (1/n)·Σ(1−|k|/n)·φ^|k|. Short series without correlation come out a
// fifth too wide in variance: the price of looking for one.
func TestSamplesOfCorrelatedNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	const runs = 1500
	for _, c := range []struct {
		n          int
		phi        float64
		sd, inside float64 // tolerances: ratio of the variances, share of 90 % intervals
	}{{30, 0, 0.30, 0.05}, {60, 0, 0.25, 0.05}, {60, 0.5, 0.1, 0.03}, {120, 0.5, 0.1, 0.03}, {200, 0.8, 0.1, 0.03}, {600, 0.9, 0.12, 0.03}, {2000, 0.97, 0.12, 0.03}} {
		exact := 0.0
		for k := 1 - c.n; k < c.n; k++ {
			exact += (1 - math.Abs(float64(k))/float64(c.n)) * math.Pow(c.phi, math.Abs(float64(k))) / float64(c.n)
		}
		variance, spread, inside := 0.0, 0.0, 0
		for range runs {
			s, err := SummariseSamples(series(r, c.n, c.phi, 5, 0))
			if err != nil {
				t.Fatal(err)
			}
			variance += s.Noise * s.Noise / runs
			spread += s.Spread * s.Spread / runs
			if math.Abs(s.Mean-5) < fit.StudentT(0.90, math.Max(s.Effective-1, 1))*s.SD {
				inside++
			}
		}
		name := fmt.Sprintf("n %d, φ %g: ", c.n, c.phi)
		near(t, name+"variance of the mean over the exact one", variance/exact, 1, c.sd)
		near(t, name+"spread", spread, 1, 0.1)
		near(t, name+"share of 90 % intervals that hold the mean", float64(inside)/runs, 0.90, c.inside)
	}
}

// A drift is found beside the noise, and widens the reading by what a value
// anywhere between its ends leaves open.
func TestSamplesWithDrift(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 71))
	const runs = 500
	drift, variance, noise := 0.0, 0.0, 0.0
	for range runs {
		s, err := SummariseSamples(series(r, 300, 0.6, -1.2, 4))
		if err != nil {
			t.Fatal(err)
		}
		drift += s.Drift / runs
		variance += s.SD * s.SD / runs
		noise += s.Noise * s.Noise / runs
	}
	near(t, "drift", drift, 4, 0.05)
	near(t, "noise of the mean, AR(1)", noise, 1.6/0.4/300, 0.003)
	near(t, "variance of the reading, D²/12 and noise", variance, 16.0/12+0, 0.1)
}

func TestSamplesByHand(t *testing.T) {
	s, err := SummariseSamples([]units.Pressure{-1, -2, -3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", float64(s.Mean), -2, 1e-12)
	near(t, "spread", float64(s.Spread), 1, 1e-12)
	near(t, "sd of the mean", float64(s.SD), 1/math.Sqrt(3), 1e-12)
	near(t, "drift", float64(s.Drift), -2, 1e-12)
	one, err := SummariseSamples([]units.Flow{0.5})
	if err != nil || one.Mean != 0.5 || one.SD != 0 || one.Effective != 1 {
		t.Errorf("one sample: %+v %v", one, err)
	}
	still := make([]units.Pressure, 50)
	for i := range still {
		still[i] = -50
	}
	s, err = SummariseSamples(still)
	if err != nil || s.SD != 0 || s.Spread != 0 || !units.Finite(s.Effective) {
		t.Errorf("a gauge that shows one value: %+v %v", s, err)
	}
}

// Whatever comes, no summary holds what is no number, and none changes the
// samples it was made of.
func TestSamplesOdd(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var p *Fault
	for _, bad := range [][]float64{nil, {math.NaN()}, {1, math.Inf(1)}, {1e308, 1e308, 1e308, -1e308, 1e308}} {
		if _, err := SummariseSamples(bad); err != nil && !errors.As(err, &p) {
			t.Errorf("%v: %v", bad, err)
		} else if err == nil && len(bad) < 3 {
			t.Errorf("%v is taken", bad)
		}
	}
	for range 300 {
		n := 1 + r.IntN(40)
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Round(r.NormFloat64()*3) * math.Pow(10, float64(r.IntN(9)-4))
		}
		was := append([]float64(nil), v...)
		s, err := SummariseSamples(v)
		if err != nil {
			t.Fatal(err)
		}
		if !units.Finite(s.Mean, s.Spread, s.Drift, s.Effective, s.Noise, s.SD) || s.SD < s.Noise || s.Effective < 1 || s.Effective > float64(n) {
			t.Errorf("%v: %+v", v, s)
		}
		for i := range v {
			if v[i] != was[i] {
				t.Fatal("the samples were changed")
			}
		}
	}
}

func TestWobbleFromBaseline(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	baseline := func(n int, phi float64) []units.Pressure {
		var out []units.Pressure
		for _, v := range series(r, n, phi, -1.2, 0) {
			out = append(out, units.Pressure(v))
		}
		return out
	}
	mean := 0.0
	for range 300 {
		w, err := WobbleFromBaseline(baseline(400, 0.7))
		if err != nil {
			t.Fatal(err)
		}
		mean += float64(w) * float64(w) / 300
	}
	near(t, "wobble² of an averaged reading, AR(1)", mean, 1.7/0.3/400, 0.0015)
	slow := make([]units.Pressure, 40)
	for i := range slow {
		slow[i] = units.Pressure(math.Sin(float64(i) / 5))
	}
	for _, bad := range [][]units.Pressure{nil, baseline(9, 0), slow} {
		if w, err := WobbleFromBaseline(bad); err == nil {
			t.Errorf("%d samples: a wobble of %g", len(bad), w)
		}
	}
}

// Equal samples have no noise, whatever arithmetic leaves of them.
func TestEqualSamples(t *testing.T) {
	for _, v := range []units.Pressure{-50, -50.1, -49.7, -50.25, 0, 1e-9} {
		list := make([]units.Pressure, 100)
		for i := range list {
			list[i] = v
		}
		s, err := SummariseSamples(list)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(s.Spread)) > 1e-9 || s.Effective != 100 || s.Short || !s.Telling() {
			t.Errorf("%v: %+v", v, s)
		}
	}
}

// Of slow wind a short series tells less than it seems to: it is not taken at its
// word.
func TestSlowWindIsNotTelling(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, n := range []int{12, 20, 30, 60, 120} {
		telling := 0
		for range 200 {
			x, list := rng.NormFloat64(), make([]float64, n)
			for i := range list {
				list[i] = x
				x = 0.97*x + math.Sqrt(1-0.97*0.97)*rng.NormFloat64()
			}
			s, err := SummariseSamples(list)
			if err != nil {
				t.Fatal(err)
			}
			if s.Telling() {
				telling++
			}
		}
		t.Logf("%d samples: %d of 200 told their own noise", n, telling)
		if telling > 20 {
			t.Errorf("%d samples: %d of 200 series of slow wind were taken at their word", n, telling)
		}
	}
}
