package survey

import "holdbook/units"

// Directions is what a house that was held above and below outdoors leaks each way.
type Directions struct {
	Depressurised Q `json:"depressurised"` // flow at 50 Pa, by the standard regression or one point
	Pressurised   Q `json:"pressurised"`
	Mean          Q `json:"mean"`
	// Pressurised over depressurised, less one, in percent.
	Difference float64 `json:"difference" unit:"%"`
	Reasons    string  `json:"reasons"` // the usual ones of a difference
}

// Standard is a quantity as a standard defines and names it, from one direction of the test
// or the mean of both.
type Standard struct {
	Standard  string `json:"standard"` // "ASTM E779"
	Direction string `json:"direction,omitempty" jsonschema:"enum=depressurised,enum=pressurised,enum=mean of both"`
	Quantity  string `json:"quantity"` // the standard's name or symbol: "n50", "ELA, 4 Pa"
	Result    *Q     `json:"result,omitempty" csv:"as=Quantity"`
	Note      string `json:"note,omitempty"`
}

// MultiPoint is the standard regression over the holds that differ only in
// house pressure: 95 % limits of the scatter of the fit alone.
type MultiPoint struct {
	Direction  string  `json:"direction"` // depressurised or pressurised
	Points     []Point `json:"points"`
	Exponent   Q       `json:"exponent"`
	Flow50     Q       `json:"flow_50"`
	LeakArea4  *Q      `json:"leak_area_4,omitempty"`
	LeakArea10 *Q      `json:"leak_area_10,omitempty"`
	R2         float64 `json:"r2" jsonschema:"maximum=1"`
	// Coefficient C, in flow units per Pa^n, of the unweighted line.
	Coefficient Q `json:"coefficient"`
	// WeightedExponent and WeightedFlow50 are the effective-variance fit (90 %).
	WeightedExponent *Q     `json:"weighted_exponent,omitempty"`
	WeightedFlow50   *Q     `json:"weighted_flow_50,omitempty"`
	Band             []Band `json:"band,omitempty" csv:"-"`
	// Refused marks a fit that the standards would not let stand: too few
	// points, pressures too close together, an exponent outside 0.5 to 1. A
	// notice says which.
	Refused bool `json:"refused,omitempty"`
}

// Point is one station of a multi-point test.
type Point struct {
	Hold     string     `json:"hold"`
	Pressure float64    `json:"pressure" unit:"Pa"` // of the house, induced, in pascals
	Flow     float64    `json:"flow" in:"Unit"`
	Unit     units.Unit `json:"unit"`
}

// Band is the fitted line and its limits at one pressure, for the chart.
type Band struct {
	Pressure float64 `json:"pressure" unit:"Pa"`
	Flow     Q       `json:"flow"`
}
