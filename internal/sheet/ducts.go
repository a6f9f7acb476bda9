package sheet

// The words of duct tests and registers: what a test measures, and the side of the air
// handler.
const (
	TotalMethod   = "total"
	OutsideMethod = "outside"
	BothSides     = "both"
	SupplySide    = "supply"
	ReturnSide    = "return"
)

// AirHandler is the table [air_handler]: running, door fan off.
type AirHandler struct {
	Pos               Pos
	Flow              Flow        `key:"flow" samples:"in its place" rule:"above zero" sample:"1180 cfm" help:"of the air handler"`
	Output            Power       `key:"output" rule:"not zero" help:"of the equipment; below zero for cooling"`
	SupplyPressure    Pressure    `key:"supply_pressure" samples:"in its place" sample:"60 Pa" help:"supply plenum to the ducts' surroundings"`
	ReturnPressure    Pressure    `key:"return_pressure" samples:"in its place" sample:"-90 Pa" help:"return plenum to the ducts' surroundings"`
	SupplyTemperature Temperature `key:"supply_temperature" sample:"110 F" help:"in the supply plenum"`
	ReturnTemperature Temperature `key:"return_temperature" help:"in the return plenum"`
	Sensible          Number      `key:"sensible" is:"fraction" rule:"above zero, 0..1" sample:"0.75" help:"sensible share of a cooling output"`
	HousePressure     Pressure    `key:"house_pressure" samples:"in its place" sample:"-1.5 Pa" help:"change of the house pressure when it starts"`
	Note              Text        `key:"note" is:"note" help:"anything"`
}

// Register is one [[register]].
type Register struct {
	Pos    Pos
	Name   Text     `key:"name" must:"living room north" help:"of the register"`
	Side   Text     `key:"side" words:"supply|return" help:"of the air handler"`
	Cover  Pressure `key:"cover" samples:"in its place" sample:"1.4 Pa" help:"across it, covered, house held"`
	Held   Flow     `key:"held" samples:"in its place" sample:"12 cfm" help:"out of it, house held, all others covered"`
	Flow   Flow     `key:"flow" samples:"in its place" rule:"not below zero" sample:"92 cfm" help:"air handler running"`
	Design Flow     `key:"design" rule:"above zero" sample:"100 cfm" help:"what it was laid out for"`
	Ducts  SpaceRef `key:"ducts" sample:"ducts" help:"the duct zone it belongs to, where there are several"`
	Hold   Text     `key:"hold" sample:"as found" help:"name of the hold it was read in"`
	Room   Text     `key:"room" help:"it serves"`
	Note   Text     `key:"note" is:"note" help:"anything"`
}

// DuctTest is one [[duct_test]].
type DuctTest struct {
	Pos      Pos
	Name     Text     `key:"name" help:"of the test"`
	Method   Text     `key:"method" words:"total|outside" must:"total" help:"outside: house and ducts at one pressure"`
	Side     Text     `key:"side" words:"supply|return|both" default:"both" help:"of the ducts, under test"`
	Pressure Pressure `key:"pressure" samples:"in its place" rule:"not zero" must:"25 Pa" help:"the ducts are held at"`
	Flow     Flow     `key:"flow" samples:"in its place" rule:"not below zero" must:"96 cfm" help:"of the fan on the ducts"`
	Residual Pressure `key:"residual" samples:"in its place" sample:"0.1 Pa" help:"ducts to house that was left, method outside"`
	Range    Text     `key:"range" sample:"open" help:"flow range in use, any label"`
	Note     Text     `key:"note" is:"note" help:"anything"`
}

// OnOff is one [[on_off]]: fan flows at one house pressure.
type OnOff struct {
	Pos   Pos
	House Pressure `key:"house" samples:"in its place" rule:"not zero" must:"-25 Pa" help:"house to outside"`
	Off   Flow     `key:"off" samples:"in its place" rule:"above zero" must:"1274 cfm" help:"door-fan flow, air handler off"`
	On    Flow     `key:"on" samples:"in its place" rule:"above zero" must:"1182 cfm" help:"door-fan flow, air handler on"`
	Range Text     `key:"range" sample:"open" help:"flow range in use, any label"`
	Note  Text     `key:"note" is:"note" help:"anything"`
}

// Duct is one [[duct]]: a run of ducts with one surrounding.
type Duct struct {
	Pos         Pos
	Name        Text        `key:"name" help:"of the run"`
	Side        Text        `key:"side" words:"supply|return" must:"supply" help:"of the air handler"`
	Location    SpaceRef    `key:"location" sample:"attic" help:"the space it runs through"`
	Area        Area        `key:"area" rule:"above zero" sample:"280 ft2" help:"of its surface"`
	Length      Length      `key:"length" rule:"above zero" help:"with diameter, in place of area"`
	Diameter    Length      `key:"diameter" rule:"above zero" sample:"0.5 ft" help:"with length, in place of area"`
	Insulation  Insulance   `key:"insulation" help:"thermal resistance"`
	Ambient     Temperature `key:"ambient" help:"of the air around it, where it differs from the space's"`
	Material    Text        `key:"material" words:"metal|other" help:"of its wall"`
	Leakage     Number      `key:"leakage" is:"fraction" rule:"above zero, 0..1" sample:"0.3" help:"share of this side's leakage, where known"`
	Temperature Temperature `key:"temperature" help:"of the air in it"`
	Note        Text        `key:"note" is:"note" help:"anything"`
}

func (t *Duct) finish(d *decoder, n *node) {
	if t.Area.Given && t.Length.Given {
		d.fault(n.child("length").nameAt, "area and length both say how large this duct is; keep area, or length and diameter")
	}
	if t.Length.Given != t.Diameter.Given && !d.broken {
		d.fault(n.at, "length and diameter go together; write both, or area")
	}
}

// Room is one [[room]] behind a door that can be shut.
type Room struct {
	Pos      Pos
	Name     Text     `key:"name" must:"north bedroom" help:"of the room"`
	Pressure Pressure `key:"pressure" samples:"in its place" sample:"3.4 Pa" help:"room to the main body, door shut, air handler running"`
	Held     Pressure `key:"held" samples:"in its place" sample:"1.1 Pa" help:"room to the main body, door shut, house held"`
	Gap      Area     `key:"gap" is:"hole" rule:"above zero" help:"around the shut door"`
	Flow     Flow     `key:"flow" rule:"above zero" sample:"110 cfm" help:"supply air into it"`
	Exterior Flag     `key:"exterior" help:"its supply makes it a large room"`
	Note     Text     `key:"note" is:"note" help:"anything"`
}

// Limit is one [[limit]]: a limit in force, by the name of a published one or
// with its own words.
type Limit struct {
	Pos      Pos
	Name     Text   `key:"name" help:"of an entry of the program's table"`
	Document Text   `key:"document" help:"that sets it"`
	Quantity Text   `key:"quantity" help:"that it bounds"`
	AtMost   Amount `key:"at_most" help:"an upper limit"`
	AtLeast  Amount `key:"at_least" help:"a lower limit"`
	Note     Text   `key:"note" is:"note" help:"anything"`
}

func (*Limit) finish(d *decoder, n *node) {
	stated := n.child("quantity") != nil && (n.child("at_most") != nil || n.child("at_least") != nil)
	if n.child("name") == nil && !stated && !d.broken {
		d.fault(n.at, `a limit needs the name of a published one, or quantity with at_most or at_least; write name = "…"`)
	}
}

// Running is the table [running]: what a year costs.
type Running struct {
	Pos               Pos
	Fuel              Text       `key:"fuel" sample:"gas" help:"of the heating"`
	Price             Price      `key:"price" help:"of a unit of delivered energy"`
	Efficiency        Number     `key:"efficiency" is:"fraction" rule:"above zero, 0..10" help:"of the equipment; a heat pump's may be above 1"`
	DegreeDays        DegreeDays `key:"degree_days" help:"of heating, a year"`
	CoolingDegreeDays DegreeDays `key:"cooling_degree_days" help:"of cooling, a year"`
	Hours             Number     `key:"hours" rule:"0..8784" sample:"2000" help:"the equipment runs, a year"`
	Note              Text       `key:"note" is:"note" help:"anything"`
}

// Climate is the table [climate].
type Climate struct {
	Pos           Pos
	WeatherFactor Number      `key:"weather_factor" rule:"0.1..3" sample:"0.7" help:"weather and shielding factor, wsf"`
	Shelter       Number      `key:"shelter" rule:"1..5, whole" sample:"3" help:"class from 1, none, to 5"`
	Outdoor       Temperature `key:"outdoor" sample:"31 F" help:"air outdoors, for losses and infiltration"`
	Indoor        Temperature `key:"indoor" help:"air indoors"`
	Wind          Speed       `key:"wind" help:"mean speed"`
	Note          Text        `key:"note" is:"note" help:"anything"`
}

// Ventilation is the table [ventilation]: the fan there is.
type Ventilation struct {
	Pos      Pos
	Flow     Flow `key:"flow" rule:"not below zero" sample:"60 cfm" help:"of outdoor air"`
	Balanced Flag `key:"balanced" help:"it supplies as much as it takes out"`
	Note     Text `key:"note" is:"note" help:"anything"`
}

// Walk is one [[walk]]: what a guided visit did that is no reading.
type Walk struct {
	Pos    Pos
	Step   Text `key:"step" must:"safety list" help:"of the visit"`
	State  Text `key:"state" words:"done|skipped|not readable|stopped" help:"what became of it"`
	Hold   Text `key:"hold" sample:"as found" help:"name of the hold it concerns"`
	Answer Text `key:"answer" is:"note" help:"that was given"`
	Time   When `key:"time" is:"moment" help:"when"`
	Note   Text `key:"note" is:"note" help:"anything"`
}
