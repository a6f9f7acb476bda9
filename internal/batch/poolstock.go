package batch

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
	"holdbook/internal/learned"
	"holdbook/internal/report/view"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// leakOf is the pair and the number of the key of a leak; false for any other.
func leakOf(key string) (between [2]string, what string, ok bool) {
	pair, what, _ := strings.Cut(key, ".")
	a, b, ok := strings.Cut(pair, "–")
	return [2]string{a, b}, what, ok
}

// leaks are what the houses tell of the leaks of the stock, and those of which they tell
// too little.
func (t *Tally) leaks(list []known) (told []survey.StockLeak, little []string) {
	for _, k := range list {
		between, what, ok := leakOf(k.key)
		if !ok {
			continue
		}
		if !k.told {
			name := strings.Join(between[:], "–")
			if what == survey.StockExponent {
				name += ", exponent"
			}
			little = append(little, name)
			continue
		}
		i := slices.IndexFunc(told, func(l survey.StockLeak) bool { return l.Between == between })
		if i < 0 {
			i = len(told)
			told = append(told, survey.StockLeak{Between: between, Houses: k.houses})
		}
		if what == survey.StockExponent {
			told[i].Exponent, told[i].ExponentSD = inUnit(k.mean, units.One), inUnit(k.sd, units.One)
			continue
		}
		told[i].Flow50 = t.shown(inUnit(through(k.mean, math.Exp), units.CubicMetrePerSecond))
		told[i].Spread = inUnit(through(k.sd, func(sd float64) float64 { return math.Exp(fit.Z90 * sd) }), units.One)
	}
	return told, little
}

// through is an interval under a rising function.
func through(i fit.Interval, f func(float64) float64) fit.Interval {
	return fit.Interval{Low: f(i.Low), Median: f(i.Median), High: f(i.High)}
}

func inUnit(i fit.Interval, u units.Unit) *survey.Q {
	return &survey.Q{Value: i.Median, Low: i.Low, High: i.High, Unit: u}
}

// Learned is what the houses tell of one house more of their stock, with no leak
// where they tell of none.
func (t *Tally) Learned() *learned.Stock {
	out := &learned.Stock{Houses: t.pool.seen}
	for _, k := range t.fitted().numbers() {
		between, what, ok := leakOf(k.key)
		if !ok || !k.told {
			continue
		}
		a, b := zonal.Kind(between[0]), zonal.Kind(between[1])
		if out.Leak(a, b) == nil {
			out.Leaks = append(out.Leaks, learned.Leak{Between: [2]zonal.Kind{a, b}, Houses: k.houses})
		}
		l := out.Leak(a, b)
		if what == survey.StockExponent {
			l.Exponent = &zonal.Normal{Mean: min(1, max(0.5, k.mean.Median)), SD: k.ahead}
		} else {
			l.Flow50 = &zonal.LogNormal{Median: units.Flow(math.Exp(k.mean.Median)), SDLn: k.ahead}
		}
	}
	return out
}

// fitted is the fit of what has been gathered so far.
func (t *Tally) fitted() *stockFit {
	if t.fit == nil {
		t.fit = t.pool.fit()
	}
	return t.fit
}

// component is what is known of a finding of one house of the stock, on the scale on which
// it is normal.
type component struct{ mean, sd float64 }

// components are those of every finding that follows from the leaks.
func (f *stockFit) components() map[string][]component {
	out := map[string][]component{}
	f.eachPosterior(func(h *pooled, m []float64, v *mat.SymDense, w []float64) {
		for i, c := range h.findings(m, v, w) {
			out[h.derived[i].key] = append(out[h.derived[i].key], c)
		}
	})
	return out
}

// mostOfSpread is how much of the variance of a finding over the stock may be what is not
// known of the single house: with more, the spread would be what the fit of the leaks says
// and not what the readings of this finding do.
const mostOfSpread = 0.5

// toldBy tells whether enough houses know a finding well enough to tell how it spreads.
func toldBy(list []component) bool {
	n, mean, square, doubt := float64(len(list)), 0.0, 0.0, 0.0
	for _, c := range list {
		mean, square, doubt = mean+c.mean/n, square+c.mean*c.mean/n, doubt+c.sd*c.sd/n
	}
	return len(list) >= fewestPooled && doubt <= mostOfSpread*(doubt+square-mean*mean)
}

// exactly is the least standard deviation of a component: nothing is known better.
const exactly = 1e-9

// quantile is the value that a share of a stock does not exceed: the components are one
// house each, and the share is found by halving.
func quantile(list []component, share float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range list {
		low, high = min(low, c.mean-6*c.sd), max(high, c.mean+6*c.sd)
	}
	for range 60 {
		middle, below := (low+high)/2, 0.0
		for _, c := range list {
			below += math.Erfc((c.mean-middle)/(max(c.sd, exactly)*math.Sqrt2)) / 2 / float64(len(list))
		}
		if below < share {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// spreadOut puts in place of the medians of a finding in those houses that resolve it how it
// spreads over all houses that have it.
func (t *Tally) spreadOut(f *survey.StockFinding, list []component) {
	if !toldBy(list) {
		return
	}
	from, unit := naturally(f.Key)
	f.Pooled, f.Houses, f.NotResolved, f.Within = true, len(list), 0, 0
	f.Quantiles = f.Quantiles[:0]
	for _, share := range probabilities {
		q := survey.Q{Value: from(quantile(list, share)), Unit: unit}
		shown, _, err := view.Of(&q, t.system, nil)
		if err != nil {
			return
		}
		f.Quantiles = append(f.Quantiles, survey.StockQuantile{Probability: share, Value: shown.Value})
	}
}

// naturally leads from the scale on which a finding is normal to its unit.
func naturally(key string) (from func(float64) float64, base units.Unit) {
	switch {
	case strings.HasSuffix(key, ".connection_fraction"), strings.HasSuffix(key, "."+shareKey):
		return func(v float64) float64 { return 1 / (1 + math.Exp(-v)) }, units.One
	case strings.HasSuffix(key, "."+survey.StockExponent):
		return func(v float64) float64 { return v }, units.One
	}
	return math.Exp, units.CubicMetrePerSecond
}
