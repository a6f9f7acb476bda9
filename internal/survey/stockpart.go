package survey

import (
	"math"
	"slices"
	"strconv"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// StockPart is what a house tells of the stock it belongs to: of some of its numbers, in SI, what
// was assumed before any reading, and the mean and the covariance with the readings.
type StockPart struct {
	Of         []StockTerm `json:"of"`
	Covariance []float64   `json:"covariance"` // its lower triangle, row by row
	// Draws are equally likely values of each number, in thousandths of its standard
	// deviation from its mean; the i-th of all numbers go together.
	Draws [][]int16 `json:"draws,omitempty"`
}

// StockTerm is one number of a house in a stock.
type StockTerm struct {
	// A leak between two kinds of space, and the logarithm of its flow_50 (m³/s) or its
	// exponent; or a finding, of a flow its logarithm, of a share its logit.
	Key       string  `json:"key"`
	PriorMean float64 `json:"prior_mean,omitempty"`
	PriorSD   float64 `json:"prior_sd,omitempty" jsonschema:"minimum=0"` // 0 of what follows from the others
	Mean      float64 `json:"mean"`
	// Of an exponent, the normal distribution that was assumed before it was kept between
	// 0.5 and 1; else as the prior.
	UnboundedMean float64 `json:"unbounded_mean,omitempty"`
	UnboundedSD   float64 `json:"unbounded_sd,omitempty" jsonschema:"minimum=0"`
}

// The last words of the keys of a leak.
const (
	StockFlow     = "flow_50"
	StockExponent = "exponent"
)

// LeakKey is the key of a leak between two kinds of space, in either order:
// outwards, else by the alphabet.
func LeakKey(a, b sheet.Kind, what string) string {
	inOrder := a == houseKind || b == outsideKind || a <= b && a != outsideKind && b != houseKind
	if !inOrder {
		a, b = b, a
	}
	return string(a) + "–" + string(b) + "." + what
}

// stockPart is what a house tells of its stock; nil where it tells nothing. Leaks whose
// size the sheet states, and those that nobody spoke of, are of this house alone.
func stockPart(c *Case, e *zonal.Estimate) *StockPart {
	m, err := e.Posterior.Moments()
	if err != nil {
		return nil
	}
	var out StockPart
	var at []int
	add := func(i int, key string, prior zonal.Normal) {
		t := StockTerm{Key: key, PriorMean: brief(prior.Mean), PriorSD: brief(prior.SD), Mean: brief(m.Mean[i])}
		if prior.SD > 0 {
			t.UnboundedMean, t.UnboundedSD = brief(m.Unbounded[i].Mean), brief(m.Unbounded[i].SD)
		}
		out.Of = append(out.Of, t)
		out.Draws = append(out.Draws, inThousandths(m.Draws[i], m.Mean[i], math.Sqrt(m.Covariance[i][i])))
		at = append(at, i)
	}
	for i, p := range c.Model.Paths {
		if p.Covered || p.Flow50 == zonal.PresumedSize() {
			continue
		}
		stated, _ := c.sheetPath(p)
		if prior := m.Prior[2*i]; prior.SD > 0 && !stated.Flow50.Given && !stated.Spread.Given {
			add(2*i, LeakKey(c.Kinds[p.A], c.Kinds[p.B], StockFlow), prior)
		}
		if prior := m.Prior[2*i+1]; prior.SD > 0 && !stated.Exponent.Given {
			add(2*i+1, LeakKey(c.Kinds[p.A], c.Kinds[p.B], StockExponent), prior)
		}
	}
	i := len(m.Prior)
	add(i, "house.flow_50", zonal.Normal{})
	add(i+1, "house.exponent", zonal.Normal{})
	i += 2
	for z := range c.Zones() {
		if kind := string(c.Kinds[z]); bearsOn(c, z) {
			add(i, "zones."+kind+".through_flow_50", zonal.Normal{})
			add(i+1, "zones."+kind+".connection_fraction", zonal.Normal{})
			add(i+2, "zones."+kind+".share_of_flow_50", zonal.Normal{})
		}
		i += 3
	}
	for k, row := range at {
		for _, column := range at[:k+1] {
			out.Covariance = append(out.Covariance, brief(m.Covariance[row][column]))
		}
	}
	if !slices.ContainsFunc(out.Of, func(t StockTerm) bool { return t.PriorSD > 0 }) {
		return nil
	}
	return &out
}

// inThousandths are draws in thousandths of a standard deviation from the mean.
func inThousandths(draws []float64, mean, sd float64) []int16 {
	out := make([]int16, len(draws))
	for i, v := range draws {
		if sd > 0 && units.Finite(v) {
			out[i] = int16(math.Round(1000 * min(max((v-mean)/sd, -32), 32)))
		}
	}
	return out
}

// brief is a number of six figures: rows of a batch are many.
func brief(v float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64) // written by itself
	return short
}
