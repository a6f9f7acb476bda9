package survey

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// proposeCover covers the registers of a duct zone.
func (n *nextRun) proposeCover(z zonal.SpaceID) {
	main := n.pathBetween(z, zonal.House, false)
	if main < 0 || n.pathBetween(zonal.House, z, true) >= 0 {
		return
	}
	h := n.proposed(proposedHold)
	h.Read = []zonal.PressureReading{n.zoneRead(z, zonal.House)}
	h.Sealed, h.Covered = []int{main}, []int{len(n.model.Paths)}
	changes := fmt.Sprintf("sealed   = [ { between = [\"house\", %s] } ]\n", quoted(n.run.names[z]))
	n.put(NextAction{What: "cover the registers and read the " + n.name(z) + " to the house", Minutes: coverMinutes,
		How:     "air handler off; cover every register and return, hold again, a hose through one cover",
		Caution: "the air handler must not start while its registers are covered; take every cover off afterwards",
		Block:   n.block("registers covered", true, changes, toHouseKey, n.run.names[z])},
		zonal.Candidate{Holds: []zonal.Hold{h}, Paths: []zonal.Path{zonal.CoveredRegisters(z)}})
}

// fanKinds are the zones that a second fan can be set up in.
var fanKinds = []sheet.Kind{sheet.Garage, sheet.Basement, sheet.Crawlspace, sheet.Porch, sheet.Neighbour}

// secondFan is the name of a second fan on the sheet.
const secondFan = "second fan"

// takesFan tells whether a second fan could still be set up in a zone.
func (n *nextRun) takesFan(z zonal.SpaceID) bool {
	used := slices.ContainsFunc(n.model.Holds, func(h zonal.Hold) bool {
		return slices.ContainsFunc(h.Fans, func(f zonal.FanSource) bool { return f.From == z || f.To == z })
	})
	return !n.o.OneFan && !used && slices.Contains(fanKinds, n.kinds[z]) && n.pathBetween(z, zonal.House, false) >= 0 && n.pathBetween(z, zonal.Outside, false) >= 0
}

// proposeFan holds a zone level with the house by a fan of its own.
func (n *nextRun) proposeFan(z zonal.SpaceID) {
	if !n.takesFan(z) {
		return
	}
	f := zonal.FanSource{From: z, To: zonal.Outside}
	if !n.below() {
		f.From, f.To = f.To, f.From
	}
	f.FlowReading = zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(400)), SDLn: float64(n.gauge.Repeat), Cal: n.secondCal}
	h := n.proposed(proposedHold)
	h.Read, h.Fans = []zonal.PressureReading{n.zoneRead(z, zonal.House)}, []zonal.FanSource{f}
	changes := fmt.Sprintf("fans     = [\n  { name = %s, from = %s, to = %s, flow = \"… %s\" },\n]\n", quoted(secondFan), quoted(n.run.names[f.From]), quoted(n.run.names[f.To]), n.system.Flow().Symbol())
	n.put(NextAction{What: "hold the " + n.name(z) + " level with the house by a second fan", Minutes: fanMinutes,
		How:     "the fan stands between the " + n.name(z) + " and outside; both fans by hand, house at 50 Pa: change one a little, then the other, until the zone reads 0 Pa to the house; read both fans and what is left between the two",
		Caution: "combustion appliances in the " + n.name(z) + " off as well; both fans off before any door between them is moved",
		Block:   n.block("second fan, "+n.run.names[z], true, changes, toHouseKey, n.run.names[z])},
		zonal.Candidate{Holds: []zonal.Hold{h}, Trimmed: true})
}

// farFromFifty is the pressure (Pa) below which a hold as found counts as a
// second pressure.
const farFromFifty = 40

// proposeSecond holds the house as found at a second pressure.
func (n *nextRun) proposeSecond() {
	for k := range n.model.Holds {
		if n.held[k].hold.AsFound() && n.model.Holds[k].Fan != nil && abs(n.model.Holds[k].House) < farFromFifty {
			return
		}
	}
	h := n.proposed(secondHold)
	n.put(NextAction{What: "hold at 25 Pa as found, fan read", Minutes: holdMinutes, How: "everything as found; two pressures give the exponent",
		Block: n.block("as found, 25 Pa", true, "", toHouseKey)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeRepeat reads the fan and the zones as found once more.
func (n *nextRun) proposeRepeat() {
	h := n.proposed(proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(n.run.names); id++ {
		if n.about < 0 || n.about == id {
			h.Read = append(h.Read, n.zoneRead(id, zonal.House))
			reads = append(reads, n.run.names[id])
		}
	}
	what, how := "repeat the hold as found", "everything as found; let the gauge average for longer"
	if n.fans() == 0 {
		what, how = "hold as found again and read the fan", "everything as found; the flow that the fan's gauge shows sizes the house"
	}
	n.put(NextAction{What: what, Minutes: holdMinutes, How: how,
		Block: n.block("as found again", true, "", toHouseKey, reads...)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// The keys of a hold's everyday readings.
const (
	toHouseKey   = "to_house"
	toOutsideKey = "to_outside"
)

// block is a [[hold]] to fill in: whoever holds the gauge puts a number in place
// of every "…".
func (n *nextRun) block(name string, fan bool, changes, key string, reads ...string) string {
	return n.blockOf(n.unusedName(name), "", fan, changes, key, reads)
}

// blockOf is a block under a name as it stands, with what comes before the house pressure.
func (n *nextRun) blockOf(name, before string, fan bool, changes, key string, reads []string) string {
	b := fmt.Sprintf("[[hold]]\nname     = %s\n%shouse    = \"… Pa\"\n", quoted(name), before)
	if fan {
		b += fmt.Sprintf("fan      = \"… %s\"\n", n.system.Flow().Symbol())
		if label := n.lastRange(); label != "" {
			b += "range    = " + quoted(label) + "\n"
		}
	}
	b += changes
	for i, name := range reads {
		reads[i] = quoteKey(name) + ` = "… Pa"`
	}
	if len(reads) > 0 {
		b += fmt.Sprintf("%-8s = { %s }\n", key, strings.Join(reads, ", "))
	}
	return b
}

// unusedName makes a name that no hold of the sheet has, so that the block can be
// added to it as it stands.
func (n *nextRun) unusedName(name string) string {
	for k := 2; ; k++ {
		if !slices.ContainsFunc(n.sheet.Holds, func(h sheet.Hold) bool { return sameName(h.Name.Value, name) }) {
			return name
		}
		if k > 2 {
			name = name[:strings.LastIndexByte(name, ' ')]
		}
		name = fmt.Sprintf("%s %d", name, k)
	}
}

// quoted is a TOML string.
func quoted(s string) string { return sheet.StringText(units.SanitizeTo(s, 100)) }

// quoteKey is a TOML key: bare where it can be.
func quoteKey(s string) string { return sheet.KeyText(units.SanitizeTo(s, 100)) }
