package command

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
)

func newCommand(p *program) *cli.Command {
	zones := &value{sample: "attic", many: true}
	var ducts bool
	return &cli.Command{
		Name:      "new",
		Category:  groupStart,
		Usage:     "a commented sheet for your spaces, to fill in",
		ArgsUsage: "FILE",
		Description: `Writes a new sheet with a hold as found and a change for each space, to be
filled in with a pencil or an editor. The values that stand in it are to be
replaced; lines that start with # wait for a reading. A file that is there
already is left alone.`,
		UsageText: `holdbook new visit.toml --zone attic --zone garage
holdbook new cabin.toml --zone crawlspace --ducts`,
		Flags: []cli.Flag{
			flag(zones, "zone", "a `SPACE` beside the house, such as attic; as often as there are spaces"),
			&cli.BoolFlag{Name: "ducts", Usage: "the house has ducts", Destination: &ducts},
		},
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 || c.Args().First() == standardInput {
				return &usageError{text: "new takes the name of one new file", hints: []string{"holdbook new visit.toml --zone attic"}}
			}
			name := c.Args().First()
			if _, err := sheet.CreateText(name, []byte(emptySheet(zones.all, ducts))); err != nil {
				return &dataError{err: err}
			}
			_, err := fmt.Fprintf(p.out, "%s is written; fill in what you read, then: %s report %s\n", safe(name), Name, safe(name))
			return wrapWrite(err)
		},
	}
}

// emptySheet is a sheet with places to fill in. Nothing in it counts as read: a
// hold without a house pressure is not used.
func emptySheet(zones []string, ducts bool) string {
	var b strings.Builder
	b.WriteString(sheetHead)
	if ducts {
		zones = append(slices.Clone(zones), string(sheet.DuctsKind))
	}
	for _, z := range zones {
		fmt.Fprintf(&b, "\n[[zone]]\nname = %s\nkind = %q\n", sheet.StringText(z), kindOf(z))
	}
	b.WriteString(firstHolds)
	if len(zones) > 0 {
		fmt.Fprintf(&b, "# to_house = { %s }\n#\n", strings.Join(readings(zones), ", "))
	}
	for _, z := range zones {
		fmt.Fprintf(&b, "# %s to house    ________ Pa     %s to outside ________ Pa\n", padded(z), padded(z))
	}
	for _, z := range zones {
		changeFor(&b, z)
	}
	limitsToName(&b, ducts)
	b.WriteString(lastWords)
	return b.String()
}

// changeFor is the hold that sizes a space.
func changeFor(b *strings.Builder, z string) {
	what, change := "opened to the house", fmt.Sprintf("opened = [ { between = [\"house\", %s] } ]", sheet.StringText(z))
	if kindOf(z) == string(sheet.DuctsKind) {
		what, change = "with the registers covered", fmt.Sprintf("sealed = [ { between = [\"house\", %s] } ]", sheet.StringText(z))
	}
	fmt.Fprintf(b, "\n# The %s %s: fan and pressure read again.\n[[hold]]\nname = %s\n%s\n# house    = \"____ Pa\"\n# fan      = \"____ cfm\"\n# range    = \"____\"\n# to_house = { %s = \"____ Pa\" }\n",
		units.Sanitize(z), what, sheet.StringText(z+", "+what), change, sheet.KeyText(z))
}

// limitsToName lists the published limits of a house and of its ducts, one of which may be
// in force; that of garages needs no naming.
func limitsToName(b *strings.Builder, ducts bool) {
	b.WriteString("\n# A limit in force: take the # away from the first line and from the name of it.\n# holdbook limits lists them all, with what they rest on; local code decides.\n# [[limit]]\n")
	for _, l := range ductleak.Limits() {
		ofHouse := l.Quantity == ductleak.HouseAirChanges || l.Quantity == ductleak.HouseFlowPerEnvelope
		ofDucts := l.Quantity == ductleak.DuctLeakageOutside || l.Quantity == ductleak.DuctLeakageTotal
		if ofHouse || ofDucts && ducts {
			fmt.Fprintf(b, "# name = %-30q # %s\n", l.ID, strings.TrimSpace(l.Document+" "+l.Edition))
		}
	}
}

// readings are the places for a pressure of each space to the house.
func readings(zones []string) []string {
	var list []string
	for _, z := range zones {
		list = append(list, sheet.KeyText(z)+` = "____ Pa"`)
	}
	return list
}

func padded(z string) string { return fmt.Sprintf("%-12s", units.Sanitize(z)) }

const sheetHead = `# A sheet of readings. Take the # away from a line and write in what the gauge
# shows; leave out what you did not read. A quantity stands in quotes with its
# unit: "43.9 Pa", "2280 cfm", "62 L/s".
#
# Before the fan: combustion appliances off (gas water heater to pilot), fires
# out and ashes cold, registers uncovered, inner doors open, outer doors and
# windows shut; the outdoor hose at least 5 ft from the opening and clear. No
# fan with friable asbestos, vermiculite, mould or sewage where it would draw
# from, and none after an engine has run in the garage. Local code and licensed
# practice first.

sheet = 1

[job]
# name  = "…"
# date  = 2026-01-31
# by       = "…"                   # contact, standard and method too, for the record
# standard = "…"
hold    = "depressurised"

[house]
# volume     = "14400 ft3"
# floor_area = "1800 ft2"
# indoor     = "68 F"
# outdoor    = "31 F"
# condition  = ["windows shut", "…"]

[door_fan]
# id    = "…"                      # calibrated = 2026-01-31 too; [gauge] likewise
# shows = "flow"                   # "at 50 Pa" where its gauge carries the flow to that
`

const firstHolds = `
# As found, everything shut. Baseline with the fan covered, about 20 s; then
# 25 Pa and a walk through the house; then 50 Pa.
[[hold]]
name = "as found"
# baseline = "____ Pa"             # such as -1.2, with its sign; where it is cold or
                                   # windy, of each space too, to the house:
                                   # baseline = { house = "____ Pa", attic = "____ Pa" }
# house    = "____ Pa"             # such as -51.2, as the gauge shows it
# fan      = "____ cfm"
# range    = "____"                # as the fan names it; every hold or none
`

const lastWords = `
# Afterwards: fan covered, appliances as found and relit by someone entitled to,
# thermostat, doors, hatches and dampers as found, covers and hoses out.
`
