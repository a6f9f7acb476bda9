package byhand

import (
	"fmt"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

const stepTest = "two-fan step test"

// stepDraws is fewer than repeats because each draw is a fit.
const stepDraws = 600

// StepTest fits the house–zone leak and its exponent to three or more holds of
// one house pressure in which a second fan steps the zone's pressure: the fan
// that holds the house changes by the flow between the two,
//
//	Q_i = L_D·f(P_i) + L_HZ·f(p_i),  f(x) = (x/50 Pa)^n, signed
//
// by least squares weighted with the repeatability of the fan, with the
// exponent's prior. The interval is that of the fit repeated over the error
// model. ZoneOutside stays open: the second fan's own flow is not needed. The
// steps must span 10 Pa. The error is a *pressure.Fault.
//
// Source: Herrlin and Modera 1988.
func StepTest(steps []State, e Errors) (Result, error) {
	notes, err := checkSteps(steps, e)
	if err != nil {
		return Result{}, err
	}
	if e.Draws == 0 {
		e.Draws = stepDraws
	}
	ms := make([]moment, len(steps))
	out := e.propagate(func(d *draw) []float64 {
		for i, s := range steps {
			ms[i] = s.moment(d)
		}
		fit := fitSteps(ms, steps, e, d)
		return []float64{fit.hz, fit.direct, fit.n}
	})
	direct, exponent := answer[units.Flow](out[1]), answer[units.Ratio](out[2])
	r := Result{Method: stepTest, HouseZone: answer[units.Flow](out[0]),
		ZoneOutside: Answer[units.Flow]{Bound: Open}, Direct: &direct, Exponent: &exponent, Notes: notes}
	r.Working = []pressure.Worked{e.workedSteps(steps, r)}
	return r, r.unresolved(steps[0].Name)
}

func checkSteps(steps []State, e Errors) ([]string, error) {
	if err := e.check(stepTest); err != nil {
		return nil, err
	}
	if len(steps) < 3 {
		return nil, fault(ErrReading, stepTest, "",
			fmt.Sprintf("%d steps were read", len(steps)),
			"read three or more")
	}
	var notes []string
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range steps {
		n, err := s.checkStep(steps[0].direction())
		if err != nil {
			return nil, err
		}
		notes = append(notes, n...)
		p := s.moment(e.nominal()).p
		low, high = math.Min(low, p), math.Max(high, p)
	}
	if high-low < 10 {
		return nil, fault(ErrTooSmall, stepTest, "",
			units.Say("the steps span only %s between house and zone (10 Pa is the least; computed, not published)", units.Pressure(high-low)),
			"step the second fan further")
	}
	return notes, nil
}

// checkStep is check without its refusal of a zone beyond house or outdoors,
// which a second fan can well bring about.
func (s State) checkStep(direction float64) ([]string, error) {
	if s.direction() != direction {
		return nil, fault(ErrReading, stepTest, s.Name,
			"the steps do not compare",
			"hold all of them depressurised or all pressurised")
	}
	inside := s
	if s.FullyOpen == NoSide {
		inside.FullyOpen = OutsideSide
		if s.ZoneToHouse == nil && s.ZoneToOutside == nil {
			inside.FullyOpen = NoSide // let check name it
		}
	}
	if _, err := inside.check(stepTest, true); err != nil {
		return nil, err
	}
	return s.checkClosure(refusal(stepTest, s.Name))
}

type stepFit struct{ hz, direct, n, cost float64 }

// fitSteps searches the exponent by golden section; the two sizes are linear at
// each exponent. The prior's centre is drawn as well, so that the spread of the
// fits is that of data and prior together.
func fitSteps(ms []moment, steps []State, e Errors, d *draw) stepFit {
	at := func(n float64) stepFit {
		f := linearSteps(ms, steps, n, d)
		if e.HouseZone.SD > 0 {
			z := (n - d.nH) / float64(e.HouseZone.SD)
			f.cost += z * z
		}
		return f
	}
	if e.HouseZone.SD == 0 {
		return at(d.nH)
	}
	const golden = 0.6180339887498949
	lo, hi := pressure.MinExponent, pressure.MaxExponent
	a, b := at(hi-golden*(hi-lo)), at(lo+golden*(hi-lo))
	for hi-lo > 1e-6 {
		if a.cost < b.cost {
			hi, b = b.n, a
			a = at(hi - golden*(hi-lo))
		} else {
			lo, a = a.n, b
			b = at(lo + golden*(hi-lo))
		}
	}
	return a
}

// linearSteps solves the two normal equations of the sizes at one exponent.
func linearSteps(ms []moment, steps []State, n float64, d *draw) stepFit {
	var aa, ab, bb, ay, by, yy float64
	for i, m := range ms {
		w := 1 / (m.Q * math.Max(steps[i].Fan.Relative(), 1e-6))
		a, b, y := w*share(m.P, d.nD), w*share(m.p, n), w*m.Q
		aa, ab, bb, ay, by, yy = aa+a*a, ab+a*b, bb+b*b, ay+a*y, by+b*y, yy+y*y
	}
	det := aa*bb - ab*ab
	f := stepFit{n: n, direct: (bb*ay - ab*by) / det, hz: (aa*by - ab*ay) / det}
	f.cost = math.Max(0, yy-f.direct*ay-f.hz*by)
	return f
}

func (e Errors) workedSteps(steps []State, r Result) pressure.Worked {
	first, last := steps[0].moment(e.nominal()), steps[len(steps)-1].moment(e.nominal())
	f := e.numbers(first.Q, last.Q)
	x := r.Exponent
	return pressure.Worked{
		Formula: "Q = L_d·(P / 50)^n_d + L_hz·(p / 50)^n, fitted to all steps by least squares",
		Numbers: fmt.Sprintf("%d steps from p %s Pa, %s %s to p %s Pa, %s %s: house–zone %s, exponent %s, direct %s", len(steps),
			units.Fixed(first.p, 1), f.flow(first.Q), f.unit.Pretty(), units.Fixed(last.p, 1), f.flow(last.Q), f.unit.Pretty(),
			e.flowText(r.HouseZone), carried(*x, units.One), e.flowText(*r.Direct)),
		Source: stepSource,
	}
}
