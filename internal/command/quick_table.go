package command

import "holdbook/internal/sheet"

// The rows that several questions share.
var (
	baselineRow = row{flag: "baseline", kind: aPressure, keys: "hold.1.baseline", sample: "-1.2"}
	scaledRow   = row{flag: "fan-scaled-to", kind: aPressure, keys: "hold.1.fan_scaled_to", sample: "50Pa", help: "`PRESSURE` that the gauge had carried the flow to, if it had; so says --fan 2280cfm50 too"}
	indoorRow   = row{flag: "indoor", kind: aTemperature, keys: "house.indoor", sample: "68F", help: "`TEMPERATURE` indoors, with --outdoor, for the air in the fan and what drives the leaks: 68F, 20C"}
	outdoorRow  = row{flag: "outdoor", kind: aTemperature, keys: "house.outdoor", sample: "31F", help: "`TEMPERATURE` outdoors"}
	holdRow     = row{flag: "hold", kind: oneOf("depressurised", "pressurised"), keys: "job.hold", help: "`DIRECTION`: depressurised (usual) or pressurised"}
	houseHeld   = row{flag: "house", kind: aPressure, keys: "hold.1.house", sample: "50", need: "pressure of the house to outside during the hold", help: "`PRESSURE` of the house to outside"}
)

// with is a row with another help.
func (r row) with(help string) row {
	r.help = help
	return r
}

var houseQuick = quick{
	name:     "house",
	question: "how leaky the whole house is, from one fan reading or several",
	about: `One hold is --house and --fan. Several, at different house pressures, are a
multi-point test: give each as PRESSURE=FLOW. Bare numbers are Pa and cfm, or
m3/h with --units si. The volume turns the flow into air changes.`,
	examples: `holdbook house --house 50 --fan 2280
holdbook house --house 50 --fan 2280 --volume 14400ft3
# air that is colder outdoors shrinks the flow
holdbook house --house 50 --fan 2280 --indoor 68F --outdoor 31F
# a multi-point test
holdbook house 60=2560 50=2270 40=1970 30=1630 20=1250 --baseline -1.2
holdbook house --units si --house 50 --fan 3870 --volume 408m3`,
	rows: []row{
		houseHeld.with("`PRESSURE` of the house to outside during the hold"),
		{flag: "fan", kind: aFanFlow, keys: "hold.1.fan", sample: "2280", need: "flow of the door fan", help: "door-fan `FLOW` as read"},
		scaledRow,
		baselineRow.with("`PRESSURE` of the house to outside with the fan covered"),
		{flag: "volume", kind: aVolume, keys: "house.volume", sample: "14400ft3", help: "`VOLUME` of the house, for air changes: 14400ft3, 408m3"},
		{flag: "floor-area", kind: anArea, keys: "house.floor_area", sample: "1800ft2", help: "floor `AREA`: 1800ft2, 167m2"},
		indoorRow,
		outdoorRow,
		{flag: "altitude", kind: aLength, keys: "house.altitude", sample: "850ft", help: "`HEIGHT` above the sea: 850ft, 260m"},
		holdRow,
	},
	arg: &argument{form: "PRESSURE=FLOW", sample: "50=2280",
		name: place{aPressure, "hold.N.house"}, values: []place{{aFlow, "hold.N.fan"}}},
	settle: nameHolds,
	then:   thenHouse,
}

var zoneQuick = quick{
	name:     "zone",
	question: "how the attic, garage or another space is joined to the house and outdoors",
	about: `With the fan holding the house, read each space with reference to the house
(input hose in the space). A bare number is in Pa; 0.18inH2O works too. One
reading tells how the space is joined; its size takes a change as well: open
the hatch, read again, and write both into a sheet (--save).`,
	examples: `holdbook zone attic=44 garage=47.5 --house 50
# the fan flow too, which sizes the house
holdbook zone attic=44 garage=47.5 --house 50 --fan 2280
holdbook zone crawlspace=12 --house -50.6 --baseline -1.1 --units si
# read with reference to outside, and kept as a sheet
holdbook zone "north attic=6.1" --to outside --house 50 --save attic.toml`,
	rows: []row{
		houseHeld.with("`PRESSURE` of the house to outside during the hold"),
		{flag: "fan", kind: aFanFlow, keys: "hold.1.fan", sample: "2280", help: "door-fan `FLOW` during the hold; a bare number is cfm, m3/h with --units si"},
		scaledRow,
		{flag: "baseline", kind: someBaseline, sample: "-1.2", help: "`PRESSURE` of the house to outside with the fan covered, or SPACE=PRESSURE of a space to the house; as often as it was read"},
		{flag: "to", kind: oneOf(sheet.HouseName, sheet.OutsideName), help: "`SPACE` the readings refer to: house (usual) or outside"},
		indoorRow,
		outdoorRow,
		holdRow,
	},
	fixed: []fixed{{"hold.1.name", asFound}},
	arg: &argument{form: "NAME=PRESSURE", sample: "attic=44", lacking: "zone needs a reading: the space, an equals sign, its pressure", also: []string{"--house", "50"},
		name: place{aSpace, ""}, values: []place{{aPressure, "hold.1.to_{to}.NAME"}}},
}

// coversOff goes with every test that covers registers: a furnace that starts against them
// overheats.
const coversOff = "every cover off and the filter back before the air handler starts"

// ductTests lists the tests of ducts; a new one is one entry here. All speak of
// the zone "ducts", which its word declares by itself, and of the registers as
// the path between it and the house.
var ductTests = []quick{
	{
		name:     "subtraction",
		question: "leakage to outside from the fan flow with registers open and covered",
		about: `Hold the house, read the fan; cover every register and grille, hold the same
pressure, read the fan again and the pressure of the ducts at one covered
register. The fan flows should come from one flow range, minutes apart.`,
		examples: `holdbook duct subtraction --house 50 --open 2500 --covered 2300 --ducts 42
holdbook duct subtraction --house 25 --open 1590 --covered 1460 --ducts 21`,
		rows: []row{
			{flag: "house", kind: aPressure, keys: "hold.1.house hold.2.house", sample: "50", need: "pressure of the house to outside", help: "`PRESSURE` of the house to outside in both holds"},
			{flag: "open", kind: aFanFlow, keys: "hold.1.fan", sample: "2500", need: "fan flow, registers open", help: "door-fan `FLOW`, registers open"},
			{flag: "covered", kind: aFanFlow, keys: "hold.2.fan", sample: "2300", need: "fan flow, registers covered", help: "door-fan `FLOW`, registers covered"},
			{flag: "fan-scaled-to", kind: aPressure, keys: "hold.1.fan_scaled_to hold.2.fan_scaled_to", sample: "50Pa", help: "`PRESSURE` that the gauge had carried both flows to, if it had"},
			{flag: "ducts", kind: aPressure, keys: "hold.2.to_house.ducts", sample: "42", need: "pressure of the ducts to the house, registers covered", help: "`PRESSURE` of the ducts to the house, registers covered"},
			{flag: "ducts-open", kind: aPressure, keys: "hold.1.to_house.ducts", sample: "0.3", help: "`PRESSURE` of the ducts to the house, registers open, where it was read"},
		},
		fixed: []fixed{{"hold.1.name", asFound}, {"hold.2.name", "registers covered"}, {"hold.2.sealed.1.between", "house, ducts"}},
		after: coversOff,
		then:  thenBranch,
	},
	{
		name:     "register",
		question: "leakage to outside from the flow out of one open register",
		about: `With the house held, leave one register open, cover all others, and read the
flow out of the open one with a hood. Read the pressure of the ducts as well:
what they lack of the house's own pressure makes the flow too small.`,
		examples: `holdbook duct register --house 50 --flow 63 --ducts 1
holdbook duct register --house 25 --flow "21 L/s" --ducts 0.8 --units si`,
		rows: []row{
			{flag: "house", kind: aPressure, keys: "hold.1.house", sample: "50", need: "pressure of the house to outside", help: "`PRESSURE` of the house to outside"},
			{flag: "flow", kind: aFlow, keys: "hold.1.readings.1.flow", sample: "63", need: "flow at the open register", help: "`FLOW` between the open register and the room"},
			{flag: "ducts", kind: aPressure, keys: "hold.1.to_house.ducts", sample: "1", need: "pressure of the ducts to the house", help: "`PRESSURE` of the ducts to the house meanwhile"},
		},
		fixed: []fixed{{"hold.1.name", "one register open"}, {"hold.1.sealed.1.between", "house, ducts"},
			{"hold.1.opened.1.between", "house, ducts"}, {"hold.1.opened.1.name", "one register"},
			{"hold.1.readings.1.of", "ducts"}, {"hold.1.readings.1.to", "house"}},
		after: coversOff,
		then:  thenBranch,
	},
	{
		name:     "covers",
		question: "which branches leak, from the pressure across each covered register",
		about: `With the house held and the air handler off, cover one register at a time,
all others open, and read the pressure across the cover (pressure pan reading).
It ranks the branches; it is no flow.`,
		examples: `holdbook duct covers living=1.4 bath=5.2 "bedroom 2=0.6" --house 50
# the ducts run through an attic that is itself 35 Pa from the house
holdbook duct covers living=1.4 bath=5.2 --house 50 --in attic=35`,
		rows: []row{
			houseHeld,
			{flag: "in", kind: aroundDucts, sample: "attic=44", help: "`SPACE=PRESSURE` of the space the ducts run through, to the house"},
		},
		fixed: []fixed{{"hold.1.name", asFound}},
		after: coversOff,
		then:  thenLeakage,
		arg: &argument{form: "REGISTER=PRESSURE", sample: "living=1.4", lacking: "covers needs a register, an equals sign and the pressure across its cover", also: []string{"--house", "50"},
			name: place{aName, "register.N.name"}, values: []place{{aPressure, "register.N.cover"}}},
	},
	pressurised("total", "total leakage, from a fan on the ducts alone",
		`All registers covered, a door or window of the house open, the fan on the ducts
holding them at 25 Pa or what it reaches. Leaks into the house count as well.`,
		`holdbook duct total --pressure 25 --flow 96
holdbook duct total --pressure 17.5 --flow 210 --side supply`, thenOutside),
	pressurised("outside", "leakage to outside, with house and ducts held at one pressure",
		`All registers covered, the door fan holding the house at 25 Pa above outdoors,
the fan on the ducts trimmed until ducts and house show no difference. What was
left of it is the residual: a tenth of a pascal still counts.

With one gauge: house to outside first, then ducts to house and trim, then the
house again, which the trimming has moved, and round until both stand; read the
residual last, over 10 s, then the flow. Where the ducts do not come up to the
house, lower the house to them and give that pressure.`,
		`holdbook duct outside --pressure 25 --flow 61
holdbook duct outside --pressure 25 --flow 61 --residual 0.2 --working`, thenBranch,
		row{flag: "residual", kind: aPressure, keys: "duct_test.1.residual", sample: "0.1", help: "`PRESSURE` of the ducts to the house that was left"}),
	{
		name:     "onoff",
		question: "supply and return leakage in operation, from the fan flow with the air handler on and off",
		about: `At each house pressure read the door fan with the air handler off, then on.
Below and above outdoors, or only the difference of the two leakages is found.
(ASTM E1554, method A.) Combustion appliances off throughout.`,
		examples: `holdbook duct onoff -25=1274:1182 -10=703:621 10=703:699 25=1274:1254
# leakage as a share of what the air handler moves
holdbook duct onoff -25=1274:1182 25=1274:1254 --air-handler 1180`,
		rows: []row{
			{flag: "air-handler", kind: aFlow, keys: "air_handler.flow", sample: "1180", help: "`FLOW` of the air handler, for leakage as a share of it"},
			{flag: "supply-pressure", kind: aPressure, keys: "air_handler.supply_pressure", sample: "60", help: "`PRESSURE` in the supply plenum to the ducts' surroundings, running"},
			{flag: "return-pressure", kind: aPressure, keys: "air_handler.return_pressure", sample: "90", help: "`PRESSURE` in the return likewise, without its sign"},
		},
		arg: &argument{form: "HOUSE=OFF:ON", sample: "-25=1274:1182", lacking: "onoff needs house pressures with the fan flow off and on at each", also: []string{"25=1274:1254"},
			name: place{aPressure, "on_off.N.house"}, values: []place{{aFlow, "on_off.N.off"}, {aFlow, "on_off.N.on"}}, several: "two flows, off:on"},
		then: thenStations,
	},
	nullingQuick,
}

// pressurised is a test with a fan on the ducts: total leakage, or leakage to
// outside with house and ducts at one pressure.
func pressurised(method, question, about, examples string, next func(*sheet.Sheet) *then, own ...row) quick {
	return quick{
		name: method, question: question, about: about, examples: examples,
		rows: append([]row{
			{flag: "pressure", kind: aPressure, keys: "duct_test.1.pressure", sample: "25", need: "that the ducts were held at", help: "`PRESSURE` of the ducts to outside; 25 is usual, what was reached will do"},
			{flag: "flow", kind: aFlow, keys: "duct_test.1.flow", sample: "96", need: "of the fan on the ducts", help: "`FLOW` of the fan on the ducts"},
			{flag: "side", kind: oneOf("both", "supply", "return"), keys: "duct_test.1.side", help: "`SIDE` under test: both (usual), supply or return"},
		}, own...),
		fixed: []fixed{{"duct_test.1.method", method}},
		after: coversOff,
		then:  next,
	}
}
