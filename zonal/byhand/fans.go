package byhand

import (
	"fmt"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

const (
	nullTest   = "two-fan null test"
	threeTests = "three single-fan tests"
)

// NullTest finds the three leaks of a house and a zone with a second fan in the
// zone that brings it to the pressure of the house, so that their common leak
// carries nothing:
//
//	L_HZ = (Q_open - Q_null) / f(p), L_ZO = Q_zone / f(P), L_D = Q_null / f(P)   (13)
//
// where open is a hold with the zone open to outside (p = P) or as found. A
// pressure left over in the null is carried along. zoneFan is the flow of the
// second fan (magnitude), which shares no calibration with the first. More than
// 3 Pa left over is refused. The error is a *pressure.Fault.
//
// Source: Lundin 1981; CMHC 04-108.
func NullTest(open, null State, zoneFan units.Measured[units.Flow], e Errors) (Result, error) {
	notes, err := checkNull(open, null, zoneFan, e)
	if err != nil {
		return Result{}, err
	}
	out := e.propagate(func(d *draw) []float64 {
		o, n := open.moment(d), null.moment(d)
		hz := n.solveTwo(o, n.p, o.p, d.nH, d)
		cross := hz * share(n.p, d.nH) // from the zone to the house, with the flow
		return []float64{hz, (d.secondFlow(zoneFan) + cross) / share(n.z, d.nO), (n.Q - cross) / share(n.P, d.nD)}
	})
	direct := answer[units.Flow](out[2])
	r := Result{Method: nullTest, HouseZone: answer[units.Flow](out[0]), ZoneOutside: answer[units.Flow](out[1]),
		Direct: &direct, Notes: notes}
	r.Working = []pressure.Worked{e.workedNull(open, null, zoneFan, r)}
	return r, r.unresolved(open.Name)
}

func checkNull(open, null State, zoneFan units.Measured[units.Flow], e Errors) ([]string, error) {
	if err := e.check(nullTest); err != nil {
		return nil, err
	}
	notes, err := checkStates(nullTest, true, open, null)
	if err != nil {
		return nil, err
	}
	bad := refusal(nullTest, null.Name)
	o, n := open.moment(e.nominal()), null.moment(e.nominal())
	switch {
	case !validFlow(zoneFan):
		return nil, bad("the flow of the second fan must be a positive number", "read it while the zone is nulled")
	case open.direction() != null.direction():
		return nil, bad("the two holds do not compare", "hold both depressurised or both pressurised")
	case math.Abs(n.p) > refuseChange:
		return nil, bad(units.Say("the zone is still %s from the house", units.Pressure(n.p)), "trim the second fan until it reads 0 Pa")
	case o.p-n.p < refuseChange:
		return nil, fault(ErrTooSmall, nullTest, open.Name,
			units.Say("the zone moved only %s between the two holds", units.Pressure(o.p-n.p)),
			"open the zone to outside in the hold without the second fan")
	case math.Abs(n.p) > 0.5:
		notes = append(notes, units.Say("%s was left between zone and house; it is carried along", units.Pressure(math.Abs(n.p))))
	}
	return notes, nil
}

func (e Errors) workedNull(open, null State, zoneFan units.Measured[units.Flow], r Result) pressure.Worked {
	d := e.nominal()
	o, n := open.moment(d), null.moment(d)
	qo, qn := o.at50(d.nD).Q, n.at50(d.nD).Q
	f := e.numbers(qo-qn, float64(zoneFan.Value))
	fo, fn := share(o.p, d.nH)/share(o.P, d.nD), share(n.p, d.nH)/share(n.P, d.nD)
	return pressure.Worked{
		Formula: "house–zone = (Q_open - Q_null) / (f(p_open) - f(p_null)), zone–outside = (Q_zone + cross-flow) / f(z), all at 50 Pa",
		Numbers: fmt.Sprintf("%s%s%s - %s = %s %s at 50 Pa; %s / (%s - %s) = %s; second fan %s / %s: zone–outside %s",
			e.scaling(o, d.nD), e.scaling(n, d.nD), f.flow(qo), f.flow(qn), f.flow(qo-qn), f.unit.Pretty(),
			f.flow(qo-qn), units.Fixed(fo, 3), less(fn, 3), e.flowText(r.HouseZone),
			f.flow(float64(zoneFan.Value)), units.Fixed(share(n.z, d.nO), 3), e.flowText(r.ZoneOutside)),
		Source: nullSource,
	}
}

// FanTest is one single-fan test: the pressure that was held and the flow.
type FanTest struct {
	Name string
	Held units.Measured[units.Pressure]
	Fan  units.Measured[units.Flow]
}

// ThreeTests finds the three leaks from three single-fan tests without any zone
// pressure:
//
//	zoneOpen: house fan, zone open to outside          Q1 = L_D + L_HZ
//	joined:   house fan, house and zone joined         Q2 = L_D + L_ZO
//	zoneFan:  fan in the zone, house open to outside   Q3 = L_HZ + L_ZO
//	L_HZ = (Q1+Q3-Q2)/2, L_ZO = (Q2+Q3-Q1)/2, L_D = (Q1+Q2-Q3)/2     (14)
//
// Tests held at another pressure than 50 Pa are brought to it with the exponent
// of the direct leak. One fan is taken to have been used for all three. The
// error is a *pressure.Fault.
//
// Source: reciprocity, Nylund 1980; algebra and interval computed here.
func ThreeTests(zoneOpen, joined, zoneFan FanTest, e Errors) (Result, error) {
	tests := []FanTest{zoneOpen, joined, zoneFan}
	if err := e.check(threeTests); err != nil {
		return Result{}, err
	}
	for _, t := range tests {
		if err := t.check(threeTests); err != nil {
			return Result{}, err
		}
	}
	solve := func(d *draw) []float64 {
		var q [3]float64
		for i, t := range tests {
			q[i] = t.at50(d)
		}
		return []float64{(q[0] + q[2] - q[1]) / 2, (q[1] + q[2] - q[0]) / 2, (q[0] + q[1] - q[2]) / 2}
	}
	out := e.propagate(solve)
	direct := answer[units.Flow](out[2])
	r := Result{Method: threeTests, HouseZone: answer[units.Flow](out[0]), ZoneOutside: answer[units.Flow](out[1]), Direct: &direct}
	r.Working = []pressure.Worked{e.workedThree(tests, r)}
	return r, r.unresolved(zoneOpen.Name)
}

// at50 draws the fan flow that 50 Pa would have taken.
func (t FanTest) at50(d *draw) float64 {
	return d.flow(t.Fan) / share(math.Abs(d.pressure(t.Held)), d.nD)
}

// moment is the test as it was read.
func (t FanTest) moment() moment {
	return moment{P: math.Abs(float64(t.Held.Value)), Q: float64(t.Fan.Value)}
}

func (t FanTest) check(method string) error {
	p := math.Abs(float64(t.Held.Value))
	if validFlow(t.Fan) && validPressure(t.Held) && p >= smallestHold && float64(t.Held.SD) <= p/4 {
		return nil
	}
	return fault(ErrReading, method, t.Name,
		"a held pressure of 5 Pa or more and a positive fan flow are needed",
		"hold 50 Pa and read the fan")
}

func (e Errors) workedThree(tests []FanTest, r Result) pressure.Worked {
	d := e.nominal()
	var q [3]float64
	scaled := ""
	for i, t := range tests {
		m := t.moment()
		q[i] = m.at50(d.nD).Q
		scaled += e.scaling(m, d.nD)
	}
	f := e.numbers(q[0]+q[2]-q[1], q[1]+q[2]-q[0])
	line := func(a, b, c int, leak Answer[units.Flow]) string {
		return fmt.Sprintf("(%s + %s - %s) / 2 = %s", f.flow(q[a]), f.flow(q[b]), f.flow(q[c]), e.flowText(leak))
	}
	return pressure.Worked{
		Formula: "house–zone = (Q1 + Q3 - Q2) / 2, zone–outside = (Q2 + Q3 - Q1) / 2, direct = (Q1 + Q2 - Q3) / 2, all at 50 Pa",
		Numbers: scaled + "house–zone " + line(0, 2, 1, r.HouseZone) + "; zone–outside " + line(1, 2, 0, r.ZoneOutside) +
			"; direct " + line(0, 1, 2, *r.Direct),
		Source: threeSource,
	}
}
