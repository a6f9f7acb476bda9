package advise

import (
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// The pressures (Pa) of the holds that are proposed, and how long each kind of
// action takes in minutes: judgement.
const (
	proposedHold = 50.0
	secondHold   = 25.0
	readMinutes  = 1.0
	holdMinutes  = 4.0
	openMinutes  = 5.0
	coverMinutes = 12.0
	fanMinutes   = 20.0
	expectedRead = 25.0 // Pa, for the error of a reading not yet taken
)

// lookFirst goes with every opening.
const lookFirst = "look first: nothing is opened to a space with friable asbestos, vermiculite, mould or sewage"

// slowFirst goes with every door to outdoors that is moved.
const slowFirst = "slow or cover the fan before an outer door is moved, change the opening, then bring the fan up by hand"

// propose lists every action that the sheet's spaces still allow.
func propose(c *survey.Case, n *planner, post *zonal.Posterior) error {
	if n.plan.Visit {
		proposeFirst(c, n)
	}
	for id := zonal.SpaceID(2); int(id) < len(c.Names); id++ {
		if n.about >= 0 && n.about != id {
			continue
		}
		proposeReferences(c, n, id)
		if c.Kinds[id] == sheet.DuctsKind {
			proposeCover(c, n, id)
			continue
		}
		for _, to := range []zonal.SpaceID{zonal.House, zonal.Outside} {
			proposeOpening(c, n, id, to)
			if err := proposeHole(c, n, post, id, to); err != nil {
				return err
			}
		}
		proposeFan(c, n, id)
	}
	proposeSecond(c, n)
	if !n.plan.Visit {
		proposeRepeat(c, n)
	}
	return nil
}

// proposed is a hold not yet made, with the fan read.
func proposed(c *survey.Case, n *planner, at units.Pressure) zonal.Hold {
	p := at
	if c.Below() {
		p = -at
	}
	return zonal.Hold{Name: "proposed", House: p, HouseSD: c.Gauge.PressureSD(p),
		Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1000)), SDLn: float64(c.Gauge.Repeat), Cal: n.fanCal}}
}

// zoneRead is a pressure of a zone to be read.
func zoneRead(c *survey.Case, of, to zonal.SpaceID) zonal.PressureReading {
	return zonal.PressureReading{Of: of, To: to, SD: c.Gauge.PressureSD(expectedRead)}
}

func put(n *planner, a NextAction, c zonal.Candidate) {
	n.list = append(n.list, proposal{a, c})
}

// nameOf is a space's name as a reader sees it.
func nameOf(c *survey.Case, z zonal.SpaceID) string { return units.Sanitize(c.Names[z]) }

// theNameOf is the name with its article.
func theNameOf(c *survey.Case, z zonal.SpaceID) string {
	if z == zonal.Outside {
		return nameOf(c, z)
	}
	return "the " + nameOf(c, z)
}

// asFoundRead tells whether a zone was read to a space in a hold as found.
func asFoundRead(c *survey.Case, z, to zonal.SpaceID) bool {
	for k := range c.Model.Holds {
		if !c.Held[k].Hold.AsFound() {
			continue
		}
		for _, x := range c.Model.Holds[k].Read {
			if x.Of == z && x.To == to || x.Of == to && x.To == z {
				return true
			}
		}
	}
	return false
}

// wasOpened tells whether some hold opened a zone to a space, by a hole of known
// size or by something else.
func wasOpened(c *survey.Case, z, to zonal.SpaceID, known bool) bool {
	for _, o := range c.Model.Openings {
		if (o.Area > 0) == known && (o.A == z && o.B == to || o.A == to && o.B == z) {
			return true
		}
	}
	return false
}

// canOpen tells whether a zone can be opened to a space at all. The vents of a
// vented zone stand open already.
func canOpen(c *survey.Case, z, to zonal.SpaceID) bool {
	return c.PathBetween(z, to, false) >= 0 && (to != zonal.Outside || !c.Vented(z))
}

// proposeFirst is the hold that starts a visit: as found, everything read.
func proposeFirst(c *survey.Case, n *planner) {
	h := proposed(c, n, proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(c.Names); id++ {
		h.Read = append(h.Read, zoneRead(c, id, zonal.House))
		reads = append(reads, c.Names[id])
	}
	how, begun := "baseline first (fan covered, about 20 s), then 25 Pa and a walk through the house, then 50 Pa; a hose into each space", started(c)
	if begun != nil {
		how += "; fill in the hold that the sheet has begun"
	}
	put(n, NextAction{What: "hold as found at 50 Pa, every space read to the house",
		How:     how,
		Minutes: holdMinutes + readMinutes*float64(len(reads)),
		Block:   firstBlock(c, begun, reads)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// started is the hold as found that the sheet has, still without a house pressure.
func started(c *survey.Case) *sheet.Hold {
	for i := range c.Sheet.Holds {
		if h := &c.Sheet.Holds[i]; h.AsFound() && !h.Finished() {
			return h
		}
	}
	return nil
}

// firstBlock has the baseline that later holds take over. A hold that was begun keeps
// its name: the block stands in its place.
func firstBlock(c *survey.Case, begun *sheet.Hold, reads []string) string {
	name := unusedName(c, "as found")
	if begun != nil && begun.Name.Given() {
		name = begun.Name.Value
	}
	return blockOf(c, name, "baseline = \"… Pa\"\n", true, "", toHouseKey, reads)
}

// proposeReferences reads a zone to where it has not been read as found.
func proposeReferences(c *survey.Case, n *planner, z zonal.SpaceID) {
	for to, key := range []string{toHouseKey, toOutsideKey} {
		to := zonal.SpaceID(to)
		if asFoundRead(c, z, to) || n.plan.Visit && to == zonal.House {
			continue
		}
		h := proposed(c, n, proposedHold)
		h.Fan = nil
		h.Read = []zonal.PressureReading{zoneRead(c, z, to)}
		put(n, NextAction{What: "read the " + nameOf(c, z) + " to " + theNameOf(c, to),
			How:     "everything as found, fan running; the input hose in the " + nameOf(c, z) + ", the other tap open to " + theNameOf(c, to),
			Minutes: readMinutes, Block: block(c, "as found, "+c.Names[z]+" to "+c.Names[to], false, "", key, c.Names[z])},
			zonal.Candidate{Holds: []zonal.Hold{h}})
	}
}

// openedHold is the hold with one thing opened between a zone and a space.
func openedHold(c *survey.Case, n *planner, z zonal.SpaceID, o zonal.Opening) zonal.Candidate {
	h := proposed(c, n, proposedHold)
	h.Read = []zonal.PressureReading{zoneRead(c, z, zonal.House)}
	h.Opened = []int{len(c.Model.Openings)}
	return zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{o}}
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

// proposeOpening opens a zone to one side and reads again.
func proposeOpening(c *survey.Case, n *planner, z, to zonal.SpaceID) {
	if wasOpened(c, z, to, false) || !canOpen(c, z, to) {
		return
	}
	how := "prop the hatch or door open, all else as found, hold again, read the fan and the zone; its size need not be known; where the fan cannot hold 50 Pa, open less or hold lower"
	if to == zonal.Outside {
		how = "raise the door or open the vents, all else as found, hold again, read the fan and the zone"
	}
	changes := fmt.Sprintf("opened   = [ { between = [%s, %s] } ]\n", quoted(c.Names[to]), quoted(c.Names[z]))
	put(n, NextAction{What: "open the " + nameOf(c, z) + " to " + theNameOf(c, to), Minutes: openMinutes, How: how, Caution: openingCaution(c, z, to),
		Block: block(c, c.Names[z]+" opened to "+c.Names[to], true, changes, toHouseKey, c.Names[z])},
		openedHold(c, n, z, zonal.Opening{A: z, B: to, Flow50: zonal.OpeningPrior(c.Kinds[z], c.Kinds[to])}))
}

// easyHoles are areas that are easy to prop or measure off, in in² and cm².
var easyHoles = map[units.System][]float64{
	units.IP: {10, 20, 40, 60, 100, 150, 250},
	units.SI: {50, 100, 250, 400, 600, 1000, 1500},
}

// proposeHole adds a hole of known size between a zone and a space, of the size
// that its pressure asks for.
func proposeHole(c *survey.Case, n *planner, post *zonal.Posterior, z, to zonal.SpaceID) error {
	if wasOpened(c, z, to, true) || !canOpen(c, z, to) {
		return nil
	}
	var areas []units.Area
	for _, a := range easyHoles[c.System] {
		areas = append(areas, units.Area(c.System.Area().ToSI(a)))
	}
	hole, err := post.HoleFor(z, to, areas)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	text := hole.Area.Text(c.System.Area(), 0)
	a := NextAction{What: fmt.Sprintf("add a hole of %s between %s and %s", text, theNameOf(c, z), theNameOf(c, to)), Minutes: openMinutes,
		How: holeHow(c, z, to) + "; " + gap(c, hole.Area) + "edges sharp, area within 3 %; all else as found; " + expectedWith(c, z, to, hole), Caution: openingCaution(c, z, to)}
	changes := fmt.Sprintf("opened   = [ { between = [%s, %s], area = %s } ]\n", quoted(c.Names[to]), quoted(c.Names[z]), quoted(text))
	a.Block = block(c, "hole, "+c.Names[z]+" to "+c.Names[to], true, changes, toHouseKey, c.Names[z])
	put(n, a, openedHold(c, n, z, zonal.Opening{A: z, B: to, Area: hole.Area, AreaSDLn: float64(pressure.SharpHole(0).AreaSD)}))
	return nil
}

// gap is a hole as a gap along an edge of ordinary length.
func gap(c *survey.Case, a units.Area) string {
	edge, symbol := 24.0, "in"
	if c.System == units.SI {
		edge, symbol = 60, "cm"
	}
	return fmt.Sprintf("such as %.0f by %.1f %s; ", edge, c.System.Area().FromSI(float64(a))/edge, symbol)
}

// holeHow says how a hole of known size is made. What parts a garage from the
// house holds fire and fumes back, and is not cut for a reading.
func holeHow(c *survey.Case, z, to zonal.SpaceID) string {
	if to == zonal.House && c.Kinds[z] == sheet.Garage {
		return "prop the door open by a measured gap; never cut what parts the garage from the house, it holds back fire and fumes"
	}
	return "open the hatch or door by a measured gap, or put a panel with a hole of that size in it"
}

// expectedWith says what a zone should read with a hole, so that a crew sees whether
// it was the right size.
func expectedWith(c *survey.Case, z, to zonal.SpaceID, h zonal.HoleSize) string {
	from := zonal.Outside
	if to == zonal.Outside {
		from = zonal.House
	}
	value, low, high := units.FormatInterval(float64(h.ToHouse.Value), float64(h.ToHouse.Low), float64(h.ToHouse.High))
	return fmt.Sprintf("the %s should then read about %s Pa to the house (%s–%s); where it comes within 3 Pa of %s, take a smaller hole, where it stays within 3 Pa of %s, a larger one",
		nameOf(c, z), value, low, high, theNameOf(c, to), theNameOf(c, from))
}
