package byhand

import (
	"fmt"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

const guardedTest = "guarded test"

// Guard is a neighbouring space held at the pressure of the unit under test by
// another fan.
type Guard struct {
	Name string
	// Off is the guard with reference to the unit, signed as a gauge shows it.
	Off units.Measured[units.Pressure]
	// Share is its part of the unit's leakage to all guards, where known; the
	// rest is shared out evenly over guards without one.
	Share float64
}

// GuardedResult splits a unit's leakage at 50 Pa.
type GuardedResult struct {
	// Total is the unit's fan with its neighbours open to outside ("unit
	// total"), Exterior with the guards ("unit exterior only"), Interior what
	// goes to the neighbours.
	Total, Exterior, Interior Answer[units.Flow]
	Notes                     []string
	Working                   []pressure.Worked
}

// Guarded splits the leakage of a unit from two tests of it: solo, with every
// neighbour open to outside (their doors and windows open), and guarded, with
// every neighbour held at the unit's own pressure:
//
//	Q_solo = E + I,  Q_guarded = E + I·Σ share_j·f(off_j)
//
// both at 50 Pa; f(x) = (x/50 Pa)^n, signed. Guards that are a little off are
// corrected for in this way; at n 0.65 a guard 1 Pa off passes 8 % of its
// interface. More than 3 Pa off is refused. With the neighbours' doors shut the
// solo test reads too low and so does Interior. The error is a *pressure.Fault.
//
// Source: ISO 9972 (equalised neighbours); correction computed here.
func Guarded(solo, guarded FanTest, guards []Guard, e Errors) (GuardedResult, error) {
	notes, err := checkGuards(solo, guarded, guards, e)
	if err != nil {
		return GuardedResult{}, err
	}
	shares := guardShares(guards)
	out := e.propagate(func(d *draw) []float64 {
		total, with := solo.at50(d), guarded.at50(d)
		off := guardOff(guarded, guards, shares, d)
		interior := (total - with) / (1 - off)
		return []float64{total, total - interior, interior}
	})
	r := GuardedResult{Total: answer[units.Flow](out[0]), Exterior: answer[units.Flow](out[1]),
		Interior: answer[units.Flow](out[2]), Notes: notes}
	r.Working = []pressure.Worked{e.workedGuard(solo, guarded, guards, shares, r)}
	if r.Exterior.Bound != Between && r.Interior.Bound != Between {
		return r, fault(ErrNotResolved, guardedTest, guarded.Name,
			"the 90 % intervals of both parts are open: not resolved",
			"hold the guards closer to zero and repeat the readings")
	}
	return r, nil
}

// guardOff is Σ share·f(off): the part of the interior leakage that still flows,
// counted as leakage into the unit when the guard is nearer to outdoors.
func guardOff(t FanTest, guards []Guard, shares []float64, d *draw) float64 {
	dir := math.Copysign(1, float64(t.Held.Value))
	sum := 0.0
	for i, g := range guards {
		sum += shares[i] * share(-dir*d.pressure(g.Off), d.nH)
	}
	return sum
}

func guardShares(guards []Guard) []float64 {
	shares, known, unknown := make([]float64, len(guards)), 0.0, 0
	for _, g := range guards {
		if known += g.Share; g.Share == 0 {
			unknown++
		}
	}
	for i, g := range guards {
		switch {
		case g.Share > 0 && unknown == 0:
			shares[i] = g.Share / known
		case g.Share > 0:
			shares[i] = g.Share
		default:
			shares[i] = math.Max(0, 1-known) / float64(unknown)
		}
	}
	return shares
}

func checkGuards(solo, guarded FanTest, guards []Guard, e Errors) ([]string, error) {
	if err := e.check(guardedTest); err != nil {
		return nil, err
	}
	for _, t := range []FanTest{solo, guarded} {
		if err := t.check(guardedTest); err != nil {
			return nil, err
		}
	}
	if len(guards) == 0 {
		return nil, refusal(guardedTest, guarded.Name)("no guard was read", "read every guarded neighbour to the unit")
	}
	var notes []string
	sum := 0.0
	for _, g := range guards {
		off := math.Abs(float64(g.Off.Value))
		sum += g.Share
		bad := refusal(guardedTest, g.Name)
		switch {
		case !validPressure(g.Off) || g.Off.SD > refuseChange || !(g.Share >= 0 && g.Share <= 1):
			return nil, bad("its pressure to the unit, or its share, is out of range", "give pascals, and a share from 0 to 1")
		case off > refuseChange:
			return nil, bad(units.Say("the guard is %s off the unit", units.Pressure(off)), "trim its fan to within 0.5 Pa")
		case off > 0.5:
			notes = append(notes, units.Say("%s is %s off the unit and passes about %.0f %% of its interface; trim its fan to within 0.5 Pa",
				g.Name, units.Pressure(off), 100*share(off, float64(e.HouseZone.Value))))
		}
	}
	if sum > 1.001 {
		return nil, refusal(guardedTest, guarded.Name)("the guards' shares add up to more than 1", "give shares of the leakage to all guards together")
	}
	return notes, nil
}

func (e Errors) workedGuard(solo, guarded FanTest, guards []Guard, shares []float64, r GuardedResult) pressure.Worked {
	d := e.nominal()
	ms, mg := solo.moment(), guarded.moment()
	qs, qg, off := ms.at50(d.nD).Q, mg.at50(d.nD).Q, guardOff(guarded, guards, shares, d)
	f := e.numbers(qs-qg, qg)
	return pressure.Worked{
		Formula: "interior = (Q_solo - Q_guarded) / (1 - Σ share·f(off)), exterior = Q_solo - interior, all at 50 Pa",
		Numbers: fmt.Sprintf("%s%s(%s - %s) / (1 - %s) = %s interior; exterior %s", e.scaling(ms, d.nD), e.scaling(mg, d.nD),
			f.flow(qs), f.flow(qg), less(off, 3), e.flowText(r.Interior), e.flowText(r.Exterior)),
		Source: guardSource,
	}
}
