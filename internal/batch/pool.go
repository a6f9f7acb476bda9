package batch

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"holdbook/internal/survey"
	"holdbook/units"
)

// mostPooled is how many houses a pool keeps. Of more it keeps every second, then every
// fourth and so on, evenly over all, so that memory and work stay bounded; of two thousand
// houses the median of a stock is known to some 3 %.
const mostPooled = 2000

// fewestPooled houses are the fewest that a number of the stock is told from.
const fewestPooled = 5

// pool takes in what houses tell of the stock they belong to: of each, draws of the numbers
// of its leaks, and what its readings say of them with what was assumed before divided out,
// as a normal likelihood for where no draws reach. All leaks of a house go together, for
// often only a relation of theirs is known.
type pool struct {
	keys    []string // of the numbers of leaks, in the order in which they came
	index   map[string]int
	base    []base
	houses  []pooled
	seen    int // houses that told something
	every   int // house of them that is kept
	without int // houses whose row does not say what it tells
}

// base is what was assumed of a number before any reading, in the house of which least was known.
type base struct{ mean, sd float64 }

// pooled is one house. Of the n numbers of its leaks readings tell exp(η·x − x·Λx/2).
type pooled struct {
	of      []int // keys
	lambda  *mat.SymDense
	eta     []float64
	derived []derived
	draws   *drawn // nil where its row has none
}

// derived is a finding that follows from the numbers x of a house: normal about
// mean + slope·(x − where), with a variance of its own.
type derived struct {
	key      string
	mean     float64
	slope    []float64
	where    []float64
	variance float64
}

func newPool() *pool { return &pool{index: map[string]int{}, every: 1} }

// add takes a house in. One with readings that do not fit tells nothing of others.
func (p *pool) add(f *survey.Findings) {
	part := f.Stock
	switch {
	case f.Method.Intervals == "" || len(f.Suspects) > 0:
		return
	case part == nil:
		p.without++
		return
	}
	h, ok := p.house(part)
	if !ok {
		p.without++
		return
	}
	if p.seen++; (p.seen-1)%p.every != 0 {
		return
	}
	if p.houses = append(p.houses, h); len(p.houses) > mostPooled {
		p.every *= 2
		for i := range (len(p.houses) + 1) / 2 {
			p.houses[i] = p.houses[2*i]
		}
		p.houses = p.houses[:(len(p.houses)+1)/2]
	}
}

// house makes a likelihood of what a house tells; false where its row is none.
func (p *pool) house(part *survey.StockPart) (h pooled, ok bool) {
	var at, rest []int
	for i, t := range part.Of {
		if t.PriorSD > 0 {
			at = append(at, i)
		} else {
			rest = append(rest, i)
		}
	}
	if n := len(part.Of); len(at) == 0 || len(part.Covariance) != n*(n+1)/2 {
		return h, false
	}
	cov := func(i, j int) float64 { i, j = max(i, j), min(i, j); return part.Covariance[i*(i+1)/2+j] }
	inScores := mat.NewSymDense(len(at), nil)
	score := make([]float64, len(at))
	for k, i := range at {
		t := part.Of[i]
		score[k] = (t.Mean - t.PriorMean) / t.PriorSD
		for l, j := range at[:k+1] {
			inScores.SetSym(k, l, cov(i, j)/(t.PriorSD*part.Of[j].PriorSD))
		}
	}
	precision, told, inverse, ok := withoutPrior(inScores, score)
	if !ok {
		return h, false
	}
	h.lambda, h.eta = precision, told
	for k, i := range at {
		h.of = append(h.of, p.keyOf(part.Of[i]))
		for l := range k + 1 {
			h.lambda.SetSym(k, l, precision.At(k, l)/(part.Of[at[k]].PriorSD*part.Of[at[l]].PriorSD))
		}
	}
	for k, i := range at { // η is of x − prior mean so far, in scores
		h.eta[k] /= part.Of[i].PriorSD
	}
	for k := range at {
		for l, j := range at {
			h.eta[k] += h.lambda.At(k, l) * part.Of[j].PriorMean
		}
	}
	for _, i := range rest {
		h.derived = append(h.derived, follows(part, i, at, cov, inverse))
	}
	h.draws = newDrawn(part, at, rest, cov)
	return h, true
}

// keyOf is the number of a key, given when it first comes.
func (p *pool) keyOf(t survey.StockTerm) int {
	k, known := p.index[t.Key]
	if !known {
		k = len(p.keys)
		p.index[t.Key], p.keys, p.base = k, append(p.keys, t.Key), append(p.base, base{t.PriorMean, t.PriorSD})
	}
	if t.PriorSD > p.base[k].sd {
		p.base[k] = base{t.PriorMean, t.PriorSD}
	}
	return k
}

// follows is how a finding hangs on the numbers of a house.
func follows(part *survey.StockPart, i int, at []int, cov func(i, j int) float64, inverse *mat.SymDense) derived {
	d := derived{key: part.Of[i].Key, mean: part.Of[i].Mean, variance: cov(i, i)}
	for k := range at {
		slope := 0.0
		for l := range at {
			slope += inverse.At(k, l) / (part.Of[at[k]].PriorSD * part.Of[at[l]].PriorSD) * cov(i, at[l])
		}
		d.slope, d.where = append(d.slope, slope), append(d.where, part.Of[at[k]].Mean)
		d.variance -= slope * cov(i, at[k])
	}
	d.variance = max(d.variance, 0)
	return d
}

// certain is the smallest variance, as a share of the prior's, that is taken for one.
const certain = 1e-6

// spoilt is how far below zero a variance may lie: numbers of a row are rounded.
const spoilt = 1e-3

// withoutPrior divides a standard normal prior out of a normal posterior: the precision
// and its product with the mean that the readings alone have, and the inverse of the
// covariance. Directions in which the posterior is no narrower than the prior tell nothing.
func withoutPrior(cov *mat.SymDense, mean []float64) (precision *mat.SymDense, told []float64, inverse *mat.SymDense, ok bool) {
	var e mat.EigenSym
	if !e.Factorize(cov, true) {
		return nil, nil, nil, false
	}
	var directions mat.Dense
	e.VectorsTo(&directions)
	n := len(mean)
	precision, inverse, told = mat.NewSymDense(n, nil), mat.NewSymDense(n, nil), make([]float64, n)
	for k, v := range e.Values(nil) {
		if !(v > -spoilt) || math.IsInf(v, 0) || !units.Finite(floats.Sum(mean)) {
			return nil, nil, nil, false
		}
		d := mat.Col(nil, k, &directions)
		x := mat.NewVecDense(n, d)
		along := mat.Dot(x, mat.NewVecDense(n, mean))
		inverse.SymRankOne(inverse, 1/max(v, certain), x)
		if v = max(v, certain); v >= 1 {
			continue
		}
		precision.SymRankOne(precision, 1/v-1, x)
		for i := range told {
			told[i] += d[i] * along / v
		}
	}
	return precision, told, inverse, true
}
