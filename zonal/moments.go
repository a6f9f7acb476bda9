package zonal

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"holdbook/internal/fit"
	"holdbook/units"
)

// Moments are the means and the covariance of what the readings say of a house, in numbers
// that are near to normal: for each path of the model the logarithm of its flow at 50 Pa
// (m³/s) and its exponent, then the logarithm of the flow of the house as found at 50 Pa
// and its exponent, then for each zone the logarithm of the flow through it (m³/s), the
// logit of its connection fraction and that of its share of the flow of the house.
type Moments struct {
	Prior      []Normal // of the paths' numbers, before any reading; sd 0 where known
	Unbounded  []Normal // the same before exponents are kept between 0.5 and 1
	Mean       []float64
	Covariance [][]float64
	Draws      [][]float64 // of each number, some 400 equally likely; row i of all goes together
}

// keptDraws is how many draws Moments keeps.
const keptDraws = 400

// Moments takes them over the draws, or where there are none over the approximation from
// curvature. An error tells that the network could not be solved.
func (post *Posterior) Moments() (Moments, error) {
	if err := post.checkMode(); err != nil {
		return Moments{}, err
	}
	p := post.problem
	var list []quantity
	var out Moments
	for i, q := range p.model.Paths {
		list = append(list, p.pathFlow(i, Reference), p.pathExponentOf(i))
		size := Normal{math.Log(float64(q.Flow50.Median)), q.Flow50.SDLn}
		out.Prior = append(out.Prior, size, q.exponentKept())
		out.Unbounded = append(out.Unbounded, size, q.Exponent)
	}
	list = append(list, foundFlow(0), networkExponent)
	for z := int(Outside) + 1; z < len(p.model.Spaces); z++ {
		list = append(list, throughFlow(SpaceID(z)), connection(SpaceID(z)), flowShare(House, SpaceID(z)))
	}
	rows, weights := post.rows()
	values := post.values(list, rows)
	for k, q := range list {
		for i, v := range values[k] {
			values[k][i] = q.scale.to(v)
		}
	}
	weights = ofNumbers(values, weights)
	out.Mean, out.Covariance = moments(values, weights)
	if len(out.Mean) > 0 && !units.Finite(out.Mean[0]) {
		return Moments{}, errNoBalance
	}
	even := fit.Evenly(weights, keptDraws)
	for _, column := range values {
		few := make([]float64, len(even))
		for i, k := range even {
			few[i] = column[k]
		}
		out.Draws = append(out.Draws, few)
	}
	return out, nil
}

// ofNumbers are the weights without those of the columns in which a value is no number.
func ofNumbers(values [][]float64, weights []float64) []float64 {
	w := slices.Clone(weights)
	for i := range w {
		for k := range values {
			if !units.Finite(values[k][i]) {
				w[i] = 0
			}
		}
	}
	return w
}

// moments are the weighted means and the covariance of rows of values.
func moments(values [][]float64, w []float64) (mean []float64, cov [][]float64) {
	total := floats.Sum(w)
	mean, cov = make([]float64, len(values)), make([][]float64, len(values))
	over := func(f func(i int) float64) float64 {
		sum := 0.0
		for i := range w {
			if w[i] > 0 {
				sum += w[i] * f(i)
			}
		}
		return sum / total
	}
	for k := range values {
		mean[k] = over(func(i int) float64 { return values[k][i] })
	}
	for k := range values {
		cov[k] = make([]float64, len(values))
		for j := range k + 1 {
			cov[k][j] = over(func(i int) float64 { return (values[k][i] - mean[k]) * (values[j][i] - mean[j]) })
			cov[j][k] = cov[k][j]
		}
	}
	return mean, cov
}

// exponentKept is the mean and the standard deviation of the exponent of a path, kept
// between an orifice and laminar flow.
func (p *Path) exponentKept() Normal {
	t, err := fit.NewTruncatedNormal(p.Exponent.Mean, p.Exponent.SD, minExponent, maxExponent)
	if err != nil {
		return Normal{Mean: p.Exponent.Mean}
	}
	const points = 200 // equally likely
	sum, square := 0.0, 0.0
	for i := range points {
		v, _, _ := t.At(fit.NormalQuantile((float64(i) + 0.5) / points))
		sum, square = sum+v, square+v*v
	}
	mean := sum / points
	return Normal{mean, math.Sqrt(max(0, square/points-mean*mean))}
}
