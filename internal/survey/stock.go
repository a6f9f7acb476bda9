package survey

import "holdbook/units"

// Stock is what many houses come to together.
type Stock struct {
	Stock    int            `json:"stock"`   // version of this format: 1
	Sheets   int            `json:"sheets"`  // in all
	Failed   int            `json:"failed"`  // of them, could not be used
	Suspect  int            `json:"suspect"` // of them, with a reading that does not fit
	Empty    int            `json:"empty"`   // of them, without a reading that tells anything
	Findings []StockFinding `json:"findings"`
	Leakage  []StockShare   `json:"leakage"`
	Limits   []StockLimit   `json:"limits"`
}

// StockFinding is how the medians of one finding spread over the houses in which
// the readings resolve it.
type StockFinding struct {
	Key         string          `json:"key"` // as in a house's results; the zones of a kind count together
	Unit        units.Unit      `json:"unit"`
	Houses      int             `json:"houses"`
	NotResolved int             `json:"not_resolved"` // houses whose readings bound it only
	Quantiles   []StockQuantile `json:"quantiles"`
	// Within is the largest error of the quantiles as a share of their value: 0
	// where they are exact.
	Within float64 `json:"within"`
}

// StockQuantile is the value that a share of the houses does not exceed.
type StockQuantile struct {
	Probability float64 `json:"share"`
	Value       float64 `json:"value"`
}

// StockShare is the part of all houses' flow at 50 Pa that comes through the
// spaces of one kind, of the houses in which it is resolved.
type StockShare struct {
	Through string  `json:"through"`
	Houses  int     `json:"houses"`
	Share   float64 `json:"share"`
}

// StockLimit is how many houses are over a limit.
type StockLimit struct {
	Key    string     `json:"key"`
	Limit  float64    `json:"limit"`
	Unit   units.Unit `json:"unit"`
	Houses int        `json:"houses"` // with the finding
	Over   float64    `json:"over"`   // share whose median is over
	Surely float64    `json:"surely"` // share whose whole interval is over
	Close  float64    `json:"close"`  // share whose interval holds the limit: too close to call
}
