package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

type coversQuestion struct {
	*quickFlags
	house *value
	in    *value
}

func ductCovers(p *program) *cli.Command {
	q := &coversQuestion{quickFlags: newQuickFlags(), house: housePressure(), in: newText("attic=44")}
	q.in.check = func(text string) error {
		_, err := spaceReading(text)
		return err
	}
	return &cli.Command{
		Name:      "covers",
		Usage:     "which branches leak, from the pressure across each covered register",
		ArgsUsage: "REGISTER=PRESSURE...",
		Description: `With the house held and the air handler off, cover one register at a time,
all others open, and read the pressure across the cover (pressure pan reading).
It ranks the branches; it is no flow.`,
		UsageText: `holdbook duct covers living=1.4 bath=5.2 "bedroom 2=0.6" --house 50
# the ducts run through an attic that is itself 35 Pa from the house
holdbook duct covers living=1.4 bath=5.2 --house 50 --in attic=35`,
		Flags: q.flags(
			flag(q.house, "house", "`PRESSURE` of the house to outside"),
			flag(q.in, "in", "`SPACE=PRESSURE` of the space the ducts run through, to the house"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func (q *coversQuestion) run(p *program, c *cli.Context) error {
	if c.NArg() == 0 {
		return &usageError{text: "covers needs a register, an equals sign and the pressure across its cover", hints: []string{p.appended("living=1.4", "--house", "50")}}
	}
	covers, err := p.pairs(c, "REGISTER=PRESSURE", "living=1.4", checkPressure)
	if err != nil {
		return err
	}
	if err := p.require(need(q.house, "house", "pressure of the house to outside during the hold")); err != nil {
		return err
	}
	return p.answerQuick(q.sheet(covers), q.quickFlags)
}

func (q *coversQuestion) sheet(covers []pair) *sheetText {
	t := newSheetText(q.system())
	in, err := spaceReading(q.in.text)
	around := q.in.given && err == nil
	if around {
		t.zone(in.name)
		t.table("[zone]")
		t.key("name", ducts)
		t.key("kind", ducts)
		t.line("touches = [\"house\", %s]", sheet.StringText(in.name))
	}
	t.ductHold("as found", q.house.text)
	if around {
		t.inline("to_house", []pair{in})
	}
	for _, r := range covers {
		t.table("[register]")
		t.key("name", r.name)
		t.pressure("cover", r.value)
	}
	return t
}

// spaceReading reads SPACE=PRESSURE.
func spaceReading(text string) (pair, error) {
	name, value, found := cutLast(text)
	if !found || name == "" {
		return pair{}, &usageError{text: quote(text) + " is not of the form SPACE=PRESSURE"}
	}
	return pair{name, value}, checkPressure(value)
}
