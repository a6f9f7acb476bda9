package command

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"
)

type onOffQuestion struct {
	*quickFlags
	airHandler       *value
	supply, returned *value
}

func ductOnOff(p *program) *cli.Command {
	q := &onOffQuestion{
		quickFlags: newQuickFlags(),
		airHandler: newFlow("1180"), supply: newPressure("60"), returned: newPressure("90"),
	}
	return &cli.Command{
		Name:      "onoff",
		Usage:     "supply and return leakage in operation, from the fan flow with the air handler on and off",
		ArgsUsage: "HOUSE=OFF:ON...",
		Description: `At each house pressure read the door fan with the air handler off, then on.
Below and above outdoors, or only the difference of the two leakages is found.
(ASTM E1554, method A.) Combustion appliances off throughout.`,
		UsageText: `holdbook duct onoff -25=1274:1182 -10=703:621 10=703:699 25=1274:1254
# leakage as a share of what the air handler moves
holdbook duct onoff -25=1274:1182 25=1274:1254 --air-handler 1180`,
		Flags: q.flags(
			flag(q.airHandler, "air-handler", "`FLOW` of the air handler, for leakage as a share of it"),
			flag(q.supply, "supply-pressure", "`PRESSURE` in the supply plenum to the ducts' surroundings, running"),
			flag(q.returned, "return-pressure", "`PRESSURE` in the return likewise, without its sign"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func (q *onOffQuestion) run(p *program, c *cli.Context) error {
	const sample = "-25=1274:1182"
	if c.NArg() == 0 {
		return &usageError{text: "onoff needs house pressures with the fan flow off and on at each", hints: []string{p.appended(sample, "25=1274:1254")}}
	}
	stations, err := p.pairs(c, "HOUSE=OFF:ON", sample, checkOffOn)
	if err != nil {
		return err
	}
	for _, s := range stations {
		if err := checkPressure(s.name); err != nil {
			return p.badArgument(s.name+"="+s.value, err, sample)
		}
	}
	return p.answerQuick(q.sheet(stations), q.quickFlags)
}

// checkOffOn says what is wrong with a text that should be two flows.
func checkOffOn(text string) error {
	off, on, found := strings.Cut(text, ":")
	if !found {
		return fmt.Errorf("%s is not two flows, off:on", quote(text))
	}
	if err := checkFlow(off); err != nil {
		return err
	}
	return checkFlow(on)
}

func (q *onOffQuestion) sheet(stations []pair) *sheetText {
	t := newSheetText(q.system())
	if q.airHandler.given || q.supply.given || q.returned.given {
		t.table("air_handler")
		t.flow("flow", q.airHandler.text)
		t.pressure("supply_pressure", q.supply.text)
		t.pressure("return_pressure", q.returned.text)
	}
	for _, s := range stations {
		off, on, _ := strings.Cut(s.value, ":")
		t.table("[on_off]")
		t.pressure("house", s.name)
		t.flow("off", off)
		t.flow("on", on)
	}
	return t
}
