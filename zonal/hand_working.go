package zonal

import (
	"fmt"
	"math"
	"strconv"
	"strings"

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

// litre and squareCentimetre are the display units where the reader named none.
type plainUnit struct {
	symbol string
	si     float64
}

func (u plainUnit) Symbol() string           { return u.symbol }
func (u plainUnit) FromSI(v float64) float64 { return v / u.si }

func (e HandErrors) flowUnit() DisplayUnit {
	if e.Flow != nil {
		return e.Flow
	}
	return plainUnit{"L/s", 1e-3}
}

func (e HandErrors) areaUnit() DisplayUnit {
	if e.Area != nil {
		return e.Area
	}
	return plainUnit{"cm²", 1e-4}
}

// numbers writes flows in the reader's unit, all to the decimals that the
// smallest of them needs for three figures, so that a sum can be followed.
type numbers struct {
	unit     DisplayUnit
	decimals int
}

func (e HandErrors) numbers(flows ...float64) numbers {
	n := numbers{unit: e.flowUnit()}
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
	if !finite(v) {
		return "?"
	}
	if r := math.Pow(10, float64(decimals)); math.Round(v*r) == 0 {
		v = 0
	}
	return strings.Replace(strconv.FormatFloat(v, 'f', max(0, decimals), 64), "-", "−", 1)
}

// carried writes a value to the place its interval carries: two figures of the
// half-width.
func carried(v, low, high float64) string {
	half := (high - low) / 2
	if !(half > 0) || !finite(half) {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	place := 1 - int(math.Floor(math.Log10(half)))
	if place >= 0 {
		return fixed(v, min(place, 6))
	}
	step := math.Pow(10, float64(-place))
	return fixed(math.Round(v/step)*step, 0)
}

// flowText writes an answer as "628 cfm", or as the bound it is.
func (e HandErrors) flowText(a HandAnswer[units.Flow]) string {
	u := e.flowUnit()
	v, low, high := u.FromSI(float64(a.Value)), u.FromSI(float64(a.Low)), u.FromSI(float64(a.High))
	switch a.Bound {
	case AtLeast:
		return "at least " + strconv.FormatFloat(low, 'g', 2, 64) + " " + u.Symbol()
	case AtMost:
		return "at most " + strconv.FormatFloat(high, 'g', 2, 64) + " " + u.Symbol()
	case Open:
		return "not resolved"
	}
	return carried(v, low, high) + " " + u.Symbol()
}

// scaling writes how a fan flow was brought to 50 Pa, or nothing where it was
// read within 0.05 Pa of it.
func (e HandErrors) scaling(m moment, n float64) string {
	if math.Abs(m.P-Reference) < 0.05 {
		return ""
	}
	f := e.numbers(m.Q)
	return fmt.Sprintf("%s × (50 / %.1f)^%.2f = %s %s; ", f.flow(m.Q), m.P, n, f.flow(m.at50(n).Q), f.unit.Symbol())
}

// seriesStep is the working of the other side and of the through-flow from the
// side that was found.
func (e HandErrors) seriesStep(found moment, r HandResult) Worked {
	d := e.nominal()
	known, other := r.ZoneOutside, r.HouseZone
	return Worked{
		Formula: "L_hz = (z / p)^n · L_zo as found; through-flow at 50 Pa = L_hz · (p / P)^n",
		Numbers: fmt.Sprintf("house–zone to zone–outside: %s = %s; house–zone %s, zone–outside %s; through the zone %s",
			ratioText(found, d), fixed(found.ratio(d), 3), e.flowText(other), e.flowText(known), e.flowText(*r.Through)),
		Source: seriesSource,
	}
}

func ratioText(m moment, d *draw) string {
	if d.nH == d.nO {
		return fmt.Sprintf("(%s / %s)^%.2f", fixed(m.z, 1), fixed(m.p, 1), d.nH)
	}
	return fmt.Sprintf("(%s / 50)^%.2f / (%s / 50)^%.2f", fixed(m.z, 1), d.nO, fixed(m.p, 1), d.nH)
}
