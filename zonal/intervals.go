package zonal

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"

	"holdbook/internal/fit"
)

// The rule that decides, quantity by quantity, whether curvature serves. With
// σ the quantity's curvature sd on its own scale, it goes to the two points of
// the posterior 1.645σ either side of the mode in the quantity's own direction.
// Curvature serves when, at both, the quantity is where a straight line puts it
// and the log density where a parabola puts it, and when the quantity bends so
// little along all directions together that its mean stays at the mode. The last
// word have the draws: the ends and the median from curvature must lie where they
// put them, within what their number can tell. What fails any of these is taken
// from the draws.
const (
	endLimit     = 0.08 // of 1.645σ: how far an end may be off
	densityLimit = 0.10 // of the parabola's fall
	biasLimit    = 0.08 // of σ: shift of the mean
	agreeLimit   = 0.06 // of the interval's width: two standard errors of 400 draws
)

// agree tells whether curvature puts an interval where the draws do.
func (q quantity) agree(curve, drawn interval) bool {
	limit := agreeLimit * (q.scale.to(drawn.High) - q.scale.to(drawn.Low))
	near := func(a, b float64) bool { return math.Abs(q.scale.to(a)-q.scale.to(b)) <= limit }
	return near(curve.Low, drawn.Low) && near(curve.Median, drawn.Median) && near(curve.High, drawn.High)
}

// sample takes independent weighted draws from the posterior. Where the weights lie on
// few of them, those are kept, and the status says so.
func (post *Posterior) sample(o Options) {
	p := post.problem
	target := float64(o.Draws)
	if target <= 0 {
		target = enoughDraws
	}
	settle := p.flows()
	if o.rough {
		settle = nil
	}
	got, err := fit.Randomise(func() fit.Problem {
		return inScores(p).forDraws(post.scores.X)
	}, post.scores.X, fit.RandomiseOptions{Seed: post.seed, TargetESS: target, MaxDraws: o.MostDraws, Workers: int(post.workers), Relevance: p.relevance(), Watched: settle,
		WeightedWork: cmp.Or(o.weighted, weightedWork), MostWork: cmp.Or(o.most, samplingWork)})
	if post.sampler = fit.TooFewEffective; err != nil {
		return
	}
	post.keep(got, int(rowsEach*target))
	if post.sampler == fit.TooFewEffective && post.ess > enoughEffective {
		post.sampler = fit.Sampled
	}
}

// enoughDraws effective ones put the end of an interval within 3 % of its width (one
// standard error), and mostly nearer, since they are spread evenly.
const enoughDraws = 400

// weightedWork is how many multiplications, roughly, weighted draws may take: a second or
// two. A house of five zones read in five holds needs half as many. samplingWork is what any
// draws may take, about a minute; a house beyond that, of some thirty zones and more, gets
// the answer from curvature. Both are counted, not timed, so that every machine gives one
// answer.
const (
	weightedWork = 4e8
	samplingWork = 3e10
)

// flows are the unknowns that are logarithms of flows.
func (p *problem) flows() []int {
	var list []int
	for i, u := range p.unknowns {
		if u.kind == pathSize || u.kind == openingSize {
			list = append(list, i)
		}
	}
	return list
}

// relevance is how far each score moves the logarithm of a flow.
func (p *problem) relevance() []float64 {
	m := make([]float64, len(p.unknowns))
	for i, u := range p.unknowns {
		m[i] = u.scale
		if u.kind == housePressure {
			m[i] /= math.Abs(u.mean)
		}
	}
	return m
}

// enoughEffective draws put the ends of a 90 % interval within about 5 % of its
// width (one standard error); with fewer the intervals are called unreliable.
const enoughEffective = 200

// rowsEach is how many draws are kept for each effective one that was asked for;
// more are thinned by their weights.
const rowsEach = 3

// keep takes weighted draws as parameter vectors, mostRows of them at most, and
// their residuals at the readings.
func (post *Posterior) keep(got fit.Draws, mostRows int) {
	post.sampler, post.ess, post.made, post.moves = got.Status, got.ESS, got.Made, got.Moves
	rows, weights := thinned(got.Weights, mostRows)
	post.draws, post.weights, post.residuals = make([][]float64, len(rows)), weights, make([][]float64, len(rows))
	stride := int(post.workers)
	post.workers.each(stride, func(w int) {
		s := inScores(post.problem)
		for i := w; i < len(rows); i += stride {
			u := got.X[rows[i]]
			post.draws[i] = make([]float64, len(u))
			s.toModel(u, post.draws[i])
			post.residuals[i] = got.Residuals[rows[i]][:len(post.problem.terms)]
		}
	})
}

// thinned are the rows of some draws that are worth keeping, most of them at most, with
// their weights: all, or of many with little weight some picked evenly, for
// everything after costs by the row.
func thinned(weights []float64, most int) (rows []int, kept []float64) {
	if len(weights) <= most {
		for k := range weights {
			rows = append(rows, k)
		}
		return rows, weights
	}
	picked := fit.Evenly(weights, most)
	for i, k := range picked {
		if i == 0 || picked[i-1] != k { // a heavy one is picked more than once
			rows, kept = append(rows, k), append(kept, 0)
		}
		kept[len(kept)-1] += 1 / float64(len(picked))
	}
	return rows, kept
}

// curvature propagates the covariance through the quantities, on the scale of
// each, and judges for each whether that serves.
type curvature struct {
	centre    []float64   // of each quantity, on its scale
	slope     [][]float64 // of each quantity along each column of the root
	laplacian []float64   // sum over the columns of its second derivatives
}

// stencilStep is the step, in posterior standard deviations, of the differences
// that propagate curvature.
const stencilStep = 0.5

// at is the parameter vector at the scores of the mode plus root·z.
func (post *Posterior) at(s *objective, z []float64) []float64 {
	u, x := slices.Clone(z), make([]float64, len(z))
	blas64.Trmv(blas.NoTrans, post.root.RawTriangular(), blas64.Vector{N: len(u), Inc: 1, Data: u})
	floats.Add(u, post.scores.X)
	s.toModel(u, x)
	return x
}

// stencil evaluates the quantities at the mode and a step either side of it
// along each column of the root.
func (post *Posterior) stencil(list []quantity) curvature {
	n := len(post.scores.X)
	s, z := inScores(post.problem), make([]float64, n)
	rows := [][]float64{post.at(s, z)}
	for j := range n {
		for _, step := range []float64{stencilStep, -stencilStep} {
			z[j] = step
			rows = append(rows, post.at(s, z))
		}
		z[j] = 0
	}
	values := post.values(list, rows)
	c := curvature{centre: make([]float64, len(list)), slope: make([][]float64, len(list)), laplacian: make([]float64, len(list))}
	for k, q := range list {
		v := values[k]
		c.centre[k], c.slope[k] = q.scale.to(v[0]), make([]float64, n)
		for j := range n {
			up, down := q.scale.to(v[1+2*j]), q.scale.to(v[2+2*j])
			c.slope[k][j] = (up - down) / (2 * stencilStep)
			c.laplacian[k] += (up + down - 2*c.centre[k]) / (stencilStep * stencilStep)
		}
	}
	return c
}

// sd is the curvature sd of quantity k on its scale.
func (c *curvature) sd(k int) float64 {
	sum := 0.0
	for _, a := range c.slope[k] {
		sum += a * a
	}
	return math.Sqrt(sum)
}

// interval is the curvature interval of quantity k.
func (c *curvature) interval(k int, q quantity) interval {
	sd := c.sd(k)
	n := fit.NormalInterval(c.centre[k], sd)
	return interval{fit.Interval{Low: q.scale.from(n.Low), Median: q.scale.from(n.Median), High: q.scale.from(n.High)}, sd}
}

// curvatureServes applies the rule to every quantity.
func (post *Posterior) curvatureServes(list []quantity, c curvature) []bool {
	s, n := inScores(post.problem), len(post.scores.X)
	reach := fit.Z90
	var rows [][]float64
	z := make([]float64, n)
	for k := range list {
		sd := c.sd(k)
		for _, side := range []float64{reach, -reach} {
			for j := range z {
				z[j] = 0
				if sd > 0 {
					z[j] = side * c.slope[k][j] / sd
				}
			}
			rows = append(rows, post.at(s, z))
		}
	}
	ends := make([]float64, len(rows))
	falls := make([]float64, len(rows))
	for i := range ends {
		ends[i], falls[i] = math.NaN(), math.NaN()
	}
	post.eachRow(rows, func(i int, p *probe, x []float64) {
		q := list[i/2]
		ends[i] = q.scale.to(q.value(p, x))
		falls[i] = p.misfit(x) - post.scores.SumSquares
	})
	ok := make([]bool, len(list))
	for k := range list {
		sd := c.sd(k)
		ok[k] = math.Abs(c.laplacian[k])/2 <= biasLimit*sd
		for side, sign := range []float64{1, -1} {
			end, fall := ends[2*k+side]-c.centre[k]-sign*reach*sd, falls[2*k+side]
			ok[k] = ok[k] && math.Abs(end) <= endLimit*reach*sd && math.Abs(fall-reach*reach) <= densityLimit*reach*reach
		}
	}
	return ok
}
