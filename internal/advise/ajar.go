package advise

import (
	"fmt"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// easyGaps are gaps that are easy to prop and to measure, in in and cm.
var easyGaps = map[units.System][]float64{
	units.IP: {1, 2, 3, 4, 6, 8, 10, 12},
	units.SI: {2, 5, 8, 10, 15, 20, 25, 30},
}

// usualLeaves are the sizes of hatches and doors where the sheet does not tell, hinge side
// first, in in and cm. Common practice, no source.
var usualLeaves = map[units.System]map[string][2]float64{
	units.IP: {"hatch": {24, 30}, "door": {80, 32}},
	units.SI: {"hatch": {60, 75}, "door": {200, 80}},
}

// shortUnit is the unit of gaps and leaves.
func shortUnit(s units.System) units.Unit {
	if s == units.SI {
		return units.Centimetre
	}
	return units.Inch
}

// proposeAjar opens the hatch or door between a zone and the house by a measured gap, the
// one that the zone's pressure asks for: a hole of known size without a panel.
func proposeAjar(c *survey.Case, k kit, post *zonal.Posterior, z, to zonal.SpaceID) ([]proposal, error) {
	by := opensBy(c, z, to)
	leaf, ok := leafOf(c, z, by)
	if to != zonal.House || !ok {
		return nil, nil
	}
	u := shortUnit(c.System)
	var areas []units.Area
	for _, g := range easyGaps[c.System] {
		a, err := pressure.AjarArea(pressure.Leaf{HingeSide: leaf.HingeSide, Width: leaf.Width}, units.Length(u.ToSI(g)))
		if err == nil {
			areas = append(areas, a.Value)
		}
	}
	if len(areas) == 0 {
		return nil, nil
	}
	hole, err := post.HoleFor(z, to, areas)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	gap := sheet.Quantity[units.Length]{Value: units.Length(u.ToSI(easyGaps[c.System][slices.Index(areas, hole.Area)])), Given: true}
	gap.Text = gap.Value.Text(u, 0)
	a := NextAction{What: fmt.Sprintf("open the %s between %s and %s by %s", by, survey.TheName(c, z), survey.TheName(c, to), gap.Text), Minutes: openMinutes, Caution: openingCaution(c, z, to),
		How: fmt.Sprintf("measure the gap straight at the free edge; %s open at a leaf of %s, hinge side first: write the size of yours; all else as found; %s",
			hole.Area.Text(c.System.Area(), 0), leaf.Text, expectedWith(c, z, to, hole))}
	list := propose(c, c.Names[z]+" ajar to "+c.Names[to], a, openTo(c, k, z, zonal.Opening{A: z, B: to, Area: hole.Area, AreaSDLn: float64(pressure.AjarHole(0).AreaSD)}))
	o := &list[0].Hold.Opened[0]
	o.Area, o.Ajar, o.Leaf = sheet.Area{}, gap, leaf
	return list, nil
}

// leafOf is the leaf of a hatch or door: as a hold of the sheet has it, else of usual size.
func leafOf(c *survey.Case, z zonal.SpaceID, by string) (sheet.Leaf, bool) {
	for _, h := range c.Sheet.Holds {
		for _, o := range h.Opened {
			if o.Leaf.Given && o.Between.Same(c.Names[z], sheet.HouseName) {
				return o.Leaf, true
			}
		}
	}
	size, ok := usualLeaves[c.System][by]
	u := shortUnit(c.System)
	l, w := units.Length(u.ToSI(size[0])), units.Length(u.ToSI(size[1]))
	return sheet.Leaf{HingeSide: l, Width: w, Text: l.Text(u, 0) + " x " + w.Text(u, 0), Given: true}, ok
}
