package pressure

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdbook/units"
)

func TestLeakProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		l := Leak{C: math.Exp(r.NormFloat64()*2 - 4), N: 0.5 + 0.5*r.Float64()}
		if r.IntN(5) == 0 {
			l.N = 0.5
		}
		p := units.Pressure(math.Exp(r.Float64()*14 - 8)) // 0.0003 to 400 Pa
		q, slope := l.FlowAndSlope(p)
		back, backSlope := l.FlowAndSlope(-p)
		if q != -back || slope != backSlope || q != l.Flow(p) || !(slope > 0) {
			t.Fatalf("odd symmetry fails at %v of %v", p, l)
		}
		q2, slope2, _ := l.FlowPartials(p)
		nearRel(t, "partials agree on the flow", float64(q2), float64(q), 1e-12)
		nearRel(t, "partials agree on the slope", slope2, slope, 1e-12)
		nearRel(t, "inverse", float64(l.PressureFor(q)), float64(p), 1e-9)
		nearRel(t, "inverse, turned", float64(l.PressureFor(-q)), -float64(p), 1e-9)
		twice := Leak{2 * l.C, l.N}
		nearRel(t, "scales with C", float64(twice.Flow(p)), 2*float64(q), 1e-12)
		if p > 2*LinearBelow {
			nearRel(t, "scaling identity", float64(l.Flow(2*p)), math.Pow(2, l.N)*float64(q), 1e-12)
		}
	}
}

func TestLeakDerivatives(t *testing.T) {
	const h = 1e-6
	for _, l := range []Leak{{0.05, 0.65}, {0.05, 0.5}, {0.3, 1}} {
		for _, p := range []units.Pressure{-50, -0.3, -0.004, 0, 0.004, 0.02, 4, 50} {
			step := units.Pressure(h * math.Max(math.Abs(float64(p)), 1e-3))
			_, slope, dn := l.FlowPartials(p)
			near(t, "slope by finite difference", slope, float64(l.Flow(p+step)-l.Flow(p-step))/float64(2*step), 1e-6*slope)
			up, down := Leak{l.C, l.N + h}, Leak{l.C, l.N - h}
			near(t, "dn by finite difference", dn, float64(up.Flow(p)-down.Flow(p))/(2*h), 1e-6*math.Abs(dn)+1e-12)
		}
	}
}

func TestLeakIsContinuousWhereItTurnsLinear(t *testing.T) {
	for _, n := range []float64{0.5, 0.65, 1} {
		l := Leak{0.05, n}
		below := units.Pressure(math.Nextafter(float64(LinearBelow), 0))
		nearRel(t, "flow at 0.01 Pa", float64(l.Flow(below)), float64(l.Flow(LinearBelow)), 1e-12)
		nearRel(t, "published law at 0.01 Pa", float64(l.Flow(LinearBelow)), 0.05*math.Pow(0.01, n), 1e-12)
	}
	l := Leak{0.05, 0.65}
	if q, slope := l.FlowAndSlope(0); q != 0 || !(slope > 0) || math.IsInf(slope, 0) {
		t.Errorf("at zero: flow %v, slope %v", q, slope)
	}
}

func TestLeakEdges(t *testing.T) {
	if p := (Leak{0, 0.65}).PressureFor(1); p != 0 {
		t.Errorf("a closed leak needs %v Pa", p)
	}
	if p := (Leak{1e-300, 0.5}).PressureFor(1e300); !units.Finite(float64(p)) {
		t.Error("infinite pressure")
	}
	for _, bad := range []struct {
		q units.Flow
		p units.Pressure
		n units.Ratio
	}{{0, 50, .65}, {-1, 50, .65}, {1, 0, .65}, {1, -50, .65}, {1, 50, .49}, {1, 50, 1.01}, {units.Flow(math.NaN()), 50, .65}, {1, units.Pressure(math.Inf(1)), .65}} {
		if l, err := NewLeak(bad.q, bad.p, bad.n); err == nil {
			t.Errorf("NewLeak(%v) = %v without an error", bad, l)
		}
	}
	nearRel(t, "NewLeak passes its flow", float64(good(NewLeak(0.7, 50, 0.65))(t).Flow(50)), 0.7, 1e-12)
}
