// Package sheet reads and writes the readings file: a strict TOML 1.0 file in
// which every quantity is a string with its unit. It checks what can be said
// of the file alone (keys, types, units, names, plain impossibilities) and
// reports every fault in one run, each with its place and a remedy. What the
// readings mean is not its business: signs against the direction of the hold,
// closing errors and the like belong to package survey, which finds here the
// place and the wording of every value.
package sheet

// Version is the format version this package reads and writes.
const Version = 1

// Sheet is a readings file. Parts that the file leaves out are zero: empty
// slices, nil pointers, quantities whose Given is false.
type Sheet struct {
	// File is the name the sheet was read under, for messages.
	File        string
	Note        Text
	Job         Job
	House       House
	Gauge       Gauge
	Zones       []Zone // as declared, then those a kind word declared by itself
	Paths       []Path
	Holds       []Hold
	AirHandler  *AirHandler
	Registers   []Register
	DuctTests   []DuctTest
	OnOff       []OnOff
	Ducts       []Duct
	Rooms       []Room
	Limits      []Limit
	Running     *Running
	Climate     *Climate
	Ventilation *Ventilation
	Walk        []Walk
	Logs        []Log // of gauges, that readings were taken from

	folder string // that the file lies in, "" for none
	text   []byte // of the file as it was read
}

// Job is the table [job]: the visit, for the record, and how to read and
// print.
type Job struct {
	Pos      Pos
	Name     Text
	Date     When
	By       Text
	Place    Text
	Wind     Text
	Units    Text // "ip" or "si"; see System
	Hold     Text // "depressurised" or "pressurised"; see Direction
	Bare     Bare
	Target   Target // what the sealing is to reach
	Invented Flag   // demonstration data
	Note     Text
}

// Bare says in which unit bare numbers of two kinds are read. An empty unit
// means that bare numbers of that kind are refused.
type Bare struct {
	Pressure Text
	Flow     Text
}

// Target is what the sealing is to reach: a fan flow at 50 Pa, or air changes
// an hour at 50 Pa. At most one is given.
type Target struct {
	Flow       Flow
	AirChanges Rate
}

// House is the table [house].
type House struct {
	Pos           Pos
	Volume        Volume
	FloorArea     Area
	EnvelopeArea  Area
	Height        Length // lowest floor above ground to highest ceiling
	Storeys       Number
	Bedrooms      Number
	Altitude      Length
	Indoor        Temperature
	Outdoor       Temperature
	Foundation    Text   // "slab", "basement" or "crawlspace"
	Flue          Flag   // an open flue
	ExteriorShare Number // share of the envelope that faces outdoors; default 1
	Note          Text
}

// Gauge is the table [gauge]: what the instruments promise. Its methods give
// the values in force, defaults included.
type Gauge struct {
	Pos        Pos
	Pressure   Tolerance
	Flow       Number // a fraction, two standard deviations
	Repeat     Number // a fraction, one standard deviation
	Wobble     Pressure
	FanAir     Text // "true" or "indicated"
	ID         Text
	Calibrated When
	Note       Text
}

// Zone is one [[zone]], or a zone that a kind word used as a name declared.
type Zone struct {
	Pos         Pos
	Name        Text
	Kind        Kind
	KindText    Text // as written, empty when Implied
	Touches     []SpaceRef
	Meant       Text        // "inside" or "outside"; see MeantInside
	Vented      Flag        // see IsVented
	Temperature Temperature // of its air
	FloorArea   Area
	Insulated   []Text // "walls", "ceiling"
	Note        Text
	// Implied marks a zone that no [[zone]] table declares.
	Implied bool
}

// Path is one [[path]]: what is known beforehand of a leak.
type Path struct {
	Pos        Pos
	Between    Pair
	Exponent   Number
	ExponentSD Number
	Flow50     Flow
	Spread     Number
	Hours      Number
	Keep       Flag // a vent or a combustion-air opening: never offered for sealing
	Note       Text
}

// Hold is one [[hold]]: a steady state and what was read in it.
type Hold struct {
	Pos           Pos
	Name          Text
	Time          When
	Baseline      Pressure
	BaselineAfter Pressure
	House         Pressure // as read, baseline still in it; not Given: unfinished
	Fan           Flow     // a magnitude
	Range         Text
	FanScaledTo   Pressure
	Indoor        Temperature // where it differs from [house]
	Outdoor       Temperature
	Readings      []Reading // to_house, to_outside and readings, in that order
	Opened        []Opening
	Sealed        []Seal
	Fans          []Fan
	Note          Text
}

// Reading is a pressure or a flow read between two spaces: exactly one of
// Pressure and Flow is given.
type Reading struct {
	Pos      Pos
	Of, To   SpaceRef
	Pressure Pressure // of minus to, as the gauge showed it
	Baseline Pressure // its own
	Flow     Flow     // from of to to
	SD       Number   // of a flow: one standard deviation as a fraction of it
	// PressureSD is one standard deviation of a pressure.
	PressureSD Pressure
	Note       Text
	// Form is the key the reading stood under: "to_house", "to_outside" or
	// "readings".
	Form string
}

// Opening is something opened for a hold. Without an area its size is
// unknown.
type Opening struct {
	Pos     Pos
	Between Pair
	Name    Text
	Area    Area
	Cd      Number
	Note    Text
}

// Seal is a path closed for a hold.
type Seal struct {
	Pos     Pos
	Between Pair
	Note    Text
}

// Fan is a further fan that runs in a hold.
type Fan struct {
	Pos      Pos
	Name     Text
	From, To SpaceRef
	Flow     Flow
	Range    Text
	ScaledTo Pressure
	Note     Text
}

// AirHandler is the table [air_handler]: running, door fan off.
type AirHandler struct {
	Pos               Pos
	Flow              Flow
	Output            Power    // negative for cooling
	SupplyPressure    Pressure // plenum to the ducts' surroundings
	ReturnPressure    Pressure
	SupplyTemperature Temperature // in the supply plenum
	ReturnTemperature Temperature // in the return plenum
	Sensible          Number      // sensible share of a cooling output
	HousePressure     Pressure    // change of the house pressure when it starts
	Note              Text
}

// Register is one [[register]].
type Register struct {
	Pos    Pos
	Name   Text
	Side   Text     // "supply" or "return"
	Cover  Pressure // across it, covered, house held
	Held   Flow     // out of it, house held, all others covered
	Flow   Flow     // air handler running
	Design Flow
	Ducts  SpaceRef // the duct zone it belongs to, where there are several
	Hold   Text     // name of the hold it was read in
	Room   Text
	Note   Text
}

// DuctTest is one [[duct_test]].
type DuctTest struct {
	Pos      Pos
	Name     Text
	Method   Text // "total" or "outside"
	Side     Text // "supply", "return" or "both"; default both
	Pressure Pressure
	Flow     Flow
	Residual Pressure // ducts to house, method "outside"
	Range    Text
	Note     Text
}

// OnOff is one [[on_off]]: fan flows at one house pressure.
type OnOff struct {
	Pos   Pos
	House Pressure
	Off   Flow
	On    Flow
	Range Text
	Note  Text
}

// Duct is one [[duct]]: a run of ducts with one surrounding.
type Duct struct {
	Pos         Pos
	Name        Text
	Side        Text     // "supply" or "return"
	Location    SpaceRef // the space it runs through
	Area        Area     // surface
	Length      Length   // with Diameter, in place of Area
	Diameter    Length
	Insulation  Insulance   // thermal resistance
	Ambient     Temperature // of the air around it, where it differs from the space's
	Material    Text        // "metal" or "other"
	Leakage     Number      // share of this side's leakage, where known
	Temperature Temperature // of the air in it
	Note        Text
}

// Room is one [[room]] behind a door that can be shut.
type Room struct {
	Pos      Pos
	Name     Text
	Pressure Pressure // room to the main body, door shut, air handler running
	Held     Pressure // room to the main body, door shut, house held
	Gap      Area     // around the shut door
	Flow     Flow     // supply air into it
	Exterior Flag     // its supply makes it a large room
	Note     Text
}

// Limit is one [[limit]]: a limit in force, by the name of a published one or
// with its own words.
type Limit struct {
	Pos      Pos
	Name     Text // of an entry of the program's table
	Document Text
	Quantity Text
	AtMost   Amount
	AtLeast  Amount
	Note     Text
}

// Running is the table [running]: what a year costs.
type Running struct {
	Pos               Pos
	Fuel              Text
	Price             Price
	Efficiency        Number     // of the equipment; a heat pump's may be above 1
	DegreeDays        DegreeDays // heating
	CoolingDegreeDays DegreeDays
	Hours             Number // run hours a year
	Note              Text
}

// Climate is the table [climate].
type Climate struct {
	Pos           Pos
	WeatherFactor Number // weather and shielding factor, wsf
	Shelter       Number // class 1 (none) to 5
	Outdoor       Temperature
	Indoor        Temperature
	Wind          Speed
	Note          Text
}

// Ventilation is the table [ventilation]: the fan there is.
type Ventilation struct {
	Pos      Pos
	Flow     Flow
	Balanced Flag
	Note     Text
}

// Walk is one [[walk]]: what a guided visit did that is no reading.
type Walk struct {
	Pos    Pos
	Step   Text
	State  Text // "done", "skipped", "not readable" or "stopped"
	Hold   Text // name of the hold it concerns
	Answer Text
	Time   When
	Note   Text
}
