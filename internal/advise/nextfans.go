package advise

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// proposeCover covers the registers of a duct zone.
func proposeCover(c *survey.Case, n *planner, z zonal.SpaceID) {
	main := c.PathBetween(z, zonal.House, false)
	if main < 0 || c.PathBetween(zonal.House, z, true) >= 0 {
		return
	}
	h := proposed(c, n, proposedHold)
	h.Read = []zonal.PressureReading{zoneRead(c, z, zonal.House)}
	h.Sealed, h.Covered = []int{main}, []int{len(c.Model.Paths)}
	changes := fmt.Sprintf("sealed   = [ { between = [\"house\", %s] } ]\n", quoted(c.Names[z]))
	put(n, NextAction{What: "cover the registers and read the " + nameOf(c, z) + " to the house", Minutes: coverMinutes,
		How:     "air handler off; cover every register and return, hold again, a hose through one cover",
		Caution: "the air handler must not start while its registers are covered; take every cover off afterwards",
		Block:   block(c, "registers covered", true, changes, toHouseKey, c.Names[z])},
		zonal.Candidate{Holds: []zonal.Hold{h}, Paths: []zonal.Path{zonal.CoveredRegisters(z)}})
}

// fanKinds are the zones that a second fan can be set up in.
var fanKinds = []sheet.Kind{sheet.Garage, sheet.Basement, sheet.Crawlspace, sheet.Porch, sheet.Neighbour}

// secondFan is the name of a second fan on the sheet.
const secondFan = "second fan"

// takesFan tells whether a second fan could still be set up in a zone.
func takesFan(c *survey.Case, n *planner, z zonal.SpaceID) bool {
	used := slices.ContainsFunc(c.Model.Holds, func(h zonal.Hold) bool {
		return slices.ContainsFunc(h.Fans, func(f zonal.FanSource) bool { return f.From == z || f.To == z })
	})
	return !n.o.OneFan && !used && slices.Contains(fanKinds, c.Kinds[z]) && c.PathBetween(z, zonal.House, false) >= 0 && c.PathBetween(z, zonal.Outside, false) >= 0
}

// proposeFan holds a zone level with the house by a fan of its own.
func proposeFan(c *survey.Case, n *planner, z zonal.SpaceID) {
	if !takesFan(c, n, z) {
		return
	}
	f := zonal.FanSource{From: z, To: zonal.Outside}
	if !c.Below() {
		f.From, f.To = f.To, f.From
	}
	f.FlowReading = zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(400)), SDLn: float64(c.Gauge.Repeat), Cal: n.secondCal}
	h := proposed(c, n, proposedHold)
	h.Read, h.Fans = []zonal.PressureReading{zoneRead(c, z, zonal.House)}, []zonal.FanSource{f}
	changes := fmt.Sprintf("fans     = [\n  { name = %s, from = %s, to = %s, flow = \"… %s\" },\n]\n", quoted(secondFan), quoted(c.Names[f.From]), quoted(c.Names[f.To]), c.System.Flow().Symbol())
	put(n, NextAction{What: "hold the " + nameOf(c, z) + " level with the house by a second fan", Minutes: fanMinutes,
		How:     "the fan stands between the " + nameOf(c, z) + " and outside; both fans by hand, house at 50 Pa: change one a little, then the other, until the zone reads 0 Pa to the house; read both fans and what is left between the two",
		Caution: "combustion appliances in the " + nameOf(c, z) + " off as well; both fans off before any door between them is moved",
		Block:   block(c, "second fan, "+c.Names[z], true, changes, toHouseKey, c.Names[z])},
		zonal.Candidate{Holds: []zonal.Hold{h}, Trimmed: true})
}

// proposeSecond holds the house as found at a second pressure.
func proposeSecond(c *survey.Case, n *planner) {
	for k := range c.Model.Holds {
		if c.Held[k].Hold.AsFound() && c.Model.Holds[k].Fan != nil && units.Abs(c.Model.Holds[k].House) < survey.SecondHold {
			return
		}
	}
	h := proposed(c, n, secondHold)
	put(n, NextAction{What: "hold at 25 Pa as found, fan read", Minutes: holdMinutes, How: "everything as found; two pressures give the exponent",
		Block: block(c, "as found, 25 Pa", true, "", toHouseKey)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeRepeat reads the fan and the zones as found once more.
func proposeRepeat(c *survey.Case, n *planner) {
	h := proposed(c, n, proposedHold)
	var reads []string
	for id := zonal.SpaceID(2); int(id) < len(c.Names); id++ {
		if n.about < 0 || n.about == id {
			h.Read = append(h.Read, zoneRead(c, id, zonal.House))
			reads = append(reads, c.Names[id])
		}
	}
	what, how := "repeat the hold as found", "everything as found; let the gauge average for longer"
	if !c.FanRead() {
		what, how = "hold as found again and read the fan", "everything as found; the flow that the fan's gauge shows sizes the house"
	}
	put(n, NextAction{What: what, Minutes: holdMinutes, How: how,
		Block: block(c, "as found again", true, "", toHouseKey, reads...)}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// The keys of a hold's everyday readings.
const (
	toHouseKey   = "to_house"
	toOutsideKey = "to_outside"
)

// block is a [[hold]] to fill in: whoever holds the gauge puts a number in place
// of every "…".
func block(c *survey.Case, name string, fan bool, changes, key string, reads ...string) string {
	return blockOf(c, unusedName(c, name), "", fan, changes, key, reads)
}

// blockOf is a block under a name as it stands, with what comes before the house pressure.
func blockOf(c *survey.Case, name, before string, fan bool, changes, key string, reads []string) string {
	b := fmt.Sprintf("[[hold]]\nname     = %s\n%shouse    = \"… Pa\"\n", quoted(name), before)
	if fan {
		b += fmt.Sprintf("fan      = \"… %s\"\n", c.System.Flow().Symbol())
		if label := lastRange(c); label != "" {
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
func unusedName(c *survey.Case, name string) string {
	for k := 2; ; k++ {
		if !slices.ContainsFunc(c.Sheet.Holds, func(h sheet.Hold) bool { return survey.SameName(h.Name.Value, name) }) {
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
