package survey

import (
	"fmt"

	"holdbook/internal/sheet"
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
func (n *nextRun) propose(post *zonal.Posterior) error {
	if n.plan.Visit {
		n.proposeFirst()
	}
	for id := zonal.SpaceID(2); int(id) < len(n.run.names); id++ {
		if n.about >= 0 && n.about != id {
			continue
		}
		n.proposeReferences(id)
		if n.kinds[id] == sheet.DuctsKind {
			n.proposeCover(id)
			continue
		}
		for _, to := range []zonal.SpaceID{zonal.House, zonal.Outside} {
			n.proposeOpening(id, to)
			if err := n.proposeHole(post, id, to); err != nil {
				return err
			}
		}
		n.proposeFan(id)
	}
	n.proposeSecond()
	if !n.plan.Visit {
		n.proposeRepeat()
	}
	return nil
}

// proposed is a hold not yet made, with the fan read.
func (n *nextRun) proposed(at units.Pressure) zonal.Hold {
	p := at
	if n.below() {
		p = -at
	}
	return zonal.Hold{Name: "proposed", House: p, HouseSD: n.gauge.PressureSD(p),
		Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1000)), SDLn: float64(n.gauge.Repeat), Cal: n.fanCal}}
}

// zoneRead is a pressure of a zone to be read.
func (n *nextRun) zoneRead(of, to zonal.SpaceID) zonal.PressureReading {
	return zonal.PressureReading{Of: of, To: to, SD: n.gauge.PressureSD(expectedRead)}
}

func (n *nextRun) put(a NextAction, c zonal.Candidate) {
	n.list = append(n.list, proposal{a, c})
}

// name is a space's name as a reader sees it.
func (n *nextRun) name(z zonal.SpaceID) string { return units.Sanitize(n.run.names[z]) }

// theName is the name with its article.
func (n *nextRun) theName(z zonal.SpaceID) string {
	if z == zonal.Outside {
		return n.name(z)
	}
	return "the " + n.name(z)
}

// asFoundRead tells whether a zone was read to a space in a hold as found.
func (n *nextRun) asFoundRead(z, to zonal.SpaceID) bool {
	for k := range n.model.Holds {
		if !n.held[k].hold.AsFound() {
			continue
		}
		for _, x := range n.model.Holds[k].Read {
			if x.Of == z && x.To == to || x.Of == to && x.To == z {
				return true
			}
		}
	}
	return false
}

// opened tells whether some hold opened a zone to a space, by a hole of known
// size or by something else.
func (n *nextRun) opened(z, to zonal.SpaceID, known bool) bool {
	for _, o := range n.model.Openings {
		if (o.Area > 0) == known && (o.A == z && o.B == to || o.A == to && o.B == z) {
			return true
		}
	}
	return false
}

// canOpen tells whether a zone can be opened to a space at all. The vents of a
// vented zone stand open already.
func (n *nextRun) canOpen(z, to zonal.SpaceID) bool {
	return n.pathBetween(z, to, false) >= 0 && (to != zonal.Outside || !n.vented(z))
}

// proposeFirst is the hold that starts a visit: as found, everything read.
func (n *nextRun) proposeFirst() {
	h := n.proposed(proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(n.run.names); id++ {
		h.Read = append(h.Read, n.zoneRead(id, zonal.House))
		reads = append(reads, n.run.names[id])
	}
	how, begun := "baseline first (fan covered, about 20 s), then 25 Pa and a walk through the house, then 50 Pa; a hose into each space", n.started()
	if begun != nil {
		how += "; fill in the hold that the sheet has begun"
	}
	n.put(NextAction{What: "hold as found at 50 Pa, every space read to the house",
		How:     how,
		Minutes: holdMinutes + readMinutes*float64(len(reads)),
		Block:   n.firstBlock(begun, reads)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// started is the hold as found that the sheet has, still without a house pressure.
func (n *nextRun) started() *sheet.Hold {
	for i := range n.sheet.Holds {
		if h := &n.sheet.Holds[i]; h.AsFound() && !h.Finished() {
			return h
		}
	}
	return nil
}

// firstBlock has the baseline that later holds take over. A hold that was begun keeps
// its name: the block stands in its place.
func (n *nextRun) firstBlock(begun *sheet.Hold, reads []string) string {
	name := n.unusedName("as found")
	if begun != nil && begun.Name.Given() {
		name = begun.Name.Value
	}
	return n.blockOf(name, "baseline = \"… Pa\"\n", true, "", toHouseKey, reads)
}

// proposeReferences reads a zone to where it has not been read as found.
func (n *nextRun) proposeReferences(z zonal.SpaceID) {
	for to, key := range []string{toHouseKey, toOutsideKey} {
		to := zonal.SpaceID(to)
		if n.asFoundRead(z, to) || n.plan.Visit && to == zonal.House {
			continue
		}
		h := n.proposed(proposedHold)
		h.Fan = nil
		h.Read = []zonal.PressureReading{n.zoneRead(z, to)}
		n.put(NextAction{What: "read the " + n.name(z) + " to " + n.theName(to),
			How:     "everything as found, fan running; the input hose in the " + n.name(z) + ", the other tap open to " + n.theName(to),
			Minutes: readMinutes, Block: n.block("as found, "+n.run.names[z]+" to "+n.run.names[to], false, "", key, n.run.names[z])},
			zonal.Candidate{Holds: []zonal.Hold{h}})
	}
}

// openedHold is the hold with one thing opened between a zone and a space.
func (n *nextRun) openedHold(z zonal.SpaceID, o zonal.Opening) zonal.Candidate {
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Opened = []int{len(n.model.Openings)}
	return zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{o}}
}

// openingCaution is what to mind before a zone is opened to a space.
func (n *nextRun) openingCaution(z, to zonal.SpaceID) string {
	text := lookFirst
	if to == zonal.Outside {
		text = slowFirst
	}
	if n.kinds[z] == sheet.Garage {
		text += "; no engine runs or has just run in it"
	}
	return text
}

// proposeOpening opens a zone to one side and reads again.
func (n *nextRun) proposeOpening(z, to zonal.SpaceID) {
	if n.opened(z, to, false) || !n.canOpen(z, to) {
		return
	}
	how := "prop the hatch or door open, all else as found, hold again, read the fan and the zone; its size need not be known; where the fan cannot hold 50 Pa, open less or hold lower"
	if to == zonal.Outside {
		how = "raise the door or open the vents, all else as found, hold again, read the fan and the zone"
	}
	changes := fmt.Sprintf("opened   = [ { between = [%s, %s] } ]\n", quoted(n.run.names[to]), quoted(n.run.names[z]))
	n.put(NextAction{What: "open the " + n.name(z) + " to " + n.theName(to), Minutes: openMinutes, How: how, Caution: n.openingCaution(z, to),
		Block: n.block(n.run.names[z]+" opened to "+n.run.names[to], true, changes, toHouseKey, n.run.names[z])},
		n.openedHold(z, zonal.Opening{A: z, B: to, Flow50: zonal.OpeningPrior(n.kinds[z], n.kinds[to])}))
}

// easyHoles are areas that are easy to prop or measure off, in in² and cm².
var easyHoles = map[units.System][]float64{
	units.IP: {10, 20, 40, 60, 100, 150, 250},
	units.SI: {50, 100, 250, 400, 600, 1000, 1500},
}

// proposeHole adds a hole of known size between a zone and a space, of the size
// that its pressure asks for.
func (n *nextRun) proposeHole(post *zonal.Posterior, z, to zonal.SpaceID) error {
	if n.opened(z, to, true) || !n.canOpen(z, to) {
		return nil
	}
	var areas []units.Area
	for _, a := range easyHoles[n.system] {
		areas = append(areas, units.Area(n.system.Area().ToSI(a)))
	}
	hole, err := post.HoleFor(z, to, areas)
	if err != nil {
		return fmt.Errorf("%s: %w", n.sheet.File, err)
	}
	text := hole.Area.Text(n.system.Area(), 0)
	a := NextAction{What: fmt.Sprintf("add a hole of %s between %s and %s", text, n.theName(z), n.theName(to)), Minutes: openMinutes,
		How: n.holeHow(z, to) + "; " + n.gap(hole.Area) + "edges sharp, area within 3 %; all else as found; " + n.expected(z, to, hole), Caution: n.openingCaution(z, to)}
	changes := fmt.Sprintf("opened   = [ { between = [%s, %s], area = %s } ]\n", quoted(n.run.names[to]), quoted(n.run.names[z]), quoted(text))
	a.Block = n.block("hole, "+n.run.names[z]+" to "+n.run.names[to], true, changes, toHouseKey, n.run.names[z])
	n.put(a, n.openedHold(z, zonal.Opening{A: z, B: to, Area: hole.Area, AreaSDLn: float64(sharpHole.AreaSD)}))
	return nil
}

// gap is a hole as a gap along an edge of ordinary length.
func (n *nextRun) gap(a units.Area) string {
	edge, symbol := 24.0, "in"
	if n.system == units.SI {
		edge, symbol = 60, "cm"
	}
	return fmt.Sprintf("such as %.0f by %.1f %s; ", edge, n.system.Area().FromSI(float64(a))/edge, symbol)
}

// holeHow says how a hole of known size is made. What parts a garage from the
// house holds fire and fumes back, and is not cut for a reading.
func (n *nextRun) holeHow(z, to zonal.SpaceID) string {
	if to == zonal.House && n.kinds[z] == sheet.Garage {
		return "prop the door open by a measured gap; never cut what parts the garage from the house, it holds back fire and fumes"
	}
	return "open the hatch or door by a measured gap, or put a panel with a hole of that size in it"
}

// expected says what a zone should read with a hole, so that a crew sees whether
// it was the right size.
func (n *nextRun) expected(z, to zonal.SpaceID, h zonal.HoleSize) string {
	from := zonal.Outside
	if to == zonal.Outside {
		from = zonal.House
	}
	value, low, high := units.FormatInterval(float64(h.ToHouse.Value), float64(h.ToHouse.Low), float64(h.ToHouse.High))
	return fmt.Sprintf("the %s should then read about %s Pa to the house (%s–%s); where it comes within 3 Pa of %s, take a smaller hole, where it stays within 3 Pa of %s, a larger one",
		n.name(z), value, low, high, n.theName(to), n.theName(from))
}
