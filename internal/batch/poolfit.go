package batch

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
	"holdbook/internal/survey"
)

// known is what a pool tells of one number of the leaks of a stock: over the houses it is
// normal, with a mean and a standard deviation, each with its 90 % interval.
type known struct {
	key      string
	houses   int
	mean, sd fit.Interval
	// ahead is the standard deviation to expect in one house more: that over the houses and
	// what is not known of the mean.
	ahead float64
	prior base
	// told is false where it is mostly what was assumed before any reading.
	told bool
}

// stockFit is the state of the search: the mean and the standard deviation of each number.
type stockFit struct {
	*pool
	mean, sd, meanSD []float64
	sds              []fit.Interval
	count            []int
	far              map[*pooled]bool // houses whose draws do not reach the stock
}

// mostRounds end the search, which settles in some fifty; settled is the largest change of
// a standard deviation in the last.
const (
	mostRounds = 100
	settled    = 1e-3
)

// fit finds the mean and the spread over the houses of every number of their leaks.
// Given the spreads the means are those of generalised least squares over all numbers
// together; given those, each spread is the median of its posterior on a grid, in the
// likelihood that a house has for one number with all others as in the stock.
func (p *pool) fit() *stockFit {
	f := &stockFit{pool: p, far: map[*pooled]bool{}}
	n := len(p.keys)
	f.meanSD, f.sds, f.count = make([]float64, n), make([]fit.Interval, n), make([]int, n)
	for _, b := range p.base {
		f.mean, f.sd = append(f.mean, b.mean), append(f.sd, b.sd)
	}
	for _, h := range p.houses {
		for _, k := range h.of {
			f.count[k]++
		}
	}
	for range mostRounds {
		f.means()
		if f.spreads() < settled {
			break
		}
	}
	f.means()
	f.spreadIntervals()
	return f
}

// The mean over a stock lies about what is assumed of any house: of sizes with the standard
// deviation of one house, which is wide, of exponents with half of that. Readings of many
// houses tell mostly how sizes and exponents hang together; exponents that no stock has
// would draw the sizes with them. Judgement, not published.
const (
	weakSize     = 1
	weakExponent = 0.5
)

// weakly is the standard deviation that is assumed of the mean of a number.
func (f *stockFit) weakly(k int) float64 {
	if _, what, _ := leakOf(f.keys[k]); what == survey.StockExponent {
		return weakExponent * f.base[k].sd
	}
	return weakSize * f.base[k].sd
}

// means takes one step of Newton's method, which is exact, to the means that the spreads go
// with, and their standard deviations.
func (f *stockFit) means() {
	n := len(f.keys)
	if n == 0 {
		return
	}
	information, score := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for k, b := range f.base {
		w := 1 / (f.weakly(k) * f.weakly(k))
		information.SetSym(k, k, w)
		score.SetVec(k, w*(b.mean-f.mean[k]))
	}
	f.eachPosterior(func(h *pooled, m []float64, v *mat.SymDense, _ []float64) {
		for a, k := range h.of {
			w := 1 / (f.sd[k] * f.sd[k])
			score.SetVec(k, score.AtVec(k)+w*(m[a]-f.mean[k]))
			for b, l := range h.of[:a+1] {
				add := -w * v.At(a, b) / (f.sd[l] * f.sd[l])
				if a == b {
					add += w
				} else if k == l {
					add *= 2
				}
				information.SetSym(k, l, information.At(k, l)+add)
			}
		}
	})
	var chol mat.Cholesky
	if !chol.Factorize(information) {
		return // draws of a house may spread more than the stock: the next spreads are wider
	}
	var step mat.VecDense
	var cov mat.SymDense
	if chol.SolveVecTo(&step, score) != nil || chol.InverseTo(&cov) != nil {
		return
	}
	for k := range f.mean {
		f.mean[k] += step.AtVec(k)
		f.meanSD[k] = math.Sqrt(cov.At(k, k))
	}
}

// eachPosterior goes through what is known of each house, where it can be worked out: from
// its draws, with their weights, or from its normal likelihood without.
func (f *stockFit) eachPosterior(use func(h *pooled, mean []float64, cov *mat.SymDense, weights []float64)) {
	for i := range f.houses {
		h := &f.houses[i]
		if m, v, w, ok := f.reweighted(h); ok {
			use(h, m, v, w)
		} else if m, v, ok := f.posterior(h); ok {
			use(h, m, v, nil)
		}
	}
}

// posterior is what is known of the numbers of a house that is one of the stock from its
// normal likelihood.
func (f *stockFit) posterior(h *pooled) (mean []float64, cov *mat.SymDense, ok bool) {
	n := len(h.of)
	precision, told := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	precision.CopySym(h.lambda)
	for a, k := range h.of {
		w := 1 / (f.sd[k] * f.sd[k])
		precision.SetSym(a, a, precision.At(a, a)+w)
		told.SetVec(a, h.eta[a]+w*f.mean[k])
	}
	var chol mat.Cholesky
	if !chol.Factorize(precision) {
		return nil, nil, false
	}
	cov = mat.NewSymDense(n, nil)
	m := mat.NewVecDense(n, nil)
	if chol.InverseTo(cov) != nil || chol.SolveVecTo(m, told) != nil {
		return nil, nil, false
	}
	return m.RawVector().Data, cov, true
}

// alone is what one house tells of one number, all others as in the stock: a normal
// likelihood, and where the house has draws those, with their weights in the stock of
// standard deviation at.
type alone struct {
	mean, variance float64
	weights        []float64
	squares        []float64 // of the draws less the mean over the stock
}

// log is the logarithm of the likelihood of a standard deviation over the houses, but for a
// constant, where mean is that over the stock, and at the standard deviation that the
// weights go with.
func (h *alone) log(sd, mean, at float64) float64 {
	if h.weights == nil {
		v := sd*sd + h.variance
		return -(math.Log(v) + (h.mean-mean)*(h.mean-mean)/v) / 2
	}
	sum, tighter := 0.0, (1/(at*at)-1/(sd*sd))/2
	for i, w := range h.weights {
		sum += w * math.Exp(h.squares[i]*tighter)
	}
	return math.Log(sum * at / sd)
}

// spreads takes one step of expectation and maximisation (Dempster, Laird and Rubin 1977) to
// the standard deviations over the houses, and says by how much the largest change of a
// logarithm of them was. Its steps are small, so that draws go on reaching the stock.
func (f *stockFit) spreads() float64 {
	squares, n := make([]float64, len(f.keys)), make([]float64, len(f.keys))
	f.eachPosterior(func(h *pooled, m []float64, v *mat.SymDense, _ []float64) {
		for a, k := range h.of {
			own := 1 - v.At(a, a)/(f.sd[k]*f.sd[k]) // how much of it is its own, and not the mean over the stock
			off, doubt := m[a]-f.mean[k], own*f.meanSD[k]
			squares[k], n[k] = squares[k]+v.At(a, a)+off*off+doubt*doubt, n[k]+1
		}
	})
	most := 0.0
	for k, before := range f.sd {
		if n[k] > 0 {
			f.sd[k] = max(math.Sqrt(squares[k]/n[k]), narrowest*f.base[k].sd)
			most = max(most, math.Abs(math.Log(f.sd[k]/before)))
		}
	}
	return most
}

// spreadIntervals are those of the standard deviations that the search has come to.
func (f *stockFit) spreadIntervals() {
	likelihoods := make([][]alone, len(f.keys))
	f.eachPosterior(func(h *pooled, m []float64, v *mat.SymDense, weights []float64) {
		for a, k := range h.of {
			w := 1 / (f.sd[k] * f.sd[k])
			one := alone{variance: math.Inf(1), weights: weights}
			if precision := 1/v.At(a, a) - w; precision > 1e-4*w {
				one.mean, one.variance = (m[a]/v.At(a, a)-w*f.mean[k])/precision, 1/precision
			} else if weights == nil {
				continue // tells nothing
			}
			if weights != nil {
				for _, x := range h.draws.leaks[a] {
					one.squares = append(one.squares, (x-f.mean[k])*(x-f.mean[k]))
				}
			}
			likelihoods[k] = append(likelihoods[k], one)
		}
	})
	for k, list := range likelihoods {
		f.sds[k] = spread(list, f.base[k].sd, f.mean[k], f.sd[k])
	}
}

// The grid of spreads, as shares of what was assumed of one house.
const (
	narrowest = 0.02
	widest    = 4
	gridSteps = 80
)

// spread is the standard deviation over houses with likelihoods of their own, about a mean
// over the stock that is as uncertain as they leave it; at is the standard deviation that
// their weights go with. What is assumed of it is weak: half a normal distribution, as wide
// as what is assumed of one house.
func spread(list []alone, assumed, mean, at float64) fit.Interval {
	values, logs, most := make([]float64, gridSteps), make([]float64, gridSteps), math.Inf(-1)
	for i := range values {
		share := narrowest * math.Pow(widest/narrowest, float64(i)/(gridSteps-1))
		sd := share * assumed
		weight, l := 0.0, 0.0
		for k := range list {
			weight += 1 / (sd*sd + list[k].variance)
			l += list[k].log(sd, mean, at)
		}
		if weight > 0 {
			l -= math.Log(weight) / 2
		}
		values[i], logs[i] = sd, l-share*share/2+math.Log(sd)
		most = max(most, logs[i])
	}
	for i := range logs {
		logs[i] = math.Exp(logs[i] - most)
	}
	return fit.WeightedIntervalOf(values, logs)
}

// mostOfPrior is how wide the standard deviation of a mean may be, as a share of what was
// assumed of one house, for the houses to have told it.
const mostOfPrior = 0.35

// numbers are what the houses tell, in the order in which their keys came.
func (f *stockFit) numbers() []known {
	var list []known
	for k, key := range f.keys {
		sd, reach := f.meanSD[k], fit.StudentT(0.9, float64(max(1, f.count[k]-1)))*f.meanSD[k]
		list = append(list, known{key: key, houses: f.count[k], mean: fit.Interval{Low: f.mean[k] - reach, Median: f.mean[k], High: f.mean[k] + reach}, sd: f.sds[k],
			ahead: math.Hypot(f.sd[k], sd), prior: f.base[k], told: f.count[k] >= fewestPooled && sd <= mostOfPrior*f.base[k].sd})
	}
	return list
}
