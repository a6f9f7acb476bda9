package byhand

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

// cut is a hole ready for drawing: its flow at 50 Pa with a discharge
// coefficient of 1, and its own coefficient over the error model's.
type cut struct {
	area             units.Area
	whole, own, sdLn float64
}

func (h Hole) cut(about string, e Errors) (cut, error) {
	if err := h.check(about); err != nil {
		return cut{}, err
	}
	whole, err := pressure.HoleFlow(h.Area, 1, pressure.ReferencePressure, e.Air)
	if err != nil {
		return cut{}, fault(ErrReading, addedOpening, about,
			err.Error(),
			"give the area of the hole")
	}
	c := cut{area: h.Area, whole: float64(whole.Value), own: 1, sdLn: h.SDLn}
	if h.Cd > 0 {
		c.own = h.Cd / float64(e.Cd.Value)
	}
	return c, nil
}

// sized draws the hole's size: its flow at 50 Pa, m³/s.
func (c cut) sized(d *draw) float64 {
	return c.whole * c.own * d.cd * math.Exp(c.sdLn*d.Normal())
}

func (h Hole) check(about string) error {
	if h.Area > 0 && h.Area < 1000 && h.SDLn >= 0 && h.SDLn < 0.5 && h.Cd >= 0 && h.Cd <= 1 {
		return nil
	}
	return fault(ErrReading, addedOpening, about,
		"the opening needs an area above zero, an error below 50 % and a discharge coefficient up to 1",
		"measure the hole and give its area")
}

// AddedOpening finds a zone's two leaks from pressures alone: as found, and
// with a hole of known size added on one side. The hole on the house side,
//
//	L_ZO = q_h / (f(z_b) - r_a·f(p_b)), L_HZ = r_a·L_ZO          (11)
//
// and on the outside,
//
//	L_HZ = q_h / (f(p_b) - f(z_b)/r_a), L_ZO = L_HZ/r_a          (12)
//
// with q_h = Cd·A·√(2Δp/ρ) at the pressure across the hole. The two holds may
// differ, and no fan reading is needed; with one as found, the direct leak
// comes out too. Assumptions, errors and source as with OpenedDoor; the least
// change of zone pressure (3 Pa) is computed, not published.
func AddedOpening(found, opened State, to Side, h Hole, e Errors) (Result, error) {
	notes, err := checkPair(addedOpening, found, opened, to, false, e)
	if err != nil {
		return Result{}, err
	}
	c, err := h.cut(opened.Name, e)
	if err != nil {
		return Result{}, err
	}
	out := e.propagate(func(d *draw) []float64 {
		a, b, size := found.moment(d), opened.moment(d), c.sized(d)
		if to == HouseSide {
			return a.leaksFromZoneOutside(over(size*share(b.p, pressure.SharpExponent), b.netHouseSide(a, d)), d)
		}
		return a.leaksFromHouseZone(over(size*share(b.z, pressure.SharpExponent), b.netOutside(a, d)), d)
	})
	r := twoLeaks(addedOpening+", hole to the "+to.String(), out, found.Fan != nil)
	r.Notes = append(notes, smallPush(opened, e)...)
	r.Working = []pressure.Worked{e.workedHole(found, opened, to, c, r), e.seriesStep(found.moment(e.nominal()), r)}
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
func smallPush(opened State, e Errors) []string {
	m := opened.moment(e.nominal())
	if least := math.Min(m.p, m.z); least < leastPush {
		return []string{units.Say("the hole left only %s across the smaller side; a smaller hole that leaves 3 Pa or more answers better "+
			"(computed, not published)", units.Pressure(math.Max(least, 0)))}
	}
	return nil
}

func (e Errors) workedHole(found, opened State, to Side, c cut, r Result) pressure.Worked {
	d := e.nominal()
	a, b := found.moment(d), opened.moment(d)
	ratio := a.ratio(d)
	x, first, second, formula, leak := b.p, share(b.z, d.nO), ratio*share(b.p, d.nH), "zone–outside = q / (f(z_b) - r·f(p_b))", r.ZoneOutside
	if to == OutsideSide {
		x, first, second = b.z, share(b.p, d.nH), share(b.z, d.nO)/ratio
		formula, leak = "house–zone = q / (f(p_b) - f(z_b) / r)", r.HouseZone
	}
	q := c.sized(d) * share(x, pressure.SharpExponent)
	f := e.numbers(q)
	return pressure.Worked{
		Formula: formula + ", q = Cd·A·√(2Δp/ρ), f(x) = (x / 50)^n, r = f(z_a) / f(p_a)",
		Numbers: fmt.Sprintf("%s at %s Pa passes %s %s; %s / (%s - %s) = %s",
			e.holeText("hole", c), units.Fixed(x, 1), f.flow(q), f.unit.Pretty(),
			f.flow(q), units.Fixed(first, 3), less(second, 3), e.flowText(leak)),
		Source: holeSource,
	}
}

// holeText writes a hole as "hole of 40 in², Cd 0.60".
func (e Errors) holeText(what string, c cut) string {
	u := e.Units.Area()
	return fmt.Sprintf("%s of %s %s, Cd %.2f", what, units.Fixed(u.FromSI(float64(c.area)), 1), u.Pretty(), c.own*float64(e.Cd.Value))
}
