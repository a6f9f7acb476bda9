package survey

import "holdbook/units"

// The numbers of findings are in SI: a number with the tag in:"Unit" is in the unit
// that stands in that field beside it, which is a base unit of SI, or % or a currency,
// which are the same for every reader; unit:"Pa" names the unit of one that has no such
// field. Package view makes of them what a reader is shown.
//
// A table of the results has a line for each estimate and each number with a unit,
// unless the tag csv says "-". It says "as=Quantity" where the field of that name has
// the key, and "if=Resolved" or "if=!Direct" where the value counts only if that field
// says so. The comments here are the descriptions of the JSON Schema.

// Q is an estimate: a median and a central 90 % interval.
type Q struct {
	Value float64    `json:"value" in:"Unit"`
	Low   float64    `json:"low" in:"Unit"`
	High  float64    `json:"high" in:"Unit"`
	Unit  units.Unit `json:"unit"`
	// Areas only: the discharge coefficient they are stated for.
	Coefficient float64 `json:"coefficient,omitempty" jsonschema:"exclusiveMinimum=0"`
	// Areas only: the reference pressure, in pascals.
	Pressure float64 `json:"pressure,omitempty" jsonschema:"exclusiveMinimum=0"`
	// The interval's level in percent where it is not 90.
	Level float64 `json:"level,omitempty" jsonschema:"exclusiveMinimum=0,exclusiveMaximum=100"`
}

// Findings is everything a sheet's readings allow.
type Findings struct {
	Results     int           `json:"results" jsonschema:"enum=1"` // version of this format
	Job         Job           `json:"job"`
	Building    *Building     `json:"building,omitempty" csv:"-"` // what the sheet says of it
	House       House         `json:"house"`
	Target      *Target       `json:"target,omitempty"` // what the sealing is to reach, as the sheet has it
	Paths       []Path        `json:"paths"`
	Zones       []Zone        `json:"zones"`
	Openings    []Opening     `json:"openings"`
	Ducts       *Ducts        `json:"ducts,omitempty"`
	CAZ         []CAZ         `json:"caz,omitempty"`      // worst-case depressurisation, as it was read
	InState     *InState      `json:"in_state,omitempty"` // the house in another state, where it was asked for
	Standards   []Standard    `json:"standards"`          // the quantities of standards, by their names
	SealFirst   []SealChoice  `json:"seal_first"`
	WorkOrder   *WorkOrder    `json:"work_order,omitempty" csv:"-"` // only when asked for
	Readings    []Reading     `json:"readings"`
	Suspects    []Suspect     `json:"suspects"`
	Priors      []Prior       `json:"priors"`
	Limits      []LimitCheck  `json:"limits"`
	Ventilation *Ventilation  `json:"ventilation,omitempty"`
	Holds       []Hold        `json:"holds"`
	Samples     []Samples     `json:"samples,omitempty"` // of readings that stand as samples
	Hand        []HandAnswer  `json:"hand"`              // what the hand methods say, beside the joint estimate
	Record      *Record       `json:"record,omitempty"`  // only when asked for
	Notices     []Notice      `json:"notices"`
	Method      Method        `json:"method"`
	Working     []WorkingStep `json:"working,omitempty"` // only when asked for
	// In the rows of a batch: what the house tells of the stock it belongs to, for --summary.
	Stock *StockPart `json:"stock,omitempty" csv:"-"`
}

// Empty tells whether there was no reading that tells anything.
func (f *Findings) Empty() bool {
	d := f.Ducts
	return f.Method.Intervals == "" && len(f.CAZ) == 0 && (d == nil || len(d.Tests)+len(d.Registers)+len(d.Rooms) == 0 && d.OnOff == nil)
}

// Samples is what the samples of one reading say of it: its mean, the spread of a
// single sample about their trend, the change along the trend, how many
// independent samples they are worth, and the standard deviation of the mean.
type Samples struct {
	Hold      string     `json:"hold"`
	Reading   string     `json:"reading"`
	Count     int        `json:"count" jsonschema:"minimum=2"`
	Mean      Q          `json:"mean"`
	Spread    float64    `json:"spread" in:"Unit" csv:"-" jsonschema:"minimum=0"`
	Drift     float64    `json:"drift" in:"Unit" csv:"-"`
	Effective float64    `json:"effective" jsonschema:"minimum=1"`
	SD        float64    `json:"sd" in:"Unit" jsonschema:"minimum=0"`
	Unit      units.Unit `json:"unit"`
	// Short marks a series too short to tell its own noise: the wobble the sheet
	// states stands in as a lower bound.
	Short bool `json:"short,omitempty"`
}

// Job is what the sheet says of the visit, for the record.
type Job struct {
	Name     string `json:"name,omitempty"`
	Date     string `json:"date,omitempty"`
	By       string `json:"by,omitempty"`
	Place    string `json:"place,omitempty"`
	Wind     string `json:"wind,omitempty"`
	Hold     string `json:"hold,omitempty"`                     // depressurised or pressurised
	Units    string `json:"units" jsonschema:"enum=ip,enum=si"` // of the results
	GaugeID  string `json:"gauge_id,omitempty"`
	GaugeCal string `json:"gauge_calibrated,omitempty"`
	Note     string `json:"note,omitempty"`
	Standard string `json:"standard,omitempty"` // that the test follows, as the sheet names it
	// Invented marks demonstration data.
	Invented bool `json:"invented,omitempty"`
}

// House is the whole envelope. What the readings do not touch is left out.
type House struct {
	Flow50   *Q `json:"flow_50,omitempty"`
	Exponent *Q `json:"exponent,omitempty"`
	// The fan was read at one pressure, which does not tell the exponent: it is what was assumed.
	ExponentAssumed bool        `json:"exponent_assumed,omitempty" csv:"-"`
	Coefficient     *Q          `json:"coefficient,omitempty"` // C of the power law C·P^n through the flow at 50 Pa, of the joint estimate
	AirChanges50    *Q          `json:"air_changes_50,omitempty"`
	FlowPerArea     *Q          `json:"flow_50_per_floor_area,omitempty"`
	LeakArea4       *Q          `json:"leak_area_4,omitempty"`
	LeakArea10      *Q          `json:"leak_area_10,omitempty"`
	ExteriorOnly    *Q          `json:"flow_50_exterior_only,omitempty"` // of a dwelling among neighbours: to outdoors alone
	InteriorOnly    *Q          `json:"flow_50_interior_only,omitempty"` // likewise: through the party walls
	StandardAir     *Q          `json:"flow_50_standard_air,omitempty"`  // by the standard that standard_air_by names
	StandardBy      string      `json:"standard_air_by,omitempty"`
	FlowPerShell    *Q          `json:"flow_50_per_envelope_area,omitempty"`
	MultiPoint      *MultiPoint `json:"multi_point,omitempty"`
	Opposite        *MultiPoint `json:"multi_point_opposite,omitempty"` // where the house was held in both directions
	Directions      *Directions `json:"directions,omitempty"`           // likewise
	// Of the leakage, straight from outside and not through a zone.
	DirectShare *Q `json:"direct_share_of_flow_50,omitempty"`
	// The readings do not fit each other: neither the leakage nor its interval can be relied on.
	Doubt   string `json:"doubt,omitempty"`
	Without *Q     `json:"flow_50_without,omitempty"` // the leakage without what is to blame
}

// Path is one leak.
type Path struct {
	Between     [2]string `json:"between"`
	Flow50      *Q        `json:"flow_50,omitempty" csv:"if=Resolved"` // at 50 Pa across this leak alone
	Area4       *Q        `json:"area_4,omitempty" csv:"if=Resolved"`
	Exponent    *Q        `json:"exponent,omitempty"`
	Now50       *Q        `json:"flow_now_50,omitempty" csv:"if=NowResolved"` // what it passes with the house held at 50 Pa, as found
	Resolved    bool      `json:"resolved"`
	NowResolved bool      `json:"flow_now_resolved,omitempty"` // of what it passes now
	MostlyPrior bool      `json:"mostly_prior,omitempty"`
	// Where the size is not resolved: the end of its interval that the readings, and not
	// what was assumed before them, make.
	Bound Bound `json:"bound,omitempty" jsonschema:"enum=at least,enum=at most"`
	// The sheet states the size.
	Stated bool `json:"stated,omitempty"`
	// Note says what the number is where it could be misread, such as
	// "registers, covered".
	Note string `json:"note,omitempty"`
}

// Zone is one side space.
type Zone struct {
	Name               string `json:"name"`
	Kind               string `json:"kind"`
	Meant              string `json:"meant"` // inside or outside the air barrier
	ToHouse            *Q     `json:"to_house,omitempty"`
	ConnectionFraction *Q     `json:"connection_fraction,omitempty"` // 0: it is outdoors, 1: it is indoors
	Verdict            string `json:"verdict,omitempty"`             // how it is joined, in a word: outdoors to indoors
	ThroughFlow50      *Q     `json:"through_flow_50,omitempty" csv:"if=Resolved"`
	Share              *Q     `json:"share_of_flow_50,omitempty" csv:"if=Resolved"`        // of the leakage, through it
	LeakRatio          *Q     `json:"leak_ratio,omitempty" csv:"if=!Near"`                 // house side over outside side; left out where the readings only bound it
	Resolved           bool   `json:"resolved"`                                            // of the through-flow
	Near               string `json:"near,omitempty" jsonschema:"enum=house,enum=outside"` // what it reads near to: the ratio is only bounded
	// Vented and FloorArea are as the sheet states them.
	Vented    *bool   `json:"vented,omitempty"`
	FloorArea *Stated `json:"floor_area,omitempty" csv:"-"`
}

// Opening is something opened for a hold.
type Opening struct {
	Hold     string    `json:"hold"`
	Name     string    `json:"name,omitempty"`
	Between  [2]string `json:"between"`
	Flow50   *Q        `json:"flow_50,omitempty" csv:"if=Resolved"`
	Area     *Q        `json:"area,omitempty" csv:"if=Resolved"`
	Known    bool      `json:"known,omitempty"`
	Resolved bool      `json:"resolved"`
	Bound    Bound     `json:"bound,omitempty" jsonschema:"enum=at least,enum=at most"` // as of a leak
}

// Ducts is everything known of the duct system.
type Ducts struct {
	LeakageOutside25       *Q             `json:"leakage_outside_25,omitempty"`
	LeakageTotal25         *Q             `json:"leakage_total_25,omitempty"`
	SupplyLeakage          *Q             `json:"supply_leakage,omitempty"` // operating, to outside
	ReturnLeakage          *Q             `json:"return_leakage,omitempty"`
	NetImbalance           *Q             `json:"net_imbalance,omitempty"`
	Mode                   string         `json:"mode,omitempty" jsonschema:"enum=heating,enum=cooling"` // that the losses are of
	SupplyShare            *Q             `json:"supply_leakage_share,omitempty"`                        // of the air handler's flow
	ReturnShare            *Q             `json:"return_leakage_share,omitempty"`
	OutsideShare           *Q             `json:"leakage_outside_25_share,omitempty"`
	DeliveryEffectiveness  *Q             `json:"delivery_effectiveness,omitempty"`
	DistributionEfficiency *Q             `json:"distribution_efficiency,omitempty"`
	CoveredPressure        *Q             `json:"covered_pressure,omitempty"`
	Registers              []Register     `json:"registers"`
	Tests                  []DuctTest     `json:"tests"`
	OnOff                  *OnOff         `json:"on_off,omitempty"`
	Losses                 []Loss         `json:"losses,omitempty"`
	Rooms                  []RoomPressure `json:"rooms,omitempty"`
	Notes                  []string       `json:"notes,omitempty"`
	// What the results of the ducts rest on.
	Basis []string `json:"basis,omitempty"`
}

// Register is one supply or return opening of the ducts.
type Register struct {
	Name        string   `json:"name"`
	Side        string   `json:"side,omitempty"`
	Cover       *Q       `json:"cover,omitempty"`    // across it, covered, as read
	Cover50     *Q       `json:"cover_50,omitempty"` // corrected to a 50 Pa hold and for the zone
	Held        *Q       `json:"held,omitempty"`
	Flow        *Q       `json:"flow,omitempty"`
	Design      *Q       `json:"design,omitempty"`
	ShareDesign *float64 `json:"share_of_design,omitempty" unit:"1"`
	Rank        int      `json:"rank,omitempty" jsonschema:"minimum=0"` // 1: the branch to look at first
	Verdict     string   `json:"verdict,omitempty"`
}

// DuctTest is what one test alone says of one quantity.
type DuctTest struct {
	Name     string `json:"name"`             // as the sheet calls it, else its method
	Method   string `json:"method,omitempty"` // "subtraction", "fan on the ducts", …
	Quantity string `json:"quantity"`         // "leakage_outside_25", …
	Result   *Q     `json:"result,omitempty" csv:"as=Quantity,if=Resolved"`
	Resolved bool   `json:"resolved"`
	Bound    Bound  `json:"bound,omitempty" jsonschema:"enum=at least,enum=at most"` // as of a leak
	Agrees   string `json:"agrees,omitempty"`                                        // "agrees", "disagrees", "" when alone
	Note     string `json:"note,omitempty"`
}

// OnOff is the on/off test: its points and its fit.
type OnOff struct {
	Points      []OnOffPoint `json:"points"`
	Correlation float64      `json:"correlation,omitempty" jsonschema:"minimum=-1,maximum=1"` // of supply and return leakage
	Curve       []OnOffPoint `json:"curve,omitempty" csv:"-"`
	// Widened is the factor by which the stations' scatter widened all the
	// intervals of the test; left out where stated errors and chance explain it.
	Widened float64 `json:"widened,omitempty" jsonschema:"minimum=1"`
}

// OnOffPoint is one station: flow with the air handler on less off.
type OnOffPoint struct {
	Pressure   float64    `json:"pressure" unit:"Pa" csv:"-"`
	Difference float64    `json:"difference" in:"Unit"`
	Fitted     float64    `json:"fitted" in:"Unit"`
	Unit       units.Unit `json:"unit"`
}

// Loss is one line of where delivered heating or cooling goes, or of what a
// repair would gain.
type Loss struct {
	Cause string `json:"cause"`
	Share *Q     `json:"share,omitempty"` // of the equipment's output
	Cost  *Q     `json:"cost,omitempty"`  // a year, in the sheet's currency
	Note  string `json:"note,omitempty"`
}

// RoomPressure is a room behind a shut door.
type RoomPressure struct {
	Name     string `json:"name"`
	Pressure *Q     `json:"pressure,omitempty"`
	Flow50   *Q     `json:"flow_50,omitempty"` // leakage to outside behind the door
	Rank     int    `json:"rank,omitempty" jsonschema:"minimum=0"`
	Verdict  string `json:"verdict,omitempty"`
	Transfer *Q     `json:"transfer_area,omitempty"` // opening that would cure it
}

// SealChoice is one path offered for sealing.
type SealChoice struct {
	Between     [2]string `json:"between"`
	What        string    `json:"what,omitempty"`    // where several paths go together
	Drop50      *Q        `json:"drop_50,omitempty"` // the fall of the fan flow at 50 Pa when it alone is sealed
	ChanceFirst float64   `json:"chance_first" unit:"1" csv:"if=!Direct" jsonschema:"minimum=0,maximum=1"`
	FanAfter    *Q        `json:"fan_after,omitempty"`
	Step        int       `json:"step,omitempty" jsonschema:"minimum=0"` // place in the best order, from 1
	FanAtStep   *Q        `json:"fan_at_step,omitempty"`
	Hours       float64   `json:"hours,omitempty" jsonschema:"minimum=0"`
	DropPerHour *Q        `json:"drop_per_hour,omitempty"`
	Direct      bool      `json:"direct,omitempty"` // house–outside: not one job, outside the order
	Health      bool      `json:"health,omitempty"` // it may carry the fumes of a garage: first, whatever its size
	Note        string    `json:"note,omitempty"`
}

// Reading is one reading against what the estimate predicts for it.
type Reading struct {
	Hold      string     `json:"hold"`
	Of        string     `json:"of"`
	To        string     `json:"to,omitempty"`
	Read      float64    `json:"read" in:"Unit"`
	Predicted Q          `json:"predicted"`
	OffBySD   float64    `json:"off_by_sd"`
	Unit      units.Unit `json:"unit"`
	// Checkable is false when no other reading says anything of this one.
	Checkable bool `json:"checkable"`
	// Carries are the leaks, two spaces each, whose resolved sizes rest on this reading
	// where nothing checks it.
	Carries [][2]string `json:"carries,omitempty"`
}

// Prior is what was assumed of one unknown before any reading.
type Prior struct {
	Of     string `json:"of"`
	Median Q      `json:"prior"`
	From   string `json:"from"` // "judgement, not published", "the sheet", a source
}

// LimitCheck sets one result against one published limit.
type LimitCheck struct {
	Document string `json:"document"`
	Edition  string `json:"edition,omitempty"`
	Quantity string `json:"quantity"`
	Limit    string `json:"limit"`
	Result   *Q     `json:"result,omitempty" csv:"as=Quantity"`
	Verdict  string `json:"verdict"` // meets, fails, too close to call
	Source   string `json:"source,omitempty"`
	// The chance that the result meets the limit.
	Chance float64 `json:"chance" unit:"1" jsonschema:"minimum=0,maximum=1"`
}

// Ventilation is the air change the house is left with.
type Ventilation struct {
	Infiltration *Q     `json:"infiltration,omitempty"`
	Required     *Q     `json:"required,omitempty"`
	Fan          *Q     `json:"fan,omitempty"`
	Model        string `json:"model,omitempty"`
	Text         string `json:"text,omitempty"`
}

// Hold is one hold as it was used.
type Hold struct {
	Name     string     `json:"name"`
	House    float64    `json:"house" unit:"Pa"` // in pascals, baseline subtracted, signed
	Fan      *float64   `json:"fan,omitempty" in:"FanUnit"`
	FanUnit  units.Unit `json:"fan_unit,omitzero"`
	Changes  []string   `json:"changes,omitempty"`
	Used     bool       `json:"used"`
	Baseline float64    `json:"baseline" unit:"Pa"`
	Time     string     `json:"time,omitempty"` // as the sheet has it
	Note     string     `json:"note,omitempty"`
}

// HandAnswer is what one hand method says of one quantity, for comparison.
type HandAnswer struct {
	Method   string `json:"method"` // "opened-door test", …
	About    string `json:"about"`  // "attic"
	Quantity string `json:"quantity"`
	Result   *Q     `json:"result,omitempty" csv:"as=Quantity,if=Resolved"`
	Resolved bool   `json:"resolved"`
	Note     string `json:"note,omitempty"`
}
