package zonal

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
)

// Candidate is something that could be read next: a hold that has not been made.
// What its readings would show is predicted; only their spaces and standard
// deviations count. Openings and Paths that the model does not have yet follow
// the model's own in the numbering.
type Candidate struct {
	Hold     Hold
	Openings []Opening
	Paths    []Path
}

// Question is what the readings are to settle: through-flows of zones, and which
// of several sealing targets comes first.
type Question struct {
	Through []SpaceID
	Seal    []SealTarget
}

// Preview is what a candidate is expected to do to the answer.
type Preview struct {
	// Now and Then are the widths of the 90 % intervals, high over low as a
	// logarithm, of each through-flow and then of each sealing target's fall: as
	// they are, and on average after the reading.
	Now, Then []float64
	// Gain is the share of the width that goes, the larger flows counting more.
	Gain float64
	// FirstNow and FirstThen are the chances that the sealing target which looks
	// best is the best: as it is, and on average after the reading.
	FirstNow, FirstThen float64
}

// Prior is what is assumed of a model without any hold, as draws from its
// priors: enough for Preview to plan a visit.
func Prior(m *Model, draws int) (*Posterior, error) {
	if len(m.Holds) > 0 {
		return nil, errors.New("the model has holds: infer its posterior instead")
	}
	p, err := compile(m)
	if err != nil {
		return nil, err
	}
	post := &Posterior{problem: p, workers: runtime.GOMAXPROCS(0), seed: p.seed()}
	normal := newNormals(post.seed)
	for range draws {
		x := make([]float64, len(p.unknowns))
		p.fromPrior(x, normal)
		post.draws, post.weights = append(post.draws, x), append(post.weights, 1/float64(draws))
	}
	return post, nil
}

// fromPrior draws every unknown of x that is NaN or new.
func (p *problem) fromPrior(x []float64, normal func() float64) {
	for i, u := range p.unknowns {
		switch {
		case u.kind == pathExponent:
			x[i], _, _ = p.scores[i].At(normal())
		case u.sd > 0:
			x[i] = u.mean + u.sd*normal()
		default:
			x[i] = u.mean + u.scale*normal()
		}
	}
}

const (
	previewRows     = 600 // draws that a preview works on
	previewOutcomes = 32  // simulated outcomes it averages over
	leastTempered   = 80  // effective draws left of those for one outcome
)

// Preview predicts, for each candidate, the posterior after it from the present
// one (preposterior analysis): outcomes are simulated from draws of the posterior,
// and for each the draws are weighted by its likelihood. Where that would leave
// too few draws the likelihood is tempered, and the draws are moved the rest of
// the way along a local linear regression on what would have been read.
func (post *Posterior) Preview(list []Candidate, q Question) ([]Preview, error) {
	rows, weights := post.rows()
	rows, weights = thin(rows, weights, previewRows)
	t := post.targets(q, rows, weights)
	out := make([]Preview, len(list))
	for i, c := range list {
		p, err := post.extended(c)
		if err != nil {
			return nil, fmt.Errorf("candidate %d: %w", i+1, err)
		}
		s := post.shown(p, rows, uint64(i))
		out[i] = t.after(s, rand.New(rand.NewPCG(post.seed, 1<<43+uint64(i))))
	}
	return out, nil
}

// questionTable is the targets at every row, as logarithms.
type questionTable struct {
	ln      [][]float64 // a row a target
	weights []float64
	falls   int // targets from here on are falls of sealing targets
	now     Preview
	share   []float64 // weight of each target: its share of the flow
}

func (post *Posterior) targets(q Question, rows [][]float64, weights []float64) *questionTable {
	var list []quantity
	for _, z := range q.Through {
		list = append(list, throughFlow(z))
	}
	plan := &SealPlan{post: post}
	for _, s := range q.Seal {
		list = append(list, plan.drop(nil, s.Paths))
	}
	t := &questionTable{ln: post.values(list, rows), weights: weights, falls: len(q.Through)}
	total := 0.0
	for k := range t.ln {
		for i, v := range t.ln[k] {
			t.ln[k][i] = math.Log(math.Max(v, 1e-9))
			if math.IsNaN(v) {
				t.ln[k][i] = math.Log(1e-9)
			}
		}
		v := fit.WeightedIntervalOf(t.ln[k], weights)
		t.now.Now = append(t.now.Now, v.High-v.Low)
		t.share = append(t.share, math.Exp(v.Median))
		total += math.Exp(v.Median)
	}
	for k := range t.share {
		t.share[k] /= total
	}
	t.now.FirstNow = t.first(t.ln, weights)
	return t
}

// first is the largest chance that any one sealing target is the best.
func (t *questionTable) first(ln [][]float64, weights []float64) float64 {
	n := len(ln) - t.falls
	if n == 0 {
		return 1
	}
	chance := make([]float64, n)
	for i, w := range weights {
		best := 0
		for k := 1; k < n; k++ {
			if ln[t.falls+k][i] > ln[t.falls+best][i] {
				best = k
			}
		}
		chance[best] += w
	}
	most := 0.0
	for _, c := range chance {
		most = math.Max(most, c)
	}
	return most
}

// extended is the problem with the candidate's hold added.
func (post *Posterior) extended(c Candidate) (*problem, error) {
	m := *post.problem.model
	m.Openings = append(append([]Opening(nil), m.Openings...), c.Openings...)
	m.Paths = append(append([]Path(nil), m.Paths...), c.Paths...)
	m.Holds = append(append([]Hold(nil), m.Holds...), c.Hold)
	return compile(&m)
}

// shownTable is what the readings of a candidate would show at every row, on
// the scale on which their errors are normal, with those errors' sd.
type shownTable struct {
	mu [][]float64 // a row a draw; nil where the house could not be solved
	sd []float64
}

// shown predicts the readings of the last hold of p at every row of post's
// problem; what the hold brings that is new is drawn from its prior.
func (post *Posterior) shown(p *problem, rows [][]float64, stream uint64) *shownTable {
	h := len(p.holds) - 1
	e := newEvaluator(p)
	s := &shownTable{mu: make([][]float64, len(rows))}
	terms := p.holds[h].terms
	for _, i := range terms {
		s.sd = append(s.sd, p.terms[i].sd)
	}
	from := p.places(post.problem)
	normal := newNormals(post.seed + stream + 1)
	x := make([]float64, len(p.unknowns))
	for k, row := range rows {
		p.fromPrior(x, normal)
		for i, j := range from {
			if j >= 0 {
				x[i] = row[j]
			}
		}
		if !e.solve(h, x) {
			continue
		}
		for _, i := range terms {
			s.mu[k] = append(s.mu[k], e.shows(&p.terms[i], x))
		}
	}
	return s
}

// places tells for each unknown of p where the other problem has it, or −1.
func (p *problem) places(other *problem) []int {
	type key struct {
		kind       unknownKind
		index, sub int
	}
	at := map[key]int{}
	for j, v := range other.unknowns {
		at[key{v.kind, v.index, v.sub}] = j
	}
	from := make([]int, len(p.unknowns))
	for i, u := range p.unknowns {
		if j, ok := at[key{u.kind, u.index, u.sub}]; ok {
			from[i] = j
		} else {
			from[i] = -1
		}
	}
	return from
}

// shows is what a term would read without its own error: Pa, or the logarithm of
// a flow on the instrument.
func (e *evaluator) shows(t *term, x []float64) float64 {
	switch t.kind {
	case houseTerm:
		return x[e.holds[t.hold].house]
	case pressureTerm:
		p := e.nets[t.hold].p
		return p[t.of] - p[t.to]
	}
	v := math.Log(math.Max(e.flowOf(t, x), 1e-9))
	for _, c := range t.cal {
		v += x[c]
	}
	return v
}

// after averages the answer over simulated outcomes.
func (t *questionTable) after(s *shownTable, rng *rand.Rand) Preview {
	out := Preview{Now: t.now.Now, Then: make([]float64, len(t.ln)), FirstNow: t.now.FirstNow}
	done := 0.0
	for range previewOutcomes {
		k := pick(t.weights, rng.Float64())
		if s.mu[k] == nil {
			continue
		}
		y := make([]float64, len(s.sd))
		for j, sd := range s.sd {
			y[j] = s.mu[k][j] + sd*rng.NormFloat64()
		}
		ln, w := t.given(s, y)
		for i := range ln {
			v := fit.WeightedIntervalOf(ln[i], w)
			out.Then[i] += v.High - v.Low
		}
		out.FirstThen += t.first(ln, w)
		done++
	}
	for i := range out.Then {
		out.Then[i] /= math.Max(done, 1)
		if done == 0 {
			out.Then[i] = out.Now[i]
		}
		if out.Now[i] > 0 {
			out.Gain += t.share[i] * (1 - out.Then[i]/out.Now[i])
		}
	}
	out.FirstThen /= math.Max(done, 1)
	return out
}

// pick is the index at which the cumulative weight passes u.
func pick(weights []float64, u float64) int {
	sum := 0.0
	for i, w := range weights {
		if sum += w; sum > u {
			return i
		}
	}
	return len(weights) - 1
}

// given is the targets as they would be known after the outcome y.
func (t *questionTable) given(s *shownTable, y []float64) (ln [][]float64, w []float64) {
	w, tau := t.temper(s, y)
	ln = t.ln
	if tau < 1 {
		ln = t.adjust(s, y, w, tau)
	}
	return ln, w
}

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
	for range 25 {
		tau = (low + high) / 2
		if w, n = t.weigh(lik, tau); n >= leastTempered {
			low = tau
		} else {
			high = tau
		}
	}
	w, _ = t.weigh(lik, low)
	return w, low
}

// weigh is the normalised weights at a power tau, and their effective number.
func (t *questionTable) weigh(lik []float64, tau float64) ([]float64, float64) {
	top := math.Inf(-1)
	for _, l := range lik {
		top = math.Max(top, l)
	}
	w, sum, squares := make([]float64, len(lik)), 0.0, 0.0
	for k, l := range lik {
		if !math.IsInf(l, -1) {
			w[k] = t.weights[k] * math.Exp(tau*(l-top))
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
	mean, v := moments(s.mu, w, m)
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

// moments are the weighted mean and covariance of what would be read.
func moments(mu [][]float64, w []float64, m int) ([]float64, *mat.SymDense) {
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
