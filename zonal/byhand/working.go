package byhand

import (
	"fmt"
	"math"
	"strings"

	"holdbook/pressure"
	"holdbook/units"
)

// Where the closed forms come from.
const (
	seriesSource = "power law for two leaks in series (Blasnik and Fitzgerald 1992; Fitzgerald, Nevitt and Blasnik 1994); algebra and interval computed here"
	holeSource   = "sharp-edged hole, Q = Cd·A·√(2Δp/ρ), in series with the zone's leaks; algebra and interval computed here"
	nullSource   = "two-fan null test (Lundin 1981; CMHC 04-108); algebra and interval computed here"
	stepSource   = "two-fan step test (Herrlin and Modera 1988); fit and interval computed here"
	threeSource  = "three single-fan tests (reciprocity, Nylund 1980); interval computed here"
	guardSource  = "guarded test (ISO 9972, equalised neighbours); correction for the guards computed here"
	roomSource   = "sharp-edged gap under the door in series with the room's leak; computed here"
)

// numbers writes flows in the reader's unit, all to the decimals that the
// smallest of them needs for three figures, so that a sum can be followed.
type numbers struct {
	unit     units.Unit
	decimals int
}

func (e Errors) numbers(flows ...float64) numbers {
	u := e.Units.Flow()
	shown := make([]float64, len(flows))
	for i, q := range flows {
		shown[i] = u.FromSI(q)
	}
	return numbers{unit: u, decimals: units.Common(3, shown...)}
}

func (n numbers) flow(q float64) string { return units.Fixed(n.unit.FromSI(q), n.decimals) }

// less writes a number to be subtracted.
func less(v float64, decimals int) string {
	text := units.Fixed(v, decimals)
	if strings.HasPrefix(text, "-") {
		return "(" + text + ")"
	}
	return text
}

// carried writes an answer with the figures that its interval carries, as tables do.
func carried[Q ~float64](a Answer[Q], u units.Unit) string {
	text, _, _ := a.Format(u)
	return units.Put(text, u)
}

// flowText writes an answer as "628 cfm", or as the bound it is.
func (e Errors) flowText(a Answer[units.Flow]) string {
	u := e.Units.Flow()
	rough := func(q units.Flow) string { return units.Put(units.Significant(q.In(u), 2), u) }
	switch a.Bound {
	case AtLeast:
		return "at least " + rough(a.Low)
	case AtMost:
		return "at most " + rough(a.High)
	case Open:
		return "not resolved"
	}
	return carried(a, u)
}

// scaling writes how a fan flow was brought to 50 Pa, or nothing where it was
// read within 0.05 Pa of it.
func (e Errors) scaling(m moment, n float64) string {
	if math.Abs(m.P-pressure.ReferencePressure) < 0.05 {
		return ""
	}
	f := e.numbers(m.Q)
	return fmt.Sprintf("%s × (50 / %s)^%s = %s; ", f.flow(m.Q), units.Fixed(m.P, 1), units.Fixed(n, 2), units.Put(f.flow(m.at50(n).Q), f.unit))
}

// seriesStep is the working of the other side and of the through-flow from the
// side that was found.
func (e Errors) seriesStep(found moment, r Result) pressure.Worked {
	d := e.nominal()
	ratio := ratioText(found, d)
	if found.z > 0 && found.p > 0 {
		ratio += " = " + units.Fixed(found.ratio(d), 3)
	}
	w := pressure.Worked{
		Formula: "house–zone = r · zone–outside, r = f(z) / f(p) as found; through-flow at 50 Pa = house–zone · (p / P)^n",
		Numbers: fmt.Sprintf("house–zone to zone–outside: %s; house–zone %s, zone–outside %s; through the zone %s",
			ratio, e.flowText(r.HouseZone), e.flowText(r.ZoneOutside), e.flowText(*r.Through)),
		Source: seriesSource,
	}
	if r.Direct != nil {
		w.Formula += "; all else = fan flow - through-flow"
		w.Numbers += "; all else " + e.flowText(*r.Direct)
	}
	return w
}

func ratioText(m moment, d *draw) string {
	switch {
	case m.z <= 0:
		return fmt.Sprintf("zone at outdoor pressure (%s Pa)", units.Fixed(m.z, 1))
	case m.p <= 0:
		return fmt.Sprintf("zone at the pressure of the house (%s Pa)", units.Fixed(m.p, 1))
	case d.nH == d.nO:
		return fmt.Sprintf("(%s / %s)^%.2f", units.Fixed(m.z, 1), units.Fixed(m.p, 1), d.nH)
	}
	return fmt.Sprintf("(%s / 50)^%.2f / (%s / 50)^%.2f", units.Fixed(m.z, 1), d.nO, units.Fixed(m.p, 1), d.nH)
}
