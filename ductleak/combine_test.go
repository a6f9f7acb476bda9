package ductleak

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
	"holdbook/units"
)

// logNormal is an estimate with a median and an ln standard deviation.
func logNormal(median, sd float64) units.Estimate[units.Flow] {
	return units.Estimate[units.Flow]{
		Value: units.Flow(median), Low: units.Flow(median * math.Exp(-fit.Z90*sd)), High: units.Flow(median * math.Exp(fit.Z90*sd)),
	}
}

func TestCombineAgrees(t *testing.T) {
	c, err := Combine([]Answer{{Name: "a", Result: logNormal(100, 0.1), Resolved: true}, {Name: "b", Result: logNormal(100, 0.1), Resolved: true}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "value", c.Combined.Value, 100, 1e-9)
	near(t, "ln sd", math.Log(float64(c.Combined.High/c.Combined.Low))/(2*fit.Z90), 0.1/math.Sqrt2, 1e-9)
	if !c.Agree || !c.Agrees[0] || !c.Agrees[1] || c.Widened != 1 || len(c.Used) != 2 {
		t.Errorf("%+v", c)
	}
}

func TestCombineWeighs(t *testing.T) {
	c, err := Combine([]Answer{{Name: "a", Result: logNormal(90, 0.1), Resolved: true}, {Name: "b", Result: logNormal(110, 0.2), Resolved: true}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ln value", math.Log(float64(c.Combined.Value)), (4*math.Log(90)+math.Log(110))/5, 1e-9)
	near(t, "misfit", c.Misfit, math.Pow(math.Log(110.0/90), 2)/0.05, 1e-9)
	near(t, "chance", c.Chance, math.Erfc(math.Sqrt(c.Misfit/2)), 1e-9)
}

func TestCombineDisagrees(t *testing.T) {
	c, err := Combine([]Answer{
		{Name: "a", Result: logNormal(100, 0.05), Resolved: true}, {Name: "b", Result: logNormal(104, 0.05), Resolved: true}, {Name: "c", Result: logNormal(200, 0.05), Resolved: true},
		{Name: "d", Result: logNormal(5, 2), Resolved: false},
	})
	if err != nil {
		t.Fatal(err)
	}
	if c.Agree || c.Agrees[2] || !c.Agrees[3] || len(c.Used) != 3 {
		t.Errorf("%+v", c)
	}
	near(t, "widened", c.Widened, math.Sqrt(c.Misfit/2), 1e-12)
	if w := math.Log(float64(c.Combined.High / c.Combined.Low)); w < 0.6 {
		t.Errorf("a contradiction must widen the interval, ln width %.2f", w)
	}
}

// A calibration that both share does not average out.
func TestCombineShared(t *testing.T) {
	sd, fan := math.Hypot(0.1, 0.05), Meter{"fan", 0.05}
	c, err := Combine([]Answer{{Name: "a", Result: logNormal(100, sd), Resolved: true, Meter: fan}, {Name: "b", Result: logNormal(100, sd), Resolved: true, Meter: fan}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ln sd", math.Log(float64(c.Combined.High/c.Combined.Low))/(2*fit.Z90), math.Hypot(0.1/math.Sqrt2, 0.05), 1e-9)
}

func TestCombineFew(t *testing.T) {
	_, err := Combine([]Answer{{Name: "a", Result: logNormal(100, 0.1), Resolved: false}})
	refused(t, err, "duct tests")
	one, err := Combine([]Answer{{Name: "a", Result: logNormal(100, 0.1), Resolved: true}})
	if err != nil || one.Combined != logNormal(100, 0.1) {
		t.Errorf("%+v, %v", one, err)
	}
	exact, err := Combine([]Answer{{Name: "a", Result: Exactly(units.Flow(1)), Resolved: true}, {Name: "b", Result: Exactly(units.Flow(1)), Resolved: true}})
	if err != nil || hasNaN(float64(exact.Combined.Low), exact.Chance) {
		t.Errorf("%+v, %v", exact, err)
	}
}

// Six registers by one hood, the ln sd of each 0.048 of which 0.025 are the
// hood's: √((0.048² − 0.025²)/6 + 0.025²), not 0.048/√6, which is less than the
// hood's own.
func TestCombineOneHood(t *testing.T) {
	var six []Answer
	for _, name := range []string{"a", "b", "c", "d", "e", "f"} {
		six = append(six, Answer{Name: name, Result: logNormal(100, 0.048), Resolved: true, Meter: Meter{"hood", 0.025}})
	}
	c, err := Combine(six)
	if err != nil {
		t.Fatal(err)
	}
	want := math.Sqrt((0.048*0.048-0.025*0.025)/6 + 0.025*0.025)
	near(t, "about 0.03", want, 0.03, 5e-4)
	near(t, "low", inLogs(c.Combined.Low), math.Log(100)-fit.Z90*want, 1e-9)
	near(t, "high", inLogs(c.Combined.High), math.Log(100)+fit.Z90*want, 1e-9)
}

func inLogs(q units.Flow) float64 { return math.Log(float64(q)) }

// Answers by two meters and one by none: mean, standard deviation and misfit are
// those of least squares with the whole covariance (generalised least squares,
// Aitken 1936), solved here as a matrix.
func TestCombineIsLeastSquares(t *testing.T) {
	hood, fan := Meter{"hood", 0.06}, Meter{"fan", 0.03}
	answers := []Answer{
		{Name: "a", Result: logNormal(90, 0.10), Resolved: true, Meter: hood}, {Name: "b", Result: logNormal(100, 0.08), Resolved: true, Meter: fan},
		{Name: "c", Result: logNormal(104, 0.07), Resolved: true, Meter: hood}, {Name: "d", Result: logNormal(97, 0.05), Resolved: true},
		{Name: "e", Result: logNormal(95, 0.09), Resolved: true, Meter: fan}, {Name: "f", Result: logNormal(99, 0.20), Resolved: true},
	}
	x, covariance := moments(answers)
	mean, variance, misfit := leastSquares(t, x, covariance)
	c, err := Combine(answers)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ln value", inLogs(c.Combined.Value), mean, 1e-9)
	near(t, "ln low", inLogs(c.Combined.Low), mean-fit.Z90*math.Sqrt(variance), 1e-9)
	near(t, "ln high", inLogs(c.Combined.High), mean+fit.Z90*math.Sqrt(variance), 1e-9)
	near(t, "misfit", c.Misfit, misfit, 1e-9)
}

// The answer that lies off disagrees by its distance to the others, in the
// standard deviation of that distance: just below 1.96 it agrees, just above not.
func TestCombineDistance(t *testing.T) {
	hood := Meter{"hood", 0.06}
	list := func(off float64) []Answer {
		return []Answer{{Name: "a", Result: logNormal(100, 0.10), Resolved: true, Meter: hood}, {Name: "b", Result: logNormal(100, 0.10), Resolved: true, Meter: hood},
			{Name: "c", Result: logNormal(100*math.Exp(off), 0.10), Resolved: true, Meter: hood}}
	}
	own := 0.1*0.1 - 0.06*0.06 // the hood's error is in both and drops out
	edge := 1.96 * math.Sqrt(own+own/2)
	for _, off := range []float64{0.999 * edge, 1.001 * edge, -0.999 * edge, -1.001 * edge} {
		c, err := Combine(list(off))
		if err != nil {
			t.Fatal(err)
		}
		if c.Agrees[2] != (math.Abs(off) < edge) {
			t.Errorf("off by %.4f of %.4f: agrees %v", off, edge, c.Agrees[2])
		}
	}
	_, err := Combine([]Answer{{Name: "a", Result: logNormal(100, 0.1), Resolved: true, Meter: Meter{"hood", -1}}})
	refused(t, err, "hood")
}

// moments are the logarithms of the answers and their covariance.
func moments(answers []Answer) (x []float64, covariance *mat.SymDense) {
	covariance = mat.NewSymDense(len(answers), nil)
	for i, a := range answers {
		x = append(x, inLogs(a.Result.Value))
		for j := range i {
			if b := answers[j]; a.Meter.Name != "" && a.Meter == b.Meter {
				covariance.SetSym(i, j, a.Meter.SDLn*a.Meter.SDLn)
			}
		}
		sd := (inLogs(a.Result.High) - inLogs(a.Result.Low)) / (2 * fit.Z90)
		covariance.SetSym(i, i, sd*sd)
	}
	return x, covariance
}

func leastSquares(t *testing.T, x []float64, covariance mat.Matrix) (mean, variance, misfit float64) {
	t.Helper()
	var inverse mat.Dense
	if err := inverse.Inverse(covariance); err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for i := range x {
		for j, v := range x {
			sum += inverse.At(i, j)
			mean += inverse.At(i, j) * v
		}
	}
	mean /= sum
	for i, u := range x {
		for j, v := range x {
			misfit += (u - mean) * inverse.At(i, j) * (v - mean)
		}
	}
	return mean, 1 / sum, misfit
}
