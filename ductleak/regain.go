package ductleak

import "holdbook/units"

// Location is where ducts run.
type Location string

// The locations that have a regain factor.
const (
	Outdoors              Location = "outdoors"
	Attic                 Location = "attic"
	Garage                Location = "garage"
	UnconditionedBasement Location = "unconditioned basement"
	VentedCrawlspace      Location = "vented crawlspace"
	UnventedCrawlspace    Location = "unvented crawlspace"
	ConditionedSpace      Location = "conditioned space"
)

// Insulation says which parts of a location are insulated: mean R above
// 4 h·ft²·°F/Btu.
type Insulation struct{ Walls, Ceiling bool }

// regainFactors are the factors with nothing, the walls only, the ceiling
// only, and both insulated, as cited by the residential energy literature of
// NREL from Walker 1998 and ASHRAE 152 6.5.2.
var regainFactors = map[Location][4]units.Ratio{
	Outdoors:              {0, 0, 0, 0},
	Attic:                 {0.10, 0.10, 0.10, 0.10},
	Garage:                {0.05, 0.05, 0.05, 0.05},
	UnconditionedBasement: {0.50, 0.75, 0.30, 0.30},
	VentedCrawlspace:      {0.50, 0.66, 0.12, 0.17},
	UnventedCrawlspace:    {0.60, 0.76, 0.16, 0.30},
	ConditionedSpace:      {1, 1, 1, 1},
}

// RegainFactor is the share of duct losses that a location gives back to the
// house. Where an unconditioned basement has both walls and ceiling insulated,
// which the source does not list, the smaller factor of the two is taken.
// Several locations: weight by duct area, supply and return apart.
func RegainFactor(where Location, insulated Insulation) (units.Ratio, error) {
	f, ok := regainFactors[where]
	if !ok {
		return 0, wrong("duct location", "write outdoors, attic, garage, unconditioned basement, vented crawlspace, unvented crawlspace or conditioned space",
			"%q has no regain factor", string(where))
	}
	i := 0
	if insulated.Walls {
		i |= 1
	}
	if insulated.Ceiling {
		i |= 2
	}
	return f[i], nil
}
