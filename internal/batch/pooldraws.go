package batch

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"holdbook/internal/survey"
)

// drawn are equally likely values of the numbers of a house, found with what was assumed
// of any house. Weighted by how much more likely a stock makes them than that did, they are
// draws of a house of the stock: no number needs to be near normal.
type drawn struct {
	leaks   [][]float64 // of each number of its leaks
	derived [][]float64 // of each finding that follows
	assumed []float64   // of each draw, the logarithm of the density before any reading
}

// fewestDraws is the effective number of draws below which a house is told by its normal
// likelihood: its own draws lie too far from what the stock is.
const fewestDraws = 12

// newDrawn takes draws from a row; nil where there are none.
func newDrawn(part *survey.StockPart, at, rest []int, cov func(i, j int) float64) *drawn {
	n := len(part.Draws)
	if n != len(part.Of) || n == 0 || len(part.Draws[0]) < fewestDraws {
		return nil
	}
	d := &drawn{assumed: make([]float64, len(part.Draws[0]))}
	values := func(i int) []float64 {
		out := make([]float64, len(part.Draws[i]))
		for k, v := range part.Draws[i] {
			out[k] = part.Of[i].Mean + float64(v)/1000*math.Sqrt(max(0, cov(i, i)))
		}
		return out
	}
	for i := range part.Draws {
		if len(part.Draws[i]) != len(d.assumed) {
			return nil
		}
	}
	for _, i := range at {
		t, list := part.Of[i], values(i)
		if !(t.UnboundedSD > 0) {
			return nil
		}
		for k, v := range list {
			score := (v - t.UnboundedMean) / t.UnboundedSD
			d.assumed[k] -= score * score / 2
		}
		d.leaks = append(d.leaks, list)
	}
	for _, i := range rest {
		d.derived = append(d.derived, values(i))
	}
	return d
}

// weights are those of the draws in a house of the stock, none below zero, in sum 1, and
// how many draws of one weight they are worth.
func (f *stockFit) weights(h *pooled) (w []float64, effective float64) {
	w = slices.Clone(h.draws.assumed)
	for i := range w {
		w[i] = -w[i]
	}
	for a, k := range h.of {
		for i, v := range h.draws.leaks[a] {
			score := (v - f.mean[k]) / f.sd[k]
			w[i] -= score * score / 2
		}
	}
	most := floats.Max(w)
	for i := range w {
		w[i] = math.Exp(w[i] - most)
	}
	floats.Scale(1/floats.Sum(w), w)
	return w, 1 / floats.Dot(w, w)
}

// reweighted is what is known of a house that is one of the stock from its draws; false
// where too few of them count.
func (f *stockFit) reweighted(h *pooled) (mean []float64, cov *mat.SymDense, w []float64, ok bool) {
	if h.draws == nil || f.far[h] {
		return nil, nil, nil, false
	}
	w, effective := f.weights(h)
	if !(effective >= fewestDraws) {
		f.far[h] = true // for good: a house that changed sides from round to round would not let the search settle
		return nil, nil, nil, false
	}
	n := len(h.of)
	mean, cov = make([]float64, n), mat.NewSymDense(n, nil)
	for a := range n {
		mean[a] = floats.Dot(w, h.draws.leaks[a])
		for b := range a + 1 {
			sum := 0.0
			for i, v := range h.draws.leaks[a] {
				sum += w[i] * (v - mean[a]) * (h.draws.leaks[b][i] - mean[b])
			}
			cov.SetSym(a, b, sum)
		}
	}
	return mean, cov, w, true
}

// findings are the findings that follow from the leaks of a house of the stock.
func (h *pooled) findings(m []float64, v *mat.SymDense, w []float64) []component {
	out := make([]component, len(h.derived))
	for i, d := range h.derived {
		if w != nil {
			mean, variance := stat.PopMeanVariance(h.draws.derived[i], w)
			out[i] = component{mean, math.Sqrt(variance)}
			continue
		}
		slope := mat.NewVecDense(len(d.slope), d.slope)
		mean := d.mean + floats.Dot(d.slope, m) - floats.Dot(d.slope, d.where)
		out[i] = component{mean, math.Sqrt(max(0, d.variance+mat.Inner(slope, v, slope)))}
	}
	return out
}
