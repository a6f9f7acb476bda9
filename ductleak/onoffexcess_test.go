package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

// zigzag is off the fit by turns, so that no leak can follow it.
var zigzag = []float64{1, -1, 1, 1, -1, 1, -1, -1, 1, -1}

// scattered is a quiet test whose stations lie off by so many of their stated
// standard deviations.
func scattered(by float64) OnOffTest {
	t := simulated(oneTruth, 1500*cfm, 1100*cfm, stations, nil, calm).withDefaults()
	for i, sd := range t.noise() {
		t.Differences[i].Flow += units.Flow(by * zigzag[i] * sd)
	}
	return t
}

// fittedAt is the model of a test at its mode, station by station.
func fittedAt(t *testing.T, test OnOffTest) []float64 {
	t.Helper()
	m, mode, _, err := test.fit()
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, len(m.house))
	for i, p := range m.house {
		out[i], _ = m.difference(p, m.at(mode.X))
	}
	return out
}

// expectedMisfit is the number of stations less what each pulls its own fitted
// value along, found by moving one at a time: the effective degrees of freedom
// (Hastie, Tibshirani & Friedman, The Elements of Statistical Learning, 7.6,
// from memory).
func expectedMisfit(t *testing.T, test OnOffTest) float64 {
	t.Helper()
	left := float64(len(test.Differences))
	for i, sd := range test.withDefaults().noise() {
		step := units.Flow(1e-3 * sd)
		up, down := test, test
		up.Differences, down.Differences = append([]Difference{}, test.Differences...), append([]Difference{}, test.Differences...)
		up.Differences[i].Flow += step
		down.Differences[i].Flow -= step
		left -= (fittedAt(t, up)[i] - fittedAt(t, down)[i]) / float64(2*step)
	}
	return left
}

// misfitOf is the sum of squares that the mode leaves, in stated errors.
func misfitOf(t *testing.T, test OnOffTest) float64 {
	t.Helper()
	sum := 0.0
	sd := test.withDefaults().noise()
	for i, f := range fittedAt(t, test) {
		sum += math.Pow((f-float64(test.Differences[i].Flow))/sd[i], 2)
	}
	return sum
}

// Stations that scatter beyond the 95 % point of chi squared widen the intervals
// until the scatter is what is expected, and by Student's t over the normal's for the few stations
// that tell it; below it nothing is widened. The point is that of
// Wilson and Hilferty 1931, ν·(1 − 2/(9ν) + 1.6449·√(2/(9ν)))³, good to 1 %.
func TestOnOffScatterWidens(t *testing.T) {
	scatter := func(by float64) Scatter {
		_, _, s, err := scattered(by).fit()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	low, high := 0.0, 4.0 // of the threshold
	for range 40 {
		if middle := (low + high) / 2; scatter(middle).Widened == 1 {
			low = middle
		} else {
			high = middle
		}
	}
	if s := scatter(low); s != (Scatter{1, 1}) {
		t.Errorf("below the threshold the factors are %v", s)
	}
	expected := expectedMisfit(t, scattered(0.98*low)) // moved stations must stay below the threshold
	if expected < 5 || expected > 8 {
		t.Errorf("%.2f of ten stations are left by six unknowns that are partly known", expected)
	}
	point := expected * math.Pow(1-2/(9*expected)+1.644854*math.Sqrt(2/(9*expected)), 3)
	near(t, "misfit at the threshold", misfitOf(t, scattered(low*(1-1e-6))), point, 0.02*point)
	near(t, "factor just above the threshold", scatter(high).Excess, math.Sqrt(point/expected), 0.02)
	// t for 90 % by degrees of freedom: 2.0150, 1.9432, 1.8946 and 1.8595 for 5 to 8
	// (standard tables); between them a straight line
	tabled := []float64{2.0150, 1.9432, 1.8946, 1.8595}
	k := min(int(expected)-5, 2)
	student := tabled[k] + (expected-float64(5+k))*(tabled[k+1]-tabled[k])
	near(t, "widening over factor", scatter(high).Widened/scatter(high).Excess, student/1.644854, 0.005)

	// with errors as much larger the scatter is what is expected
	wider := scattered(2.5)
	factor := scatter(2.5).Excess
	wider.Repeat *= factor
	wider.Wobble *= units.Pressure(factor)
	near(t, "misfit with the errors widened", misfitOf(t, wider), expectedMisfit(t, wider), 0.1)

	quiet, err := scattered(0).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	wild, err := scattered(2.5).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	if quiet.Scatter.Widened != 1 || wild.Scatter.Excess < 1.8 {
		t.Errorf("scatter %v and %v", quiet.Scatter, wild.Scatter)
	}
	// where readings alone decide, as of the net, the width grows by the factor
	ratio := float64((wild.Net.High - wild.Net.Low) / (quiet.Net.High - quiet.Net.Low))
	near(t, "width of the net over the factor", ratio/wild.Scatter.Widened, 1, 0.2)
}
