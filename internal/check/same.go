package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// exponentShift is by how much a zone may shift between two holds in one state,
// scaled to 50 Pa, because its leaks have different exponents (Pa): judgement.
const exponentShift = units.Pressure(4)

// sameZones compares a zone's pressures over the holds of one state, scaled to
// 50 Pa: of three the odd one is named, of two one that a usual slip explains.
func sameZones(c *survey.Case, out *slips) {
	for z := range c.Zones() {
		for k := range c.Model.Holds {
			alike := holdsAlike(c, out, k, z)
			if len(alike) > 1 && alike[0] == k {
				oddZone(c, out, z, alike)
			}
		}
	}
}

// holdsAlike are the holds in the state of hold k in which a zone was read.
func holdsAlike(c *survey.Case, out *slips, k int, z zonal.SpaceID) (list []int) {
	for j := range c.Model.Holds {
		if _, at := zoneAt50(c, j, z); at >= 0 && !out.doubt[c.Held[j].Hold.Pos] && sameState(c, j, k) && sameSign(c.Model.Holds[j].House, c.Model.Holds[k].House) > 0 {
			list = append(list, j)
		}
	}
	return list
}

func oddZone(c *survey.Case, out *slips, z zonal.SpaceID, alike []int) {
	at := func(k int) float64 { p, _ := zoneAt50(c, k, z); return float64(p) }
	order := slices.Clone(alike)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(at(a), at(b)) })
	mid := order[(len(order)-1)/2]
	for _, k := range alike {
		if k == mid || !clearlyApart(c, k, mid, z) {
			continue
		}
		bad, why := k, zoneSlip(c, k, mid, z)
		if why == "" && len(alike) == 2 {
			bad, why = mid, zoneSlip(c, mid, k, z)
		}
		if why == "" && len(alike) == 2 {
			continue // either may be wrong: the joint estimate judges
		}
		_, reading := zoneAt50(c, bad, z)
		good := mid + k - bad
		if out.said(c.Held[bad].Hold.Readings[reading].Pressure.Pos) {
			continue
		}
		out.say(Warns, c.Held[bad].Hold.Readings[reading].Pressure.Pos, c.Model.Holds[bad].Name+", "+c.Names[z],
			because(fmt.Sprintf("scaled to 50 Pa it stands %s to the house, but %s in %s, with nothing changed", units.Pressure(at(bad)).Text(units.Pascal, 0), units.Pressure(at(good)).Text(units.Pascal, 0), c.Model.Holds[good].Name), why),
			"the hoses and the decimal point of this reading")
	}
}

// clearlyApart tells whether a zone differs between two holds by more than errors and
// exponents make.
func clearlyApart(c *survey.Case, j, k int, z zonal.SpaceID) bool {
	a, at1 := zoneAt50(c, j, z)
	b, at2 := zoneAt50(c, k, z)
	return units.Abs(a-b) > exponentShift+units.Pressure(clearSD*math.Hypot(scaledSD(c, j, at1), scaledSD(c, k, at2)))
}

// zoneSlip says which slips would each make a zone's reading what another hold
// says it should be; empty when none does.
func zoneSlip(c *survey.Case, k, good int, z zonal.SpaceID) string {
	was, at := zoneAt50(c, k, z)
	want, other := zoneAt50(c, good, z)
	x := c.Held[k].Hold.Readings[at]
	scale := zonal.Reference / units.Abs(c.Model.Holds[k].House)
	read, house := units.Abs(x.Pressure.Value), units.Abs(c.Held[k].Raw)
	outside := survey.SpaceNumber(x.Of.Name) == zonal.Outside || survey.SpaceNumber(x.To.Name) == zonal.Outside
	shift := func(p units.Pressure) units.Pressure { // of what was, had p been read
		if outside {
			return (read - p) * scale
		}
		return (p - read) * scale
	}
	near := max(2, units.Pressure(survey.ManySD*math.Hypot(scaledSD(c, k, at), scaledSD(c, good, other))))
	var may []string
	for _, s := range []struct {
		value units.Pressure
		text  string
	}{
		{house - read, "have been read to the other reference"},
		{read * 10, "be ten times too small"},
		{read / 10, "be ten times too large"},
		{read * inchSlip, "be in inches of water"},
	} {
		if moved := shift(s.value); units.Abs(was+moved-want) < near && units.Abs(moved) > 2*near {
			may = append(may, s.text)
		}
	}
	if len(may) == 0 {
		return ""
	}
	return "it may " + strings.Join(may, ", or ")
}
