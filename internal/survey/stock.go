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
	Pooled   *StockPooled   `json:"pooled,omitempty"`
}

// StockPooled is what the houses tell of the stock when their readings are taken together:
// of each leak the median and the spread over the houses, not over those that resolve it.
type StockPooled struct {
	Houses  int         `json:"houses"`
	Without int         `json:"without"` // rows of results that do not say what they tell of the stock
	Leaks   []StockLeak `json:"leaks"`
	// Little are those of which the houses tell too little: mostly what was assumed before
	// any reading would stand there.
	Little []string `json:"told_too_little"`
}

// StockLeak is a leak between two kinds of space over the houses of a stock.
type StockLeak struct {
	Between    [2]string `json:"between"`
	Houses     int       `json:"houses"`                // that have it
	Flow50     *Q        `json:"flow_50,omitempty"`     // median of the houses, at 50 Pa across it alone
	Spread     *Q        `json:"spread,omitempty"`      // nine in ten houses lie within this factor of it
	Exponent   *Q        `json:"exponent,omitempty"`    // mean of the houses
	ExponentSD *Q        `json:"exponent_sd,omitempty"` // standard deviation of the houses
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
	// Pooled marks quantiles of all houses that have the finding, from their readings taken
	// together.
	Pooled bool `json:"pooled,omitempty"`
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
