package command

import "github.com/urfave/cli/v2"

type subtractionQuestion struct {
	*quickFlags
	house, ducts, openDucts *value
	open, covered           *value
}

func ductSubtraction(p *program) *cli.Command {
	q := &subtractionQuestion{
		quickFlags: newQuickFlags(),
		house:      housePressure(), ducts: newPressure("42"), openDucts: newPressure("0.3"),
		open: newFlow("2500"), covered: newFlow("2300"),
	}
	return &cli.Command{
		Name:  "subtraction",
		Usage: "leakage to outside from the fan flow with registers open and covered",
		Description: `Hold the house, read the fan; cover every register and grille, hold the same
pressure, read the fan again and the pressure of the ducts at one covered
register. The fan flows should come from one flow range, minutes apart.`,
		UsageText: `holdbook duct subtraction --house 50 --open 2500 --covered 2300 --ducts 42
holdbook duct subtraction --house 25 --open 1590 --covered 1460 --ducts 21`,
		Flags: q.flags(
			flag(q.house, "house", "`PRESSURE` of the house to outside in both holds"),
			flag(q.open, "open", "door-fan `FLOW`, registers open"),
			flag(q.covered, "covered", "door-fan `FLOW`, registers covered"),
			flag(q.ducts, "ducts", "`PRESSURE` of the ducts to the house, registers covered"),
			flag(q.openDucts, "ducts-open", "`PRESSURE` of the ducts to the house, registers open, where it was read"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func (q *subtractionQuestion) run(p *program, c *cli.Context) error {
	if err := noArguments(c); err != nil {
		return err
	}
	err := p.require(
		need(q.house, "house", "pressure of the house to outside"),
		need(q.open, "open", "fan flow, registers open"),
		need(q.covered, "covered", "fan flow, registers covered"),
		need(q.ducts, "ducts", "pressure of the ducts to the house, registers covered"),
	)
	if err != nil {
		return err
	}
	return p.answerQuick(q.sheet(), q.quickFlags)
}

func (q *subtractionQuestion) sheet() *sheetText {
	t := newSheetText(q.system())
	t.ductHold("registers open", q.house.text)
	t.flow("fan", q.open.text)
	if q.openDucts.given {
		t.inline("to_house", []pair{{ducts, q.openDucts.text}})
	}
	t.ductHold("registers covered", q.house.text)
	t.flow("fan", q.covered.text)
	t.sealRegisters()
	t.inline("to_house", []pair{{ducts, q.ducts.text}})
	return t
}
