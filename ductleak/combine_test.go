package ductleak

import (
	"math"
	"testing"

	"holdbook/units"
)

// logNormal is an estimate with a median and an ln standard deviation.
func logNormal(median, sd float64) units.Estimate[units.Flow] {
	return units.Estimate[units.Flow]{
		Value: units.Flow(median), Low: units.Flow(median * math.Exp(-z90*sd)), High: units.Flow(median * math.Exp(z90*sd)),
	}
}

func TestCombineAgrees(t *testing.T) {
	c, err := Combine([]Answer{{"a", logNormal(100, 0.1), true}, {"b", logNormal(100, 0.1), true}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "value", c.Combined.Value, 100, 1e-9)
	near(t, "ln sd", math.Log(float64(c.Combined.High/c.Combined.Low))/(2*z90), 0.1/math.Sqrt2, 1e-9)
	if !c.Agree || !c.Agrees[0] || !c.Agrees[1] || c.Widened != 1 || len(c.Used) != 2 {
		t.Errorf("%+v", c)
	}
}

func TestCombineWeighs(t *testing.T) {
	c, err := Combine([]Answer{{"a", logNormal(90, 0.1), true}, {"b", logNormal(110, 0.2), true}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ln value", math.Log(float64(c.Combined.Value)), (4*math.Log(90)+math.Log(110))/5, 1e-9)
	near(t, "misfit", c.Misfit, math.Pow(math.Log(110.0/90), 2)/0.05, 1e-9)
	near(t, "chance", c.Chance, math.Erfc(math.Sqrt(c.Misfit/2)), 1e-9)
}

func TestCombineDisagrees(t *testing.T) {
	c, err := Combine([]Answer{
		{"a", logNormal(100, 0.05), true}, {"b", logNormal(104, 0.05), true}, {"c", logNormal(200, 0.05), true},
		{"d", logNormal(5, 2), false},
	}, 0)
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
	sd := math.Hypot(0.1, 0.05)
	c, err := Combine([]Answer{{"a", logNormal(100, sd), true}, {"b", logNormal(100, sd), true}}, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ln sd", math.Log(float64(c.Combined.High/c.Combined.Low))/(2*z90), math.Hypot(0.1/math.Sqrt2, 0.05), 1e-9)
}

func TestCombineFew(t *testing.T) {
	_, err := Combine([]Answer{{"a", logNormal(100, 0.1), false}}, 0)
	refused(t, err, "duct tests")
	one, err := Combine([]Answer{{"a", logNormal(100, 0.1), true}}, 0)
	if err != nil || one.Combined != logNormal(100, 0.1) {
		t.Errorf("%+v, %v", one, err)
	}
	exact, err := Combine([]Answer{{"a", Exactly(units.Flow(1)), true}, {"b", Exactly(units.Flow(1)), true}}, 0)
	if err != nil || hasNaN(float64(exact.Combined.Low), exact.Chance) {
		t.Errorf("%+v, %v", exact, err)
	}
}
