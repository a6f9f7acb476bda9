package zonal

import (
	"fmt"
	"math"

	"holdbook/pressure"
	"holdbook/units"
)

const addedOpening = "added-opening test"

// Hole is a sharp-edged opening of known size.
type Hole struct {
	Area units.Area
	// SDLn is the relative standard deviation of Area (0.03 by default).
	SDLn float64
	// Cd replaces the error model's discharge coefficient where it is not 0;
	// its standard deviation stays 5 % of it.
	Cd float64
}

// flow draws what the hole passes at x pascals, m³/s, with the sign of x.
func (h Hole) flow(x, lnError float64, d *draw, e HandErrors) float64 {
	cd := d.cd
	if h.Cd > 0 {
		cd *= h.Cd / e.Cd.Mean
	}
	at50 := float64(pressure.HoleFlow(h.Area, Reference, units.Ratio(cd), e.Air))
	return at50 * math.Exp(lnError) * share(x, sharpExponent)
}

func (h Hole) check(about string) error {
	if h.Area > 0 && finite(float64(h.Area)) && h.SDLn >= 0 && h.SDLn < 0.5 && h.Cd >= 0 && h.Cd <= 1 {
		return nil
	}
	return &HandError{Method: addedOpening, About: about, Kind: ErrReading,
		Wrong: "the added opening needs an area above zero, an error below 50 % and a discharge coefficient up to 1",
		Do:    "measure the hole and give its area"}
}

// AddedOpening finds a zone's two leaks from pressures alone: as found, and
// with a hole of known size added on one side. The hole on the house side,
//
//	L_ZO = q_h / (f(z_b) − r_a·f(p_b)), L_HZ = r_a·L_ZO          (11)
//
// and on the outside,
//
//	L_HZ = q_h / (f(p_b) − f(z_b)/r_a), L_ZO = L_HZ/r_a          (12)
//
// with q_h = Cd·A·√(2Δp/ρ) at the pressure across the hole. The two holds may
// differ, and no fan reading is needed; with one as found, the direct leak
// comes out too. Assumptions, errors and source as with OpenedDoor; the least
// change of zone pressure (3 Pa) is computed, not published.
func AddedOpening(found, opened HandState, to Side, h Hole, e HandErrors) (HandResult, error) {
	notes, err := checkPair(addedOpening, found, opened, to, false, e)
	if err != nil {
		return HandResult{}, err
	}
	if err := h.check(opened.Name); err != nil {
		return HandResult{}, err
	}
	out := e.propagate(func(d *draw) []float64 {
		a, b, size := found.moment(d), opened.moment(d), h.SDLn*d.normal()
		if to == HouseSide {
			return a.leaksFromZoneOutside(over(h.flow(b.p, size, d, e), b.netHouseSide(a, d)), d)
		}
		return a.leaksFromHouseZone(over(h.flow(b.z, size, d, e), b.netOutside(a, d)), d)
	})
	r := twoLeaks(addedOpening+", hole to the "+to.String(), out, found.Fan != nil)
	r.Notes = append(notes, smallPush(opened, e)...)
	r.Working = []Worked{e.workedHole(found, opened, to, h, r), e.seriesStep(found.moment(e.nominal()), r)}
	return r, r.unresolved(found.Name)
}

// netHouseSide is the denominator of (11), netOutside that of (12), from the
// state after (m) and the state as found.
func (m moment) netHouseSide(found moment, d *draw) float64 {
	return share(m.z, d.nO) - found.ratio(d)*share(m.p, d.nH)
}

func (m moment) netOutside(found moment, d *draw) float64 {
	r := found.ratio(d)
	if r == 0 {
		return math.Inf(-1)
	}
	return share(m.p, d.nH) - share(m.z, d.nO)/r
}

// smallPush notes a hole so large that little pressure is left across it.
func smallPush(opened HandState, e HandErrors) []string {
	m := opened.moment(e.nominal())
	if least := math.Min(m.p, m.z); least < leastPush {
		return []string{fmt.Sprintf("the hole left only %.1f Pa across the smaller side; a smaller hole that leaves 3 Pa or more answers better "+
			"(computed, not published)", math.Max(least, 0))}
	}
	return nil
}

func (e HandErrors) workedHole(found, opened HandState, to Side, h Hole, r HandResult) Worked {
	d := e.nominal()
	a, b := found.moment(d), opened.moment(d)
	ratio := a.ratio(d)
	x, first, second, formula, leak := b.p, share(b.z, d.nO), ratio*share(b.p, d.nH), "zone–outside = q / (f(z_b) − r·f(p_b))", r.ZoneOutside
	if to == OutsideSide {
		x, first, second = b.z, share(b.p, d.nH), share(b.z, d.nO)/ratio
		formula, leak = "house–zone = q / (f(p_b) − f(z_b) / r)", r.HouseZone
	}
	q := h.flow(x, 0, d, e)
	f, cd := e.numbers(q), d.cd
	if h.Cd > 0 {
		cd = h.Cd
	}
	au := e.areaUnit()
	return Worked{
		Formula: formula + ", q = Cd·A·√(2Δp/ρ), f(x) = (x / 50)^n, r = f(z_a) / f(p_a)",
		Numbers: fmt.Sprintf("hole of %s %s, Cd %.2f, at %s Pa passes %s %s; %s / (%s − %s) = %s",
			fixed(au.FromSI(float64(h.Area)), 1), au.Symbol(), cd, fixed(x, 1), f.flow(q), f.unit.Symbol(),
			f.flow(q), fixed(first, 3), fixed(second, 3), e.flowText(leak)),
		Source: holeSource,
	}
}
