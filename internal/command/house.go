package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/units"
)

// houseQuestion is what the house command is asked.
type houseQuestion struct {
	*quickFlags
	house, baseline *value
	fan             *value
	volume          *value
	floor           *value
	altitude        *value
	indoor, outdoor *value
	hold            *value
}

func houseCommand(p *program) *cli.Command {
	q := newHouseQuestion()
	return &cli.Command{
		Name:      "house",
		Category:  groupQuick,
		Usage:     "how leaky the whole house is, from one fan reading or several",
		ArgsUsage: "[PRESSURE=FLOW...]",
		Description: `One hold is --house and --fan. Several, at different house pressures, are a
multi-point test: give each as PRESSURE=FLOW. Bare numbers are Pa and cfm, or
m3/h with --units si. The volume turns the flow into air changes.`,
		UsageText: `holdbook house --house 50 --fan 2280
holdbook house --house 50 --fan 2280 --volume 14400ft3
# air that is colder outdoors shrinks the flow
holdbook house --house 50 --fan 2280 --indoor 68F --outdoor 31F
# a multi-point test
holdbook house 60=2560 50=2270 40=1970 30=1630 20=1250 --baseline -1.2
holdbook house --units si --house 50 --fan 3870 --volume 408m3`,
		Flags: q.flags(
			flag(q.house, "house", "`PRESSURE` of the house to outside during the hold"),
			flag(q.fan, "fan", "door-fan `FLOW` as read"),
			flag(q.baseline, "baseline", "`PRESSURE` of the house to outside with the fan covered"),
			flag(q.volume, "volume", "`VOLUME` of the house, for air changes: 14400ft3, 408m3"),
			flag(q.floor, "floor-area", "floor `AREA`: 1800ft2, 167m2"),
			flag(q.indoor, "indoor", "`TEMPERATURE` indoors, with --outdoor, for the density of the air: 68F, 20C"),
			flag(q.outdoor, "outdoor", "`TEMPERATURE` outdoors"),
			flag(q.altitude, "altitude", "`HEIGHT` above the sea: 850ft, 260m"),
			flag(q.hold, "hold", "`DIRECTION`: depressurised (usual) or pressurised"),
		),
		Action: func(c *cli.Context) error { return q.run(p, c) },
	}
}

func newHouseQuestion() *houseQuestion {
	return &houseQuestion{
		quickFlags: newQuickFlags(),
		house:      newPressure("50"), baseline: newPressure("-1.2"), fan: newFlow("2280"),
		volume:   newQuantity("14400ft3", units.ParseVolume),
		floor:    newQuantity("1800ft2", units.ParseArea),
		altitude: newQuantity("850ft", units.ParseLength),
		indoor:   newQuantity("68F", units.ParseTemperature),
		outdoor:  newQuantity("31F", units.ParseTemperature),
		hold:     newChoice("depressurised", "pressurised"),
	}
}

func (q *houseQuestion) run(p *program, c *cli.Context) error {
	points, err := p.points(c)
	if err != nil {
		return err
	}
	if len(points) == 0 || q.house.given || q.fan.given {
		err := p.require(need(q.house, "house", "pressure of the house to outside during the hold"),
			need(q.fan, "fan", "flow of the door fan"))
		if err != nil {
			return err
		}
		points = append([]pair{{q.house.text, q.fan.text}}, points...)
	}
	return p.answerQuick(q.sheet(points), q.quickFlags)
}

// points reads arguments PRESSURE=FLOW.
func (p *program) points(c *cli.Context) ([]pair, error) {
	points, err := p.pairs(c, "PRESSURE=FLOW", "50=2280", checkFlow)
	if err != nil {
		return nil, err
	}
	for _, at := range points {
		if err := checkPressure(at.name); err != nil {
			return nil, p.badArgument(at.name+"="+at.value, err, "50="+at.value)
		}
	}
	return points, nil
}

// sheet writes the points down, a hold each.
func (q *houseQuestion) sheet(points []pair) *sheetText {
	t := newSheetText(q.system())
	t.key("hold", q.hold.text)
	t.table("house")
	t.key("volume", q.volume.text)
	t.key("floor_area", q.floor.text)
	t.key("altitude", q.altitude.text)
	t.key("indoor", q.indoor.text)
	t.key("outdoor", q.outdoor.text)
	for i, at := range points {
		t.table("[hold]")
		t.key("name", holdName(at.name, len(points)))
		if i == 0 {
			t.pressure("baseline", q.baseline.text)
		}
		t.pressure("house", at.name)
		t.flow("fan", at.value)
	}
	return t
}

func holdName(pressure string, of int) string {
	if of == 1 {
		return "as found"
	}
	return "at " + withPascal(pressure)
}
