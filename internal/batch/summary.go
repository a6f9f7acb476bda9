package batch

import (
	"math/rand/v2"
	"slices"

	"holdbook/internal/fit"
	"holdbook/internal/survey"
)

// kept is how many houses of each quantity the summary holds exactly; beyond it a
// random sample of them stands for all, so that memory stays bounded.
const kept = 100_000

// Summary is the distribution of each finding over a stock of houses.
type Summary struct {
	Version  int            `json:"summary"` // of this format: 1
	Houses   int            `json:"houses"`
	Failed   int            `json:"failed"`
	Findings []Distribution `json:"findings"`
	Over     *Over          `json:"over,omitempty"`
}

// Distribution is one quantity over the houses that have it.
type Distribution struct {
	Of        string    `json:"of"`
	Unit      string    `json:"unit"`
	Houses    int       `json:"houses"`
	Quantiles []float64 `json:"quantiles"` // at 5, 25, 50, 75 and 95 %
	Sampled   bool      `json:"sampled,omitempty"`
}

// Over is the share of houses whose air changes at 50 Pa are above a limit.
type Over struct {
	Limit   float64 `json:"limit"` // 1/h
	Houses  int     `json:"houses"`
	Above   float64 `json:"above"`         // share whose value is above
	Certain float64 `json:"certain_above"` // share whose whole interval is above
}

// QuantileLevels are the levels of Distribution.Quantiles.
var QuantileLevels = []float64{0.05, 0.25, 0.5, 0.75, 0.95}

// Tally gathers rows for a summary, one after the other.
type Tally struct {
	limit          float64 // air changes; 0 for none
	houses, failed int
	order          []string
	samples        map[string]*sample
	judged         int
	above, certain int
	rng            *rand.Rand
}

// sample is a bounded random sample of a stream (reservoir sampling).
type sample struct {
	unit   string
	values []float64
	seen   int
}

// NewTally starts a summary. overChanges is a limit of air changes an hour at 50
// Pa, 0 for none.
func NewTally(overChanges float64) *Tally {
	return &Tally{limit: overChanges, samples: map[string]*sample{}, rng: rand.New(rand.NewPCG(1, 1))}
}

// Add takes one row in.
func (t *Tally) Add(r Row) {
	if r.Findings == nil {
		t.failed++
		return
	}
	t.houses++
	f := r.Findings
	h := f.House
	t.put("flow at 50 Pa", h.Flow50)
	t.put("air changes at 50 Pa", h.AirChanges50)
	t.put("leak area at 4 Pa", h.LeakArea4)
	t.put("flow exponent", h.Exponent)
	if h.Flow50 != nil && h.Flow50.Value > 0 {
		for _, z := range f.Zones {
			if z.ThroughFlow50 != nil && z.ThroughFlow50.Unit == h.Flow50.Unit {
				t.put("share of leakage through "+z.Kind, &survey.Q{Value: 100 * z.ThroughFlow50.Value / h.Flow50.Value, Unit: "%"})
			}
		}
	}
	if d := f.Ducts; d != nil {
		t.put("duct leakage to outside at 25 Pa", d.LeakageOutside25)
		t.put("distribution efficiency", d.DistributionEfficiency)
	}
	t.judge(h.AirChanges50)
}

func (t *Tally) judge(q *survey.Q) {
	if q == nil || t.limit == 0 {
		return
	}
	t.judged++
	if q.Value > t.limit {
		t.above++
	}
	if q.Low > t.limit {
		t.certain++
	}
}

// put adds a value to the sample of a quantity in its unit.
func (t *Tally) put(of string, q *survey.Q) {
	if q == nil {
		return
	}
	key := of + " " + q.Unit
	s := t.samples[key]
	if s == nil {
		s = &sample{unit: q.Unit}
		t.samples[key] = s
		t.order = append(t.order, of)
		t.order[len(t.order)-1] = key
	}
	s.seen++
	switch {
	case len(s.values) < kept:
		s.values = append(s.values, q.Value)
	default:
		if k := t.rng.IntN(s.seen); k < kept {
			s.values[k] = q.Value
		}
	}
}

// Summary is what has been gathered so far.
func (t *Tally) Summary() Summary {
	out := Summary{Version: 1, Houses: t.houses, Failed: t.failed, Findings: []Distribution{}}
	slices.Sort(t.order)
	for _, key := range t.order {
		s := t.samples[key]
		sorted := slices.Clone(s.values)
		slices.Sort(sorted)
		d := Distribution{Of: key[:len(key)-len(s.unit)-1], Unit: s.unit, Houses: s.seen, Sampled: s.seen > len(s.values)}
		for _, p := range QuantileLevels {
			d.Quantiles = append(d.Quantiles, fit.Quantile(sorted, p))
		}
		out.Findings = append(out.Findings, d)
	}
	if t.limit > 0 && t.judged > 0 {
		n := float64(t.judged)
		out.Over = &Over{Limit: t.limit, Houses: t.judged, Above: float64(t.above) / n, Certain: float64(t.certain) / n}
	}
	return out
}
