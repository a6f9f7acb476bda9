package zonal

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// after averages the answer over simulated outcomes.
func (t *questionTable) after(s *shownTable, seed uint64) Preview {
	rng := fit.Random(seed, 1<<43+s.stream)
	out := Preview{Now: t.now.Now, Present: t.now.Present, Then: make([]float64, len(t.ln)), FirstNow: t.now.FirstNow}
	done := 0.0
	for _, k := range t.outcomes {
		if s.mu[k] == nil {
			continue
		}
		y := make([]float64, len(s.sd))
		for j, sd := range s.sd {
			y[j] = s.mu[k][j] + sd*rng.NormFloat64()
		}
		ln, w := t.posteriorAfter(s, y)
		out.FirstThen += t.first(ln, w)
		ln, w = ofWeight(ln, w)
		for i := range ln {
			v := fit.WeightedIntervalOf(ln[i], w)
			out.Then[i] += v.High - v.Low
		}
		done++
	}
	if done == 0 { // no house of the posterior allows it
		copy(out.Then, out.Now)
		out.FirstThen = out.FirstNow
		return out
	}
	for i := range out.Then {
		out.Then[i] /= done
	}
	out.FirstThen /= done
	out.Gain = t.gain(out.Then)
	return out
}

// ofWeight leaves out the draws whose weight moves no quantile: most of them, for
// most outcomes, and intervals cost by the draw.
func ofWeight(ln [][]float64, w []float64) ([][]float64, []float64) {
	const least = 1e-6
	var weights []float64
	few := make([][]float64, len(ln))
	for k, v := range w {
		if v < least {
			continue
		}
		weights = append(weights, v)
		for i := range ln {
			few[i] = append(few[i], ln[i][k])
		}
	}
	return few, weights
}

// gain is the share of the width that goes, each target counting by its flow.
func (t *questionTable) gain(then []float64) float64 {
	sum := 0.0
	for i, now := range t.now.Now {
		if now > 0 {
			sum += t.flowShare[i] * (1 - then[i]/now)
		}
	}
	return sum
}

// posteriorAfter is the targets as they would be known after the outcome y.
func (t *questionTable) posteriorAfter(s *shownTable, y []float64) (ln [][]float64, w []float64) {
	w, tau := t.temper(s, y)
	ln = t.ln
	if tau < 1 && len(s.sd) > 0 { // nothing read moves nothing
		ln = t.adjust(s, y, w, tau)
	}
	return ln, w
}

// temperings halve the interval of the power: it need not be exact.
const temperings = 10

// temper weighs the draws by the likelihood of y to a power that leaves enough
// of them, 1 if it can be.
func (t *questionTable) temper(s *shownTable, y []float64) (w []float64, tau float64) {
	lik := make([]float64, len(t.weights))
	for k := range lik {
		lik[k] = math.Inf(-1)
		if s.mu[k] == nil {
			continue
		}
		lik[k] = 0
		for j, sd := range s.sd {
			z := (y[j] - s.mu[k][j]) / sd
			lik[k] -= 0.5 * z * z
		}
	}
	low, high := 0.0, 1.0
	w, n := t.weigh(lik, 1)
	if n >= leastTempered {
		return w, 1
	}
	for range temperings {
		tau = (low + high) / 2
		if _, n = t.weigh(lik, tau); n >= leastTempered {
			low = tau
		} else {
			high = tau
		}
	}
	w, _ = t.weigh(lik, low)
	return w, low
}

// nothing is the logarithm of a weight that no sum of thousands would feel.
const nothing = -50

// weigh is the normalised weights at a power tau, and their effective number.
func (t *questionTable) weigh(lik []float64, tau float64) ([]float64, float64) {
	top := math.Inf(-1)
	for k, l := range lik {
		if t.weights[k] > 0 {
			top = math.Max(top, l)
		}
	}
	w, sum, squares := make([]float64, len(lik)), 0.0, 0.0
	for k, l := range lik {
		if d := tau * (l - top); t.weights[k] > 0 && d > nothing {
			w[k] = t.weights[k] * math.Exp(d)
		}
		sum += w[k]
	}
	for k := range w {
		w[k] /= sum
		squares += w[k] * w[k]
	}
	return w, 1 / squares
}

// adjust moves the draws, weighted by a tempered likelihood, the rest of the way
// to the outcome y: what would have been read is taken as normal with the
// covariance V of the tempered draws, updated by the likelihood that is left, and
// each target follows by its linear regression on it.
func (t *questionTable) adjust(s *shownTable, y, w []float64, tau float64) [][]float64 {
	m := len(s.sd)
	mean, v := meanAndCovariance(s.mu, w, m)
	inv, post := mat.NewSymDense(m, nil), mat.NewSymDense(m, nil)
	if !invertInto(inv, v) {
		return t.ln
	}
	post.CopySym(inv)
	for j, sd := range s.sd {
		post.SetSym(j, j, post.At(j, j)+(1-tau)/(sd*sd))
	}
	cov := mat.NewSymDense(m, nil)
	if !invertInto(cov, post) {
		return t.ln
	}
	move, ok := mover(v, cov)
	if !ok {
		return t.ln
	}
	centre := mat.NewVecDense(m, nil) // posterior mean of what would be read, less the tempered mean
	gap := mat.NewVecDense(m, nil)
	for j, sd := range s.sd {
		gap.SetVec(j, (1-tau)/(sd*sd)*(y[j]-mean[j]))
	}
	centre.MulVec(cov, gap)
	return t.moved(s, w, mean, inv, move, centre)
}

// moved shifts every target of every draw along its regression.
func (t *questionTable) moved(s *shownTable, w, mean []float64, inv *mat.SymDense, move *mat.Dense, centre *mat.VecDense) [][]float64 {
	m := len(mean)
	slope := make([]*mat.VecDense, len(t.ln))
	for i := range t.ln {
		slope[i] = regression(t.ln[i], s.mu, w, mean, inv)
	}
	ln := make([][]float64, len(t.ln))
	for i := range ln {
		ln[i] = append([]float64(nil), t.ln[i]...)
	}
	d, shift := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for k := range w {
		if w[k] == 0 || s.mu[k] == nil {
			continue
		}
		for j := range m {
			d.SetVec(j, s.mu[k][j]-mean[j])
		}
		shift.MulVec(move, d)
		shift.AddVec(shift, centre)
		shift.SubVec(shift, d)
		for i := range ln {
			ln[i][k] += mat.Dot(slope[i], shift)
		}
	}
	return ln
}

// meanAndCovariance are the weighted mean and covariance of what would be read.
func meanAndCovariance(mu [][]float64, w []float64, m int) ([]float64, *mat.SymDense) {
	mean, v, d := make([]float64, m), mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
	for k, row := range mu {
		for j := range row {
			mean[j] += w[k] * row[j]
		}
	}
	for k, row := range mu {
		if row == nil || w[k] == 0 {
			continue
		}
		for j := range row {
			d.SetVec(j, row[j]-mean[j])
		}
		v.SymRankOne(v, w[k], d)
	}
	for j := range m { // what is read twice the same way must not be singular
		v.SetSym(j, j, v.At(j, j)*(1+1e-6)+1e-9)
	}
	return mean, v
}

// regression is the slope of a target on what would be read.
func regression(ln []float64, mu [][]float64, w, mean []float64, inv *mat.SymDense) *mat.VecDense {
	m := len(mean)
	c, b := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	centre := 0.0
	for k := range w {
		centre += w[k] * ln[k]
	}
	for k, row := range mu {
		if row == nil || w[k] == 0 {
			continue
		}
		for j := range row {
			c.SetVec(j, c.AtVec(j)+w[k]*(ln[k]-centre)*(row[j]-mean[j]))
		}
	}
	b.MulVec(inv, c)
	return b
}

func invertInto(dst *mat.SymDense, a mat.Symmetric) bool {
	var chol mat.Cholesky
	return chol.Factorize(a) && usableInverse(chol.InverseTo(dst))
}

// usableInverse accepts an inverse that is only ill-conditioned.
func usableInverse(err error) bool {
	var c mat.Condition
	return err == nil || errors.As(err, &c)
}

// mover is a linear map that takes draws of covariance v to covariance to.
func mover(v, to mat.Symmetric) (*mat.Dense, bool) {
	var cv, ct mat.Cholesky
	if !cv.Factorize(v) || !ct.Factorize(to) {
		return nil, false
	}
	var lv, lt mat.TriDense
	cv.LTo(&lv)
	ct.LTo(&lt)
	var inv, move mat.Dense
	if !usableInverse(inv.Inverse(&lv)) {
		return nil, false
	}
	move.Mul(&lt, &inv)
	return &move, true
}
