package command

import (
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

// zoneQuestion is what the zone command is asked.
type zoneQuestion struct {
	*quickFlags
	house, baseline *value
	fan             *value
	to, hold        *value
}

func zoneCommand(p *program) *cli.Command {
	q := &zoneQuestion{
		quickFlags: newQuickFlags(),
		house:      newPressure("50"), baseline: newPressure("-1.2"), fan: newFlow("2280"),
		to: newChoice("house", "outside"), hold: newChoice("depressurised", "pressurised"),
	}
	return &cli.Command{
		Name:      "zone",
		Category:  groupQuick,
		Usage:     "how the attic, garage or another space is joined to the house and outdoors",
		ArgsUsage: "NAME=PRESSURE...",
		Description: `With the fan holding the house, read each space with reference to the house
(input hose in the space). A bare number is in Pa; 0.18inH2O works too. One
reading tells how the space is joined; its size takes a change as well: open
the hatch, read again, and write both into a sheet (--save).`,
		UsageText: `holdbook zone attic=44 garage=47.5 --house 50
# the fan flow too, which sizes the house
holdbook zone attic=44 garage=47.5 --house 50 --fan 2280
holdbook zone crawlspace=12 --house -50.6 --baseline -1.1 --units si
# read with reference to outside, and kept as a sheet
holdbook zone "north attic=6.1" --to outside --house 50 --save attic.toml`,
		Flags: q.flags(
			flag(q.house, "house", "`PRESSURE` of the house to outside during the hold"),
			flag(q.fan, "fan", "door-fan `FLOW` during the hold; a bare number is cfm, m3/h with --units si"),
			flag(q.baseline, "baseline", "`PRESSURE` of the house to outside with the fan covered; taken off the readings"),
			flag(q.to, "to", "`SPACE` the readings refer to: house (usual) or outside"),
			flag(q.hold, "hold", "`DIRECTION`: depressurised (usual) or pressurised"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func (q *zoneQuestion) run(p *program, c *cli.Context) error {
	if c.NArg() == 0 {
		return &usageError{text: "zone needs a reading: the space, an equals sign, its pressure", hints: []string{p.appended("attic=44", "--house", "50")}}
	}
	readings, err := p.pairs(c, "NAME=PRESSURE", "attic=44", checkPressure)
	if err != nil {
		return err
	}
	if err := p.require(need(q.house, "house", "pressure of the house to outside during the hold")); err != nil {
		return err
	}
	return p.answerQuick(q.sheet(readings), q.quickFlags)
}

// sheet writes the readings down.
func (q *zoneQuestion) sheet(readings []pair) *sheetText {
	t := newSheetText(q.system())
	t.key("hold", q.hold.text)
	for _, r := range readings {
		t.zone(r.name)
	}
	t.table("[hold]")
	t.key("name", "as found")
	t.pressure("baseline", q.baseline.text)
	t.pressure("house", q.house.text)
	t.flow("fan", q.fan.text)
	if q.to.text == sheet.OutsideName {
		t.inline("to_outside", readings)
	} else {
		t.inline("to_house", readings)
	}
	return t
}

// zone declares a zone where its name alone does not say what it is.
func (t *sheetText) zone(name string) {
	kind := kindOf(name)
	if strings.EqualFold(name, kind) {
		return // a kind word declares the zone by itself
	}
	t.table("[zone]")
	t.key("name", name)
	t.key("kind", kind)
}

// kindOf is the kind that a name ends in: a "north attic" is an attic.
func kindOf(name string) string { return string(sheet.KindOf(name)) }
