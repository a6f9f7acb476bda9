package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/units"
	"holdbook/zonal"
)

// exponentShift is by how much a zone may shift between two holds in one state,
// scaled to 50 Pa, because its leaks have different exponents (Pa): judgement.
const exponentShift = units.Pressure(4)

// sameZones compares a zone's pressures over the holds of one state, scaled to
// 50 Pa: of three the odd one is named, of two one that a usual slip explains.
func (c *checker) sameZones() {
	for z := zonal.Outside + 1; int(z) < len(c.names); z++ {
		for k := range c.model.Holds {
			alike := c.alike(k, z)
			if len(alike) > 1 && alike[0] == k {
				c.oddZone(z, alike)
			}
		}
	}
}

// alike are the holds in the state of hold k in which a zone was read.
func (c *checker) alike(k int, z zonal.SpaceID) (list []int) {
	for j := range c.model.Holds {
		if _, at := c.toHouse(j, z); at >= 0 && !c.doubt[c.held[j].hold.Pos] && c.sameState(j, k) && sameSign(c.model.Holds[j].House, c.model.Holds[k].House) > 0 {
			list = append(list, j)
		}
	}
	return list
}

func (c *checker) oddZone(z zonal.SpaceID, alike []int) {
	at := func(k int) float64 { p, _ := c.toHouse(k, z); return float64(p) }
	order := slices.Clone(alike)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(at(a), at(b)) })
	mid := order[(len(order)-1)/2]
	for _, k := range alike {
		if k == mid || !c.apart(k, mid, z) {
			continue
		}
		bad, why := k, c.zoneSlip(k, mid, z)
		if why == "" && len(alike) == 2 {
			bad, why = mid, c.zoneSlip(mid, k, z)
		}
		if why == "" && len(alike) == 2 {
			continue // either may be wrong: the joint estimate judges
		}
		_, reading := c.toHouse(bad, z)
		good := mid + k - bad
		if c.said(c.held[bad].hold.Readings[reading].Pressure.Pos) {
			continue
		}
		c.say(Warns, c.held[bad].hold.Readings[reading].Pressure.Pos, c.model.Holds[bad].Name+", "+c.names[z],
			because(fmt.Sprintf("scaled to 50 Pa it stands %s to the house, but %s in %s, with nothing changed", units.Pressure(at(bad)).Text(units.Pascal, 0), units.Pressure(at(good)).Text(units.Pascal, 0), c.model.Holds[good].Name), why),
			"the hoses and the decimal point of this reading")
	}
}

// apart tells whether a zone differs between two holds by more than errors and
// exponents make.
func (c *checker) apart(j, k int, z zonal.SpaceID) bool {
	a, at1 := c.toHouse(j, z)
	b, at2 := c.toHouse(k, z)
	return abs(a-b) > exponentShift+units.Pressure(clearSD*math.Hypot(c.scaledSD(j, at1), c.scaledSD(k, at2)))
}

// zoneSlip says which slips would each make a zone's reading what another hold
// says it should be; empty when none does.
func (c *checker) zoneSlip(k, good int, z zonal.SpaceID) string {
	was, at := c.toHouse(k, z)
	want, other := c.toHouse(good, z)
	x := c.held[k].hold.Readings[at]
	scale := zonal.Reference / abs(c.model.Holds[k].House)
	read, house := abs(x.Pressure.Value), abs(c.held[k].raw)
	outside := spaceNumber(x.Of.Name) == zonal.Outside || spaceNumber(x.To.Name) == zonal.Outside
	shift := func(p units.Pressure) units.Pressure { // of what was, had p been read
		if outside {
			return (read - p) * scale
		}
		return (p - read) * scale
	}
	near := max(2, units.Pressure(manySD*math.Hypot(c.scaledSD(k, at), c.scaledSD(good, other))))
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
		if moved := shift(s.value); abs(was+moved-want) < near && abs(moved) > 2*near {
			may = append(may, s.text)
		}
	}
	if len(may) == 0 {
		return ""
	}
	return "it may " + strings.Join(may, ", or ")
}
