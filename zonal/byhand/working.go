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
	n := numbers{unit: e.Units.Flow()}
	for _, q := range flows {
		if v := math.Abs(n.unit.FromSI(q)); v > 0 && finite(v) {
			n.decimals = max(n.decimals, min(3, 2-int(math.Floor(math.Log10(v)))))
		}
	}
	return n
}

func (n numbers) flow(q float64) string { return fixed(n.unit.FromSI(q), n.decimals) }

// fixed writes a number with a true minus sign and never as not-a-number.
func fixed(v float64, decimals int) string {
	return strings.Replace(units.Fixed(v, decimals), "-", "−", 1)
}

// less writes a number to be subtracted.
func less(v float64, decimals int) string {
	text := fixed(v, decimals)
	if strings.HasPrefix(text, "−") {
		return "(" + text + ")"
	}
	return text
}

// carried writes a value to the place its interval carries.
func carried(v, low, high float64) string { return fixed(v, units.Place(low, high)) }

// rough writes a bound to two figures.
func rough(v float64) string {
	if v == 0 || !finite(v) {
		return fixed(v, 0)
	}
	return fixed(v, 1-int(math.Floor(math.Log10(math.Abs(v)))))
}

// flowText writes an answer as "628 cfm", or as the bound it is.
func (e Errors) flowText(a Answer[units.Flow]) string {
	u := e.Units.Flow()
	v, low, high := u.FromSI(float64(a.Value)), u.FromSI(float64(a.Low)), u.FromSI(float64(a.High))
	switch a.Bound {
	case AtLeast:
		return "at least " + rough(low) + " " + u.Pretty()
	case AtMost:
		return "at most " + rough(high) + " " + u.Pretty()
	case Open:
		return "not resolved"
	}
	return carried(v, low, high) + " " + u.Pretty()
}

// scaling writes how a fan flow was brought to 50 Pa, or nothing where it was
// read within 0.05 Pa of it.
func (e Errors) scaling(m moment, n float64) string {
	if math.Abs(m.P-pressure.ReferencePressure) < 0.05 {
		return ""
	}
	f := e.numbers(m.Q)
	return fmt.Sprintf("%s × (50 / %.1f)^%.2f = %s %s; ", f.flow(m.Q), m.P, n, f.flow(m.at50(n).Q), f.unit.Pretty())
}

// seriesStep is the working of the other side and of the through-flow from the
// side that was found.
func (e Errors) seriesStep(found moment, r Result) pressure.Worked {
	d := e.nominal()
	ratio := ratioText(found, d)
	if found.z > 0 && found.p > 0 {
		ratio += " = " + fixed(found.ratio(d), 3)
	}
	w := pressure.Worked{
		Formula: "house–zone = r · zone–outside, r = f(z) / f(p) as found; through-flow at 50 Pa = house–zone · (p / P)^n",
		Numbers: fmt.Sprintf("house–zone to zone–outside: %s; house–zone %s, zone–outside %s; through the zone %s",
			ratio, e.flowText(r.HouseZone), e.flowText(r.ZoneOutside), e.flowText(*r.Through)),
		Source: seriesSource,
	}
	if r.Direct != nil {
		w.Formula += "; all else = fan flow − through-flow"
		w.Numbers += "; all else " + e.flowText(*r.Direct)
	}
	return w
}

func ratioText(m moment, d *draw) string {
	switch {
	case m.z <= 0:
		return fmt.Sprintf("zone at outdoor pressure (%s Pa)", fixed(m.z, 1))
	case m.p <= 0:
		return fmt.Sprintf("zone at the pressure of the house (%s Pa)", fixed(m.p, 1))
	case d.nH == d.nO:
		return fmt.Sprintf("(%s / %s)^%.2f", fixed(m.z, 1), fixed(m.p, 1), d.nH)
	}
	return fmt.Sprintf("(%s / 50)^%.2f / (%s / 50)^%.2f", fixed(m.z, 1), d.nO, fixed(m.p, 1), d.nH)
}
