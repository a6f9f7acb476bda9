package hmc

import (
	"math"
	"slices"

	"holdbook/internal/fit"
)

// RHat is the split potential scale reduction of one quantity: each chain is
// cut in halves, and the pooled standard deviation is compared with that within
// the halves (Gelman et al. 2013, section 11.4). Near 1 the chains agree. It is
// NaN when a chain has fewer than four draws, lengths differ, or nothing varies.
func RHat(chains [][]float64) float64 {
	s := newSplit(chains)
	if s == nil {
		return math.NaN()
	}
	return math.Sqrt(s.pooled / s.within)
}

// ESS is the effective sample size of one quantity over all chains: the number
// of independent draws whose mean would be as sure. Autocorrelations of the
// split chains are summed over Geyer's initial monotone sequence (Geyer 1992;
// Vehtari et al. 2021); chains that disagree have few. Draws that alternate
// about the mean may count for more than their number, N·log10 N at most. NaN
// in the cases of RHat.
func ESS(chains [][]float64) float64 {
	s := newSplit(chains)
	if s == nil {
		return math.NaN()
	}
	total := float64(len(s.chains) * s.n)
	return total / max(s.correlationTime(), 1/math.Log10(total))
}

// TailESS is the smaller effective sample size of the two indicators "at most
// the 5 % point" and "at most the 95 % point": how many independent draws stand
// behind the ends of a 90 % interval (Vehtari et al. 2021).
func TailESS(chains [][]float64) float64 {
	all := slices.Concat(chains...)
	slices.Sort(all)
	return fmin(QuantileESS(chains, fit.Quantile(all, 0.05)), QuantileESS(chains, fit.Quantile(all, 0.95)))
}

// QuantileESS is the effective sample size of the indicator "at most q".
func QuantileESS(chains [][]float64, q float64) float64 {
	below := make([][]float64, len(chains))
	for i, c := range chains {
		below[i] = make([]float64, len(c))
		for k, v := range c {
			if v <= q {
				below[i][k] = 1
			}
		}
	}
	return ESS(below)
}

// fmin is the smaller of two numbers, or the one that is a number.
func fmin(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

// split holds the chains cut in halves, with their moments.
type split struct {
	chains [][]float64
	n      int // draws in a half
	means  []float64
	within float64 // mean variance of the halves
	pooled float64 // variance estimate that counts their disagreement too
}

func newSplit(chains [][]float64) *split {
	if len(chains) == 0 || len(chains[0]) < 4 {
		return nil
	}
	s := &split{n: len(chains[0]) / 2}
	for _, c := range chains {
		if len(c) != len(chains[0]) {
			return nil
		}
		s.chains = append(s.chains, c[:s.n], c[len(c)-s.n:])
	}
	var between float64
	for _, c := range s.chains {
		m, v := meanAndVariance(c)
		s.means = append(s.means, m)
		s.within += v / float64(len(s.chains))
	}
	_, between = meanAndVariance(s.means)
	s.pooled = s.within*float64(s.n-1)/float64(s.n) + between
	if !(s.within > 0) || !finite(s.pooled) {
		return nil
	}
	return s
}

// meanAndVariance returns mean and variance (with n−1).
func meanAndVariance(v []float64) (mean, variance float64) {
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	for _, x := range v {
		variance += (x - mean) * (x - mean)
	}
	return mean, variance / float64(len(v)-1)
}

// correlation is the autocorrelation at a lag, of the chains taken together.
func (s *split) correlation(lag int) float64 {
	var cov float64
	for i, c := range s.chains {
		m := s.means[i]
		var sum float64
		for k := range s.n - lag {
			sum += (c[k] - m) * (c[k+lag] - m)
		}
		cov += sum / float64(s.n)
	}
	return 1 - (s.within-cov/float64(len(s.chains)))/s.pooled
}

// correlationTime is 1 + 2·Σ autocorrelation, in draws: pairs of neighbouring
// lags are summed while positive, each no larger than the one before.
func (s *split) correlationTime() float64 {
	tau, last := -1.0, math.Inf(1)
	for lag := 0; lag+1 < s.n; lag += 2 {
		even := 1.0
		if lag > 0 {
			even = s.correlation(lag)
		}
		pair := even + s.correlation(lag+1)
		if lag > 0 && pair <= 0 {
			break
		}
		last = min(last, pair)
		tau += 2 * last
	}
	return tau
}
