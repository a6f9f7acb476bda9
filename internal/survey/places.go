package survey

import (
	"slices"

	"holdbook/zonal"
)

// places are where the leaks of a kind of space usually are: those to the house, or, of a
// space that is meant to be indoors, those to outside. Common practice, no source.
var places = map[zonal.Kind][]string{
	zonal.Attic: {"top plates of inner and outer walls", "chases and dropped ceilings", "hatch or pull-down stair", "flue and chimney (sheet metal and fire-rated sealant, clear of insulation as local code asks)",
		"pipes, wires and ducts through the ceiling", "recessed lights"},
	zonal.Garage: {"door to the house, its threshold and weatherstrip", "wall and ceiling to the house: sill, top plate, open joist bays", "pipes, wires and ducts through them",
		"air handler and returns that stand in the garage"},
	zonal.Crawlspace: {"rim joist and sill plate", "pipes, drains and wires through the floor", "the openings under tub and shower", "duct boots", "access hatch"},
	zonal.Basement:   {"rim joist and sill plate", "windows and the door to outside", "pipes, wires and vents through the wall", "sump lid and floor drains"},
	zonal.Kneewall:   {"joist bays that run under the wall", "access doors", "top of the wall and the rafter bays", "pipes, wires and ducts"},
	zonal.Porch:      {"where its roof meets the wall of the house", "sheathing that was left out there", "wires and lights"},
	zonal.Neighbour:  {"top and foot of the party wall", "joist pockets in it", "pipes, wires and chases that both share"},
	zonal.Room:       {"windows and outer doors", "rim joist and sill plate", "pipes and wires through the outer wall"},
	zonal.Ducts:      {"boots where they meet floor, wall or ceiling", "joints and take-offs of the trunks", "air-handler cabinet and filter slot", "return boxes and panned joist bays"},
	zonal.Other:      {"joints with the house", "holes for pipes, wires and ducts"},
}

// placesOf are where to look along a path: those of the ducts where it is theirs, else of
// the space beside the house, or of either of two.
func placesOf(c *Case, p zonal.Path) []string {
	kinds := []zonal.Kind{c.Kinds[p.A], c.Kinds[p.B]}
	if slices.Contains(kinds, zonal.Ducts) {
		return places[zonal.Ducts]
	}
	var list []string
	for _, k := range kinds {
		for _, at := range places[k] {
			if !slices.Contains(list, at) {
				list = append(list, at)
			}
		}
	}
	return list
}
