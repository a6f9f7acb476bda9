package survey

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// The pressures (Pa) of the holds that are proposed, and how long each kind of
// action takes in minutes: judgement.
const (
	proposedHold  = 50.0
	secondHold    = 25.0
	readMinutes   = 1.0
	holdMinutes   = 4.0
	openMinutes   = 5.0
	coverMinutes  = 12.0
	fanMinutes    = 20.0
	holeAreaIP    = 40.0 // in²: about 6 by 7 inches, easy to cut or prop
	expectedRead  = 25.0 // Pa, for the error of a reading not yet taken
	secondFanSize = 400  // cfm, of a fan that a zone may be held with
)

// propose lists every action that the sheet's spaces still allow.
func (n *nextRun) propose() {
	if len(n.model.Holds) == 0 {
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
		n.proposeOpening(id, zonal.House)
		n.proposeOpening(id, zonal.Outside)
		n.proposeHole(id)
		n.proposeFan(id)
	}
	if len(n.model.Holds) > 0 {
		n.proposeSecond()
		n.proposeRepeat()
	}
}

// hold is a proposed hold with the fan read.
func (n *nextRun) proposed(at float64) zonal.Hold {
	p := units.Pressure(-at)
	if !n.sheet.Job.Depressurised() {
		p = -p
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

// openedTo tells whether some hold opened a zone to a space.
func (n *nextRun) openedTo(z, to zonal.SpaceID) bool {
	for _, o := range n.model.Openings {
		if o.Area == 0 && (o.A == z && o.B == to || o.A == to && o.B == z) {
			return true
		}
	}
	return false
}

// proposeFirst is the hold that starts a visit: as found, everything read.
func (n *nextRun) proposeFirst() {
	h := n.proposed(proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(n.run.names); id++ {
		h.Read = append(h.Read, n.zoneRead(id, zonal.House))
		reads = append(reads, quoteKey(n.run.names[id])+` = "… Pa"`)
	}
	n.put(NextAction{What: "hold as found at 50 Pa, every space read to the house",
		How:     "baseline first (fan covered, about 20 s), then 25 Pa and a walk through the house, then 50 Pa; a hose into each space",
		Minutes: holdMinutes + readMinutes*float64(len(reads)), first: true,
		Block: block("as found", "", `to_house = { `+strings.Join(reads, ", ")+` }`)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeReferences reads a zone to where it has not been read as found.
func (n *nextRun) proposeReferences(z zonal.SpaceID) {
	if len(n.model.Holds) == 0 {
		return
	}
	name := n.run.names[z]
	for _, to := range []zonal.SpaceID{zonal.House, zonal.Outside} {
		if n.asFoundRead(z, to) {
			continue
		}
		h := n.proposed(proposedHold)
		h.Fan = nil
		h.Read = []zonal.PressureReading{n.zoneRead(z, to)}
		key := "to_" + n.run.names[to]
		n.put(NextAction{What: fmt.Sprintf("read the %s to %s", name, n.run.names[to]),
			How:     "everything as found, fan running; the input hose in the " + name + ", the other tap open to the " + n.run.names[to],
			Minutes: readMinutes, Block: block("as found, second reference", "", key+" = { "+quoteKey(name)+` = "… Pa" }`)},
			zonal.Candidate{Holds: []zonal.Hold{h}})
	}
}

// proposeOpening opens a zone to one side and reads again.
func (n *nextRun) proposeOpening(z, to zonal.SpaceID) {
	if n.openedTo(z, to) || n.pathBetween(z, to, false) < 0 || to == zonal.Outside && n.vented(z) {
		return // vents stand open already
	}
	name, side := n.run.names[z], "the "+n.run.names[to]
	if to == zonal.Outside {
		side = n.run.names[to]
	}
	a := NextAction{What: fmt.Sprintf("open the %s to %s", name, side), Minutes: openMinutes,
		How:   "prop the hatch or door open, hold again, read the fan and the zone; its size need not be known",
		Block: block(fmt.Sprintf("%s opened to %s", name, side), fmt.Sprintf("opened   = [ { between = [%s, %s] } ]\n", quoted(n.run.names[to]), quoted(name)), "to_house = { "+quoteKey(name)+` = "… Pa" }`)}
	if to == zonal.Outside {
		a.How = "raise the door or open the vents, hold again, read the fan and the zone"
		a.Caution = "slow or cover the fan before an outer door is moved, and bring it up by hand"
	}
	if n.kinds[z] == sheet.Garage {
		a.Caution = strings.TrimPrefix(a.Caution+"; no engine has just run in the garage", "; ")
	}
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Opened = []int{len(n.model.Openings)}
	n.put(a, zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{{A: z, B: to,
		Flow50: zonal.LogNormal{Median: units.Flow(units.CFM.ToSI(openingCFM)), SDLn: openingSD}}}})
}

// proposeHole adds a hole of known size between the zone and the house.
func (n *nextRun) proposeHole(z zonal.SpaceID) {
	if n.pathBetween(z, zonal.House, false) < 0 {
		return
	}
	name := n.run.names[z]
	area := units.Area(units.SquareInch.ToSI(holeAreaIP))
	text := area.Text(n.system.Area(), 0)
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Opened = []int{len(n.model.Openings)}
	n.put(NextAction{What: fmt.Sprintf("add a hole of %s between house and %s", text, name), Minutes: openMinutes,
		How:   "open the hatch just so far, or cut and measure; edges sharp, area within 3 %",
		Block: block("hole, "+name+" to house", fmt.Sprintf("opened   = [ { between = [\"house\", %s], area = %s } ]\n", quoted(name), quoted(text)), "to_house = { "+quoteKey(name)+` = "… Pa" }`)},
		zonal.Candidate{Holds: []zonal.Hold{h}, Openings: []zonal.Opening{{A: z, B: zonal.House, Area: area, AreaSDLn: float64(sheet.DefaultHoleAreaSD)}}})
}

// proposeCover covers the registers of a duct zone.
func (n *nextRun) proposeCover(z zonal.SpaceID) {
	main := n.pathBetween(z, zonal.House, false)
	if main < 0 || n.pathBetween(zonal.House, z, true) >= 0 {
		return
	}
	name := n.run.names[z]
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Sealed, h.Covered = []int{main}, []int{len(n.model.Paths)}
	cover := zonal.Path{A: zonal.House, B: z, Covered: true, Flow50: zonal.LogNormal{Median: units.Flow(units.CFM.ToSI(coveredCFM)), SDLn: sizeSD},
		Exponent: zonal.Normal{Mean: crackMean, SD: exponentSD}}
	n.put(NextAction{What: "cover the registers and read the " + name + " to the house", Minutes: coverMinutes,
		How:   "air handler off; cover every register and return, hold again, a hose through one cover",
		Block: block("registers covered", fmt.Sprintf("sealed   = [ { between = [\"house\", %s] } ]\n", quoted(name)), "to_house = { "+quoteKey(name)+` = "… Pa" }`)},
		zonal.Candidate{Holds: []zonal.Hold{h}, Paths: []zonal.Path{cover}})
}

// proposeFan holds a zone with a fan of its own.
func (n *nextRun) proposeFan(z zonal.SpaceID) {
	if len(n.model.Holds) == 0 || n.kinds[z] == sheet.Attic {
		return
	}
	name := n.run.names[z]
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Fans = []zonal.FanSource{{From: z, To: zonal.Outside, FlowReading: zonal.FlowReading{
		Flow: units.Flow(units.CFM.ToSI(secondFanSize)), SDLn: float64(n.gauge.Repeat), Cal: n.fanCal}}}
	n.put(NextAction{What: "a second fan from the " + name + " to outside", Minutes: fanMinutes,
		How:     "trim it until the " + name + " nears the pressure of the house; read both fans",
		Caution: "appliances in the " + name + " off as well",
		Block:   block("second fan in the "+name, fmt.Sprintf("fans     = [ { from = %s, to = \"outside\", flow = \"… %s\" } ]\n", quoted(name), n.system.Flow().Symbol()), "to_house = { "+quoteKey(name)+` = "… Pa" }`)},
		zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeSecond holds the house as found at a second pressure.
func (n *nextRun) proposeSecond() {
	for k := range n.model.Holds {
		if n.held[k].hold.AsFound() && abs(n.model.Holds[k].House) < 40 {
			return
		}
	}
	h := n.proposed(secondHold)
	n.put(NextAction{What: "hold at 25 Pa as found, fan read", Minutes: holdMinutes, How: "everything as found; two pressures give the exponent",
		Block: block("as found, 25 Pa", "", "")}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeRepeat reads the fan and the zones as found once more.
func (n *nextRun) proposeRepeat() {
	h := n.proposed(proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(n.run.names); id++ {
		if n.about < 0 || n.about == id {
			h.Read = append(h.Read, n.zoneRead(id, zonal.House))
			reads = append(reads, quoteKey(n.run.names[id])+` = "… Pa"`)
		}
	}
	n.put(NextAction{What: "repeat the hold as found", Minutes: holdMinutes, How: "everything as found, longer averages",
		Block: block("as found again", "", "to_house = { "+strings.Join(reads, ", ")+" }")}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// block is a [[hold]] to fill in.
func block(name, changes, reads string) string {
	b := fmt.Sprintf("[[hold]]\nname     = %s\nhouse    = \"… Pa\"\nfan      = \"…\"\n%s", quoted(name), changes)
	if reads != "" {
		b += reads + "\n"
	}
	return b
}

// quoted is a TOML string.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(units.SanitizeTo(s, 100)) + `"`
}

// quoteKey is a TOML key: bare where it can be.
func quoteKey(s string) string {
	for _, c := range s {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_') {
			return quoted(s)
		}
	}
	return s
}
