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

// lookFirst goes with every opening.
const lookFirst = "look first; leave it shut where there is loose asbestos, vermiculite, mould or sewage behind it"

// slowFirst goes with every door to outdoors that is moved.
const slowFirst = "slow or cover the fan before an outer door is moved, change the opening, then bring the fan up by hand"

// wasOpened tells whether some hold opened a zone to a space, by a hole of known
// size or by something else.
func wasOpened(c *survey.Case, z, to zonal.SpaceID, known bool) bool {
	return slices.ContainsFunc(c.Model.Openings, func(o zonal.Opening) bool { return (o.Area > 0) == known && o.Joins(z, to) })
}

// usual is what opens a zone of a kind to the house and to outside; "" for nothing.
// Common practice, no source.
type usual struct{ house, outside string }

var usualOpenings = map[sheet.Kind]usual{
	sheet.Attic: {house: "hatch"}, sheet.Garage: {"door", "door"}, sheet.Crawlspace: {"hatch", "access door"}, sheet.Basement: {"door", "window"},
	sheet.Kneewall: {house: "hatch"}, sheet.Porch: {"door", "door"}, sheet.RoomKind: {"door", "window"},
}

// panel in a zone's opening takes a hole of known size, none is no opening at all.
const (
	panel = "panel"
	none  = "none"
)

// opensBy is what opens a zone to a space: what the sheet says, or what is usual; "" for
// nothing. The vents of a vented zone stand open already.
func opensBy(c *survey.Case, z, to zonal.SpaceID) string {
	if c.Model.PathBetween(z, to) < 0 || to == zonal.Outside && c.Vented(z) {
		return ""
	}
	by := usualOpenings[c.Kinds[z]]
	zone, _ := c.Sheet.Zone(c.Names[z])
	switch said := zone.Opens.Value; {
	case said == none:
		return ""
	case to == zonal.Outside:
		return by.outside
	case said != "":
		return said
	}
	return by.house
}

// takesPanel tells whether a panel with a hole can be fitted between a zone and a space.
func takesPanel(c *survey.Case, z, to zonal.SpaceID) bool {
	zone, _ := c.Sheet.Zone(c.Names[z])
	return zone.Opens.Value == panel && opensBy(c, z, to) != ""
}

// openingCaution is what to mind before a zone is opened to a space.
func openingCaution(c *survey.Case, z, to zonal.SpaceID) string {
	text := lookFirst
	if to == zonal.Outside {
		text = slowFirst
	}
	if c.Kinds[z] == sheet.Garage {
		text += "; no engine runs or has just run in it"
	}
	return text
}

// openTo is the candidate of one thing opened between a zone and a space.
func openTo(c *survey.Case, k kit, z zonal.SpaceID, o zonal.Opening) zonal.Candidate {
	h := k.hold(c, firstHold)
	h.Read = []zonal.PressureReading{zoneRead(c, z, zonal.House)}
	h.Opened = []int{len(c.Model.Openings)}
	return zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{o}}
}

// proposeOpening opens a zone to one side and reads again.
func proposeOpening(c *survey.Case, k kit, z, to zonal.SpaceID) []proposal {
	by := opensBy(c, z, to)
	if wasOpened(c, z, to, false) || by == "" {
		return nil
	}
	how := "prop the " + by + " open, all else as found, hold again, read the fan and the zone; its size need not be known; where the fan cannot hold 50 Pa, open less or hold lower"
	if to == zonal.Outside {
		how = "open its " + by + " to outdoors, all else as found, hold again, read the fan and the zone"
	}
	return propose(c, c.Names[z]+" opened to "+c.Names[to], NextAction{What: "open the " + nameOf(c, z) + " to " + survey.TheName(c, to), Minutes: openMinutes, How: how, Caution: openingCaution(c, z, to)},
		openTo(c, k, z, zonal.Opening{A: z, B: to, Flow50: zonal.OpeningPrior(c.Kinds[z], c.Kinds[to]), Exponent: zonal.OpeningExponentPrior()}))
}

// easyHoles are areas that are easy to measure off on a panel, in in² and cm².
var easyHoles = map[units.System][]float64{
	units.IP: {10, 20, 40, 60, 100, 150, 250},
	units.SI: {50, 100, 250, 400, 600, 1000, 1500},
}

// proposeHole adds a hole of known size between a zone and a space, in a panel of the size
// that the zone's pressure asks for; or a hatch or door ajar by a measured gap.
func proposeHole(c *survey.Case, k kit, post *zonal.Posterior, z, to zonal.SpaceID) ([]proposal, error) {
	if wasOpened(c, z, to, true) {
		return nil, nil
	}
	if !takesPanel(c, z, to) {
		return proposeAjar(c, k, post, z, to)
	}
	var areas []units.Area
	for _, a := range easyHoles[c.System] {
		areas = append(areas, units.Area(c.System.Area().ToSI(a)))
	}
	hole, err := post.HoleFor(z, to, areas)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	a := NextAction{What: fmt.Sprintf("add a hole of %s between %s and %s", hole.Area.Text(c.System.Area(), 0), survey.TheName(c, z), survey.TheName(c, to)), Minutes: openMinutes,
		How: "fit a panel with a hole of that size in it; " + gap(c, hole.Area) + "edges sharp, area within 3 %; all else as found; " + expectedWith(c, z, to, hole), Caution: openingCaution(c, z, to)}
	return propose(c, "hole, "+c.Names[z]+" to "+c.Names[to], a,
		openTo(c, k, z, zonal.Opening{A: z, B: to, Area: hole.Area, AreaSDLn: float64(pressure.SharpHole(0).AreaSD)})), nil
}

// gap is a hole as a gap along an edge of ordinary length.
func gap(c *survey.Case, a units.Area) string {
	edge, symbol := 24.0, "in"
	if c.System == units.SI {
		edge, symbol = 60, "cm"
	}
	return fmt.Sprintf("such as %.0f by %.1f %s; ", edge, c.System.Area().FromSI(float64(a))/edge, symbol)
}

// expectedWith says what a zone should read with a hole, so that a crew sees whether
// it was the right size.
func expectedWith(c *survey.Case, z, to zonal.SpaceID, h zonal.HoleSize) string {
	from := zonal.Outside
	if to == zonal.Outside {
		from = zonal.House
	}
	value, low, high := units.FormatInterval(float64(h.ToHouse.Value), float64(h.ToHouse.Low), float64(h.ToHouse.High))
	return fmt.Sprintf("the %s should then read about %s Pa to the house (%s–%s); where it comes within 3 Pa of %s, take a smaller one, where it stays within 3 Pa of %s, a larger one",
		nameOf(c, z), value, low, high, survey.TheName(c, to), survey.TheName(c, from))
}
