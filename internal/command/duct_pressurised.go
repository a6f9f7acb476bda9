package command

import "github.com/urfave/cli/v2"

// pressurisedQuestion is a test with a fan on the ducts: total leakage, or
// leakage to outside with house and ducts at one pressure.
type pressurisedQuestion struct {
	*quickFlags
	method             string
	pressure, residual *value
	flow               *value
	side               *value
}

func newPressurisedQuestion(method string) *pressurisedQuestion {
	return &pressurisedQuestion{
		quickFlags: newQuickFlags(), method: method,
		pressure: newPressure("25"), residual: newPressure("0.1"), flow: newFlow("96"),
		side: newChoice("both", "supply", "return"),
	}
}

func (q *pressurisedQuestion) run(p *program, c *cli.Context) error {
	if err := noArguments(c); err != nil {
		return err
	}
	err := p.require(
		need(q.pressure, "pressure", "that the ducts were held at"),
		need(q.flow, "flow", "of the fan on the ducts"),
	)
	if err != nil {
		return err
	}
	return p.answerQuick(q.sheet(), q.quickFlags)
}

func (q *pressurisedQuestion) sheet() *sheetText {
	t := newSheetText(q.system())
	t.table("[duct_test]")
	t.key("method", q.method)
	t.key("side", q.side.text)
	t.pressure("pressure", q.pressure.text)
	t.flow("flow", q.flow.text)
	t.pressure("residual", q.residual.text)
	return t
}

func (q *pressurisedQuestion) pressurisedFlags(own ...cli.Flag) []cli.Flag {
	return q.flags(append([]cli.Flag{
		flag(q.pressure, "pressure", "`PRESSURE` of the ducts to outside; 25 is usual, what was reached will do"),
		flag(q.flow, "flow", "`FLOW` of the fan on the ducts"),
		flag(q.side, "side", "`SIDE` under test: both (usual), supply or return"),
	}, own...)...)
}
