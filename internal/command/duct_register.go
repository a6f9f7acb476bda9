package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

type registerQuestion struct {
	*quickFlags
	house, ducts *value
	flow         *value
}

func ductRegister(p *program) *cli.Command {
	q := &registerQuestion{
		quickFlags: newQuickFlags(),
		house:      housePressure(), ducts: newPressure("1"), flow: newFlow("63"),
	}
	return &cli.Command{
		Name:  "register",
		Usage: "leakage to outside from the flow out of one open register",
		Description: `With the house held, leave one register open, cover all others, and read the
flow out of the open one with a hood. Read the pressure of the ducts as well:
what they lack of the house's own pressure makes the flow too small.`,
		UsageText: `holdbook duct register --house 50 --flow 63 --ducts 1
holdbook duct register --house 25 --flow "21 L/s" --ducts 0.8 --units si`,
		Flags: q.flags(
			flag(q.house, "house", "`PRESSURE` of the house to outside"),
			flag(q.flow, "flow", "`FLOW` between the open register and the room"),
			flag(q.ducts, "ducts", "`PRESSURE` of the ducts to the house meanwhile"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func (q *registerQuestion) run(p *program, c *cli.Context) error {
	if err := noArguments(c); err != nil {
		return err
	}
	err := p.require(
		need(q.house, "house", "pressure of the house to outside"),
		need(q.flow, "flow", "flow at the open register"),
		need(q.ducts, "ducts", "pressure of the ducts to the house"),
	)
	if err != nil {
		return err
	}
	return p.answerQuick(q.sheet(), q.quickFlags)
}

func (q *registerQuestion) sheet() *sheetText {
	t := newSheetText(q.system())
	t.ductHold("one register open", q.house.text)
	t.sealRegisters()
	t.line(`opened = [ { between = ["house", "ducts"], name = "one register" } ]`)
	t.inline("to_house", []pair{{ducts, q.ducts.text}})
	t.line("readings = [ { of = %s, to = \"house\", flow = %s } ]", sheet.StringText(ducts), sheet.StringText(t.withFlowUnit(q.flow.text)))
	return t
}
