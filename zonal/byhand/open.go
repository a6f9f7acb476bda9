package byhand

import (
	"fmt"
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

const openedDoor = "opened-door test"

// OpenedDoor finds a zone's two leaks from two fan readings: as found, and with
// the zone opened to one side by an opening of any size. Opened to outside,
//
//	L_HZ = ΔQ / (f(p_b) - f(p_a)), L_ZO = L_HZ / r_a            (8)
//
// and opened to the house,
//
//	L_ZO = ΔQ / (f(z_b) - f(z_a)), L_HZ = r_a · L_ZO            (9)
//
// with f(x) = (x/50 Pa)^n, r_a = (z_a/p_a)^n and L_D from what remains of the
// fan flow as found. Holds at other pressures than 50 Pa are brought to it with
// the exponent of the direct leak; a partial opening works with the pressures
// read. It assumes that only this opening changed and that no other zone moved
// with it (CoupledNote).
//
// A rise of the fan flow that is no more than two readings of the fan can tell apart is
// refused. Those that pass are too large on average where the true rise is small, as in a
// zone opened to the side that it is nearly open to already: the low ends allow for it
// (selection), and within some 3 standard deviations only a bound is left.
//
// The error is a *pressure.Fault: ErrReading, ErrTooSmall, or ErrNotResolved where
// neither leak has a closed interval.
//
// Source: power law for two leaks in series, Fitzgerald, Nevitt and Blasnik
// 1994; the limits on the change are computed, not published.
func OpenedDoor(found, opened State, to Side, e Errors) (Result, error) {
	notes, err := checkPair(openedDoor, found, opened, to, true, e)
	if err != nil {
		return Result{}, err
	}
	rise := e.flowRise(found, opened)
	if err := rise.check(found, opened, to, e); err != nil {
		return Result{}, err
	}
	out := e.propagate(func(d *draw) []float64 {
		a, b := found.moment(d), opened.moment(d)
		if to == OutsideSide {
			return a.leaksFromHouseZone(a.solveTwo(b, a.p, b.p, d.nH, d), d)
		}
		return a.leaksFromZoneOutside(a.solveTwo(b, a.z, b.z, d.nO, d), d)
	})
	by := rise.least()
	if lowered(out, by); by < worthSaying {
		notes = append(notes, "the fan flow rose by little more than two readings can tell apart; of such rises the large ones are seen, and the low ends allow for it")
	}
	r := twoLeaks(openedDoor+", opened to the "+to.String(), out, true)
	r.Notes = notes
	r.Working = []pressure.Worked{e.workedOpened(found, opened, to, r), e.seriesStep(found.moment(e.nominal()), r)}
	return r, r.unresolved(found.Name)
}

// solveTwo finds a leak of exponent n whose driving pressure went from xa to
// xb between two fan readings, beside a direct leak that did not change:
// Q = L_D·f(P) + L·f(x) in both states.
func (m moment) solveTwo(b moment, xa, xb, n float64, d *draw) float64 {
	fa, fb := share(m.P, d.nD), share(b.P, d.nD)
	return over(b.Q/fb-m.Q/fa, share(xb, n)/fb-share(xa, n)/fa)
}

// leaksFromHouseZone is L_HZ, L_ZO, through-flow at 50 Pa, L_D and r from the
// state as found and L_HZ.
func (m moment) leaksFromHouseZone(hz float64, d *draw) []float64 {
	r := m.ratio(d)
	zo := hz / r
	if r == 0 {
		zo = math.Copysign(math.Inf(1), hz)
	}
	return m.leaks(hz, zo, hz*share(m.p, d.nH), r, d)
}

// leaksFromZoneOutside is the same from L_ZO.
func (m moment) leaksFromZoneOutside(zo float64, d *draw) []float64 {
	r := m.ratio(d)
	hz := zo * r
	if math.IsNaN(hz) { // a zone open to outdoors beside a zone near the house
		hz = math.Inf(1)
	}
	return m.leaks(hz, zo, zo*share(m.z, d.nO), r, d)
}

func (m moment) leaks(hz, zo, through, r float64, d *draw) []float64 {
	direct := math.NaN()
	if m.Q > 0 {
		direct = (m.Q - through) / share(m.P, d.nD)
	}
	return []float64{hz, zo, through / share(m.P, d.nD), direct, r}
}

// twoLeaks gathers the intervals of leaks into a result.
func twoLeaks(method string, out []fit.Interval, fan bool) Result {
	through, ratio := answer[units.Flow](out[2]), answer[units.Ratio](out[4])
	r := Result{Method: method, HouseZone: answer[units.Flow](out[0]), ZoneOutside: answer[units.Flow](out[1]),
		Through: &through, Ratio: &ratio}
	if fan {
		direct := answer[units.Flow](out[3])
		r.Direct = &direct
	}
	return r
}

// unresolved is an error where neither leak of the zone has a closed interval.
func (r Result) unresolved(about string) error {
	if r.HouseZone.Bound == Between || r.ZoneOutside.Bound == Between {
		return nil
	}
	return fault(ErrNotResolved, r.Method, about,
		"the 90 % interval of both leaks is open: not resolved",
		"make a larger change, open the other side, or repeat the readings in calmer air")
}

// checkPair looks over the two states of a test with one change.
func checkPair(method string, found, opened State, to Side, needFan bool, e Errors) ([]string, error) {
	if to != HouseSide && to != OutsideSide {
		return nil, fault(ErrReading, method, opened.Name,
			"the side that was opened is not given",
			"say house or outside")
	}
	if err := e.check(method); err != nil {
		return nil, err
	}
	if found.FullyOpen != NoSide || found.direction() != opened.direction() {
		return nil, fault(ErrReading, method, found.Name,
			"the two holds do not compare: one must be as found, and both of one direction",
			"hold as found and changed, both depressurised or both pressurised")
	}
	notes, err := checkStates(method, needFan, found, opened)
	if err != nil {
		return nil, err
	}
	n, err := checkChange(method, found, opened, to)
	return append(notes, n...), err
}

// worthSaying is how much lower a low end must be for a remark.
const worthSaying = 0.95

// flowRise is the relative rise of the fan flow at 50 Pa, beside the least that passes:
// one that repeatability alone would leave uncertain by half, √2·s·Q/ΔQ above 0.5
// (computed, not published).
func (e Errors) flowRise(found, opened State) selection {
	d := e.nominal()
	qa, qb := found.moment(d).at50(d.nD).Q, opened.moment(d).at50(d.nD).Q
	noise := math.Hypot(found.Fan.Relative(), opened.Fan.Relative())
	held := math.Hypot(found.House.Relative(), opened.House.Relative())
	return selection{change: (qb - qa) / qa, limit: 2 * noise, sd: math.Hypot(noise, d.nD*held)}
}

// check refuses a rise that does not pass.
func (s selection) check(found, opened State, to Side, e Errors) error {
	if s.change > s.limit && s.change > 0 {
		return nil
	}
	return fault(ErrTooSmall, openedDoor, opened.Name,
		fmt.Sprintf("opening it changed the fan flow at 50 Pa by %s %%, and %s %% is the least that two readings "+
			"of this fan can tell apart (computed, not published)", units.Fixed(100*s.change, 1), units.Fixed(100*s.limit, 1)),
		tryInstead(found.moment(e.nominal()), to))
}

// lowered takes the low ends of the zone's leaks and of the flow through it down by a
// factor; the direct leak may have passed what the zone then does not.
func lowered(out []fit.Interval, by float64) {
	if through := math.Max(0, out[2].Low); units.Finite(through) {
		out[3].High += through * (1 - by)
	}
	for i := range out[:3] {
		out[i].Low = math.Min(out[i].Low, out[i].Low*by)
	}
}

func (e Errors) workedOpened(found, opened State, to Side, r Result) pressure.Worked {
	d := e.nominal()
	a, b := found.moment(d), opened.moment(d)
	qa, qb := a.at50(d.nD).Q, b.at50(d.nD).Q
	xa, xb, n, name, leak, key := a.z, b.z, d.nO, "zone–outside", r.ZoneOutside, "z"
	if to == OutsideSide {
		xa, xb, n, name, leak, key = a.p, b.p, d.nH, "house–zone", r.HouseZone, "p"
	}
	f := e.numbers(qb - qa)
	sa, sb := share(xa, n)/share(a.P, d.nD), share(xb, n)/share(b.P, d.nD)
	return pressure.Worked{
		Formula: fmt.Sprintf("%s = (Q_b - Q_a) / (f(%s_b) - f(%s_a)), f(x) = (x / 50)^n, all at 50 Pa", name, key, key),
		Numbers: fmt.Sprintf("%s%s%s - %s = %s %s at 50 Pa; %s / (%s - %s) = %s", e.scaling(a, d.nD), e.scaling(b, d.nD),
			f.flow(qb), f.flow(qa), f.flow(qb-qa), f.unit.Pretty(), f.flow(qb-qa), units.Fixed(sb, 3), less(sa, 3), e.flowText(leak)),
		Source: seriesSource,
	}
}
