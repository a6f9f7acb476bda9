// Package sheet reads and writes the readings file: a strict TOML file in
// which every quantity is a string with its unit. It checks what can be said
// of the file alone (keys, types, units, names, plain impossibilities) and
// reports every fault in one run, each with its place and a remedy. What the
// readings mean is not its business: signs against the direction of the hold,
// closing errors and the like belong to package survey, which finds here the
// place and the wording of every value.
//
// A table of the file is a struct, and the tags of its fields are the only
// list of its keys (see keys.go): reading, writing, the refusal of unknown
// keys and the list that Keys gives all follow from them.
package sheet

// Version is the format version this package reads and writes.
const Version = 1

// Sheet is a readings file. Parts that the file leaves out are zero: empty
// slices, nil pointers, quantities whose Given is false.
type Sheet struct {
	// File is the name the sheet was read under, for messages.
	File        string
	_           struct{}     `key:"sheet" is:"version" help:"version of the file's format, its first line"`
	Note        Text         `key:"note" is:"note" help:"anything, kept with the sheet"`
	Job         Job          `key:"job" help:"the visit, for the record, and how to read and print"`
	House       House        `key:"house" help:"the house as a whole"`
	Gauge       Gauge        `key:"gauge" help:"what the instruments promise"`
	DoorFan     DoorFan      `key:"door_fan" help:"the door fan, for the record"`
	Zones       []Zone       `key:"zone" max:"100" help:"a space beside the house"` // as declared, then those a kind word declared by itself
	Paths       []Path       `key:"path" max:"1000" help:"what is known beforehand of one leak"`
	Holds       []Hold       `key:"hold" max:"200" help:"a steady state with the fan holding, and what was read in it"`
	AirHandler  *AirHandler  `key:"air_handler" help:"the air handler running, door fan off"`
	Registers   []Register   `key:"register" max:"2000" help:"a register, and what was read at it"`
	DuctTests   []DuctTest   `key:"duct_test" max:"500" help:"the ducts held at a pressure by a fan of their own"`
	OnOff       []OnOff      `key:"on_off" max:"500" help:"fan flows at one house pressure, air handler off and on"`
	Nulling     []Nulling    `key:"nulling" max:"100" help:"a fan that brings the house back to its pressure, air handler running"`
	CAZ         []CAZ        `key:"caz" max:"100" help:"worst-case depressurisation of a space with a combustion appliance"`
	Ducts       []Duct       `key:"duct" max:"500" help:"a run of ducts with one surrounding"`
	Rooms       []Room       `key:"room" max:"500" help:"a room behind a door that can be shut"`
	Limits      []Limit      `key:"limit" max:"100" help:"a limit in force, by a published one's name or in its own words"`
	Running     *Running     `key:"running" help:"what a year of heating and cooling costs"`
	Climate     *Climate     `key:"climate" help:"the weather of the place"`
	Ventilation *Ventilation `key:"ventilation" help:"the ventilation fan there is"`
	Walk        []Walk       `key:"walk" max:"10000" help:"what a guided visit did that is no reading"`
	Logs        []Log        // of gauges, that readings were taken from

	folder string // that the file lies in, "" for none
	text   []byte // of the file as it was read
}

// Job is the table [job]: the visit, for the record, and how to read and
// print.
type Job struct {
	Pos        Pos
	Name       Text   `key:"name" sample:"Fernhollow Lane 12" help:"of the job"`
	Date       When   `key:"date" is:"date" help:"of the visit"`
	By         Text   `key:"by" help:"who took the readings"`
	Place      Text   `key:"place" help:"where the house stands"`
	Standard   Text   `key:"standard" sample:"ASTM E779" help:"that the test follows, for the record"`
	Method     Text   `key:"method" sample:"closed as for heating" help:"of that standard, or how the house was prepared"`
	Deviations []Text `key:"deviations" is:"texts" sample:"dryer vent sealed" help:"from the standard, for the record"`
	Contact    Text   `key:"contact" help:"of who took the readings"`
	Wind       Text   `key:"wind" sample:"light" help:"during the visit; a first word of calm, light or breezy counts"`
	Units      Text   `key:"units" words:"ip|si" default:"ip" help:"how results print; readings may mix"`
	Hold       Text   `key:"hold" words:"depressurised|pressurised" default:"depressurised" help:"gives a house pressure without a sign its sign"`
	Bare       Bare   `key:"bare" help:"units in which bare numbers are read"`
	Target     Target `key:"target" help:"what the sealing is to reach at 50 Pa"`
	Invented   Flag   `key:"invented" help:"the readings are made up for demonstration"`
	Note       Text   `key:"note" is:"note" help:"anything"`
}

// Bare says in which unit bare numbers of two kinds are read. An empty unit
// means that bare numbers of that kind are refused.
type Bare struct {
	Pressure Text `key:"pressure" is:"pressure unit" help:"unit of a bare pressure"`
	Flow     Text `key:"flow" is:"flow unit" help:"unit of a bare flow"`
	Note     Text `key:"note" is:"note" help:"anything"`
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
	Volume        Volume      `key:"volume" help:"heated volume, for air changes"`
	FloorArea     Area        `key:"floor_area" rule:"above zero" help:"heated floor"`
	EnvelopeArea  Area        `key:"envelope_area" rule:"above zero" help:"surface between inside and everything else"`
	Height        Length      `key:"height" rule:"above zero" help:"lowest floor above ground to highest ceiling"`
	Storeys       Number      `key:"storeys" rule:"1..50" sample:"2" help:"above ground"`
	Bedrooms      Number      `key:"bedrooms" rule:"0..100, whole" sample:"3" help:"for the ventilation that is wanted"`
	Altitude      Length      `key:"altitude" is:"altitude" help:"above the sea"`
	Indoor        Temperature `key:"indoor" help:"air indoors, with outdoor for its density"`
	Outdoor       Temperature `key:"outdoor" sample:"31 F" help:"air outdoors"`
	Foundation    Text        `key:"foundation" words:"slab|basement|crawlspace" help:"what the house stands on"`
	Flue          Flag        `key:"flue" help:"there is an open flue"`
	Condition     []Text      `key:"condition" is:"texts" sample:"windows shut, fireplace damper shut" help:"of openings, dampers and appliances during the test"`
	ExteriorShare Number      `key:"exterior_share" is:"fraction" rule:"above zero, 0..1" default:"1" help:"share of the envelope that faces outdoors"`
	Note          Text        `key:"note" is:"note" help:"anything"`
}

// Gauge is the table [gauge]: what the instruments promise. Its methods give
// the values in force, defaults included.
type Gauge struct {
	Pos        Pos
	Pressure   Tolerance `key:"pressure" default:"1 % or 0.25 Pa" help:"the larger of the two, two standard deviations"`
	Flow       Number    `key:"flow" is:"share" rule:"above zero" default:"5 %" help:"calibration of the fan, two standard deviations"`
	Repeat     Number    `key:"repeat" is:"share" rule:"above zero" default:"1 %" help:"one flow reading against the next, one standard deviation"`
	Wobble     Pressure  `key:"wobble" rule:"not below zero" default:"0.4 Pa" help:"wind left in an averaged pressure, one standard deviation"`
	FanAir     Text      `key:"fan_air" words:"true|indicated" default:"true" help:"the flow shown is the true one, or that of standard air"`
	ID         Text      `key:"id" help:"of the gauge, for the record"`
	Calibrated When      `key:"calibrated" is:"date" sample:"2026-01-20" help:"when the gauge was calibrated"`
	Note       Text      `key:"note" is:"note" help:"anything"`
}

// Zone is one [[zone]], or a zone that a kind word used as a name declared.
type Zone struct {
	Pos         Pos
	Name        Text        `key:"name" must:"attic" help:"by which readings name it"`
	Kind        Kind        // settled from KindText or the name
	KindText    Text        `key:"kind" is:"kind of zone" help:"what it is; a kind word as a name says it too"`
	Touches     []SpaceRef  `key:"touches" help:"spaces it shares a boundary with; house and outside otherwise"`
	Meant       Text        `key:"meant" words:"inside|outside" help:"side of the air barrier it is meant to lie on; by kind otherwise"`
	Vented      Flag        `key:"vented" help:"it has vents to outside; attics and crawlspaces do otherwise"`
	Opens       Text        `key:"opens" words:"hatch|door|panel|none" help:"what opens to the house: a panel takes a hole of known size; by kind otherwise"`
	Temperature Temperature `key:"temperature" help:"of its air"`
	Crossing    Length      `key:"crossing" help:"above the lowest floor, where the hose from it comes into the house; by kind otherwise"`
	Height      Length      `key:"height" help:"above the lowest floor, of its leak to outside; by kind otherwise"`
	FloorArea   Area        `key:"floor_area" rule:"above zero" help:"of its floor"`
	Insulated   []Text      `key:"insulated" words:"walls|ceiling" help:"of its boundaries to outside"`
	Vents       Area        `key:"vents" is:"hole" rule:"above zero" sample:"480 in2" help:"net free area of its vents to outside, where it is known"`
	Found       Text        `key:"found" sample:"hatch shut" help:"its openings as found, for the record"`
	Tested      Text        `key:"tested" sample:"hatch shut" help:"its openings as tested, for the record"`
	Note        Text        `key:"note" is:"note" help:"anything"`
	// Implied marks a zone that no [[zone]] table declares.
	Implied bool
}

// Path is one [[path]]: what is known beforehand of a leak.
type Path struct {
	Pos        Pos
	Between    Pair   `key:"between" must:"house, attic" help:"the two spaces it joins"`
	Exponent   Number `key:"exponent" rule:"0.5..1" sample:"0.65" help:"of the power law; known, unless exponent_sd stands with it"`
	ExponentSD Number `key:"exponent_sd" rule:"above zero, 0..0.5" default:"0" sample:"0.05" help:"how well the exponent is known, one standard deviation"`
	Flow50     Flow   `key:"flow_50" rule:"above zero" sample:"300 cfm" help:"a guess of its flow at 50 Pa"`
	Spread     Number `key:"spread" rule:"factor" sample:"3" help:"factor within which the guess is good, nine times in ten"`
	Hours      Number `key:"hours" rule:"above zero, 0..10000" sample:"4" help:"of labour to seal it"`
	Keep       Flag   `key:"keep" help:"a vent or combustion-air opening, never offered for sealing"`
	Note       Text   `key:"note" is:"note" help:"anything"`
}
