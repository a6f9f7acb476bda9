package command

import "holdbook/internal/sheet"

// guardedQuick is the guarded test of a dwelling among neighbours.
var guardedQuick = quick{
	name:     "guarded",
	question: "what a dwelling among neighbours leaks to outdoors alone",
	about: `Hold the dwelling with the neighbours' doors and windows open, and read its
fan; shut them, hold each neighbour at the dwelling's own pressure with a second
fan, and read the fan again: what is left leaks to outdoors. Read each neighbour
with reference to the dwelling; a pascal off still passes 8 % of its party wall.`,
	examples: `holdbook guarded --house 50 --alone 1000 --guarded 700 east=0.2 west=-0.1
holdbook guarded --house -50 --guarded 310 flat=0 --units si --save flat.toml`,
	rows: []row{
		{flag: "house", kind: aPressure, keys: "hold.1.house hold.2.house", sample: "50", need: "pressure of the dwelling to outside in both holds", help: "`PRESSURE` of the dwelling to outside in both holds"},
		{flag: "guarded", kind: aFanFlow, keys: "hold.1.fan", sample: "700", need: "fan flow of the dwelling, neighbours held level", help: "fan `FLOW` of the dwelling, neighbours held level"},
		{flag: "alone", kind: aFanFlow, keys: "hold.2.fan", sample: "1000", help: "fan `FLOW` of the dwelling, neighbours open to outside"},
		baselineRow.with("`PRESSURE` of the dwelling to outside with all fans covered"),
		holdRow,
	},
	fixed: []fixed{{"hold.1.name", "neighbours held level"}},
	arg: &argument{form: "NEIGHBOUR=PRESSURE", sample: "east=0.2", lacking: "guarded needs the neighbours, each with its pressure to the dwelling", also: []string{"--house", "50", "--guarded", "700"},
		name: place{aNeighbour, ""}, values: []place{{aPressure, "hold.1.to_house.NAME"}}},
	settle: settleGuards,
}

// aNeighbour is a space that is a neighbour whatever its name.
var aNeighbour = flagKind{value: newText, put: (*asked).neighbour}

// neighbour declares a neighbour and makes it a guard of the first hold.
func (a *asked) neighbour(name string) {
	z := sheet.Zone{Name: sheet.Word(name), KindText: sheet.Word(string(sheet.Neighbour))}
	a.sheet.Zones = append(a.sheet.Zones, z)
	if len(a.sheet.Holds) > 0 {
		a.sheet.Holds[0].Guards = append(a.sheet.Holds[0].Guards, sheet.Ref(name))
	}
}

// settleGuards opens the neighbours to outside in the hold of the dwelling alone, and drops
// that hold where its fan was not read.
func settleGuards(s *sheet.Sheet) {
	if len(s.Holds) < 2 {
		return
	}
	if !s.Holds[1].Fan.Given {
		s.Holds = s.Holds[:1]
		return
	}
	s.Holds[1].Name = sheet.Word("alone, neighbours open")
	for _, z := range s.Zones {
		s.Holds[1].Opened = append(s.Holds[1].Opened, sheet.Opening{Between: sheet.Between(z.Name.Value, sheet.OutsideName), Name: sheet.Word("doors of " + z.Name.Value)})
	}
}

// cazQuick is the worst-case depressurisation of a space with a combustion appliance.
var cazQuick = quick{
	name:     "caz",
	question: "how far exhaust fans and the air handler draw a combustion space down",
	about: `No door fan runs. Read the space with the appliance to outside: everything
off, exhaust fans and dryer on, inner doors as they make it worst, air handler
on. The largest fall from the first reading counts. It passes no appliance:
spillage and carbon monoxide decide, and the standard in force.`,
	examples: `holdbook caz --baseline -0.6 --exhaust -2.4 --doors -3.1 --handler-on -3.9
holdbook caz --baseline -0.6 --exhaust -2.4 --appliance "water heater"`,
	rows: []row{
		{flag: "baseline", kind: aPressure, keys: "caz.1.baseline", sample: "-0.6", need: "pressure of the space to outside, all fans off", help: "`PRESSURE` of the space to outside, all fans off"},
		{flag: "exhaust", kind: aPressure, keys: "caz.1.exhaust", sample: "-2.4", need: "the same with exhaust fans and dryer on", help: "`PRESSURE` with exhaust fans and dryer on"},
		{flag: "doors", kind: aPressure, keys: "caz.1.doors", sample: "-3.1", help: "`PRESSURE` with the inner doors as they make it worst"},
		{flag: "handler-on", kind: aPressure, keys: "caz.1.handler_on", sample: "-3.9", help: "`PRESSURE` with the air handler on too"},
		{flag: "appliance", kind: oneOf(sheet.LookUp("caz.appliance").Words...), keys: "caz.1.appliance", help: "`WORD` of the appliance that bears least"},
		{flag: "spillage", kind: aName, keys: "caz.1.spillage", sample: "none after 60 s", help: "`TEXT`: spillage in the worst case"},
		{flag: "co", kind: aName, keys: "caz.1.co", sample: "4 ppm", help: "`READING` of carbon monoxide in the room air, such as \"4 ppm\""},
	},
	fixed: []fixed{{"caz.1.name", "combustion space"}},
}

// nullingQuick is the nulling test of the ducts.
var nullingQuick = quick{
	name:     "nulling",
	question: "net imbalance of the running ducts, from a fan that undoes it",
	about: `Air handler off, the door fan covered: read the house to outside. Air handler
on: trim a fan of measured flow until the house is back at that pressure. Its
flow is supply less return leakage. Calm weather only; appliances off.`,
	examples: `holdbook duct nulling --flow 85 --direction in
holdbook duct nulling --flow "40 L/s" --direction out --residual 0.1`,
	rows: []row{
		{flag: "flow", kind: aFlow, keys: "nulling.1.flow", sample: "85", need: "flow of the fan that brings the pressure back", help: "`FLOW` of the fan that brings the pressure back"},
		{flag: "direction", kind: oneOf("in", "out"), keys: "nulling.1.direction", need: "in or out", help: "`WORD`: in (it blows into the house) or out"},
		{flag: "residual", kind: aPressure, keys: "nulling.1.residual", sample: "0.1", help: "`PRESSURE` that was left of the change"},
		{flag: "air-handler", kind: aFlow, keys: "air_handler.flow", sample: "1180", help: "`FLOW` of the air handler"},
	},
}
