package zonal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/units"
)

// Candidate is something that could be read next: holds that have not been made.
// What their readings would show is predicted; only their spaces and standard
// deviations count. Openings and Paths that the model does not have yet follow
// the model's own in the numbering.
type Candidate struct {
	Holds    []Hold
	Openings []Opening
	Paths    []Path
	// Trimmed says that the further fan of each hold is trimmed until the zone it
	// serves reads no pressure to the house, or blows all it can.
	Trimmed bool
	// StackSD is how well the stack of the house (Pa/m) is then known, from temperatures
	// that were not written down; 0 leaves it as it is.
	StackSD float64
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
	// Present is each as it is known now.
	Present []units.Estimate[units.Flow]
	// Gain is the share of the width that goes, the larger flows counting more.
	Gain float64
	// FirstNow and FirstThen are the chances that the sealing target which looks
	// best is the best: as it is, and on average after the reading.
	FirstNow, FirstThen float64
}

// Worth is what actions are ranked by: the doubt that goes, and what is added to
// the chance of sealing the right thing first.
func (p Preview) Worth() float64 { return p.Gain + math.Max(0, p.FirstThen-p.FirstNow) }

// Prior is what is assumed of a model without any hold, as draws from its
// priors: enough for Preview to plan a visit.
func Prior(m *Model, draws int) (*Posterior, error) {
	p, err := compile(m)
	if err != nil {
		return nil, err
	}
	if len(m.Holds) > 0 {
		return nil, errors.New("the model has holds: infer its posterior instead")
	}
	if draws < 1 {
		return nil, fmt.Errorf("a prior needs at least one draw, not %d", draws)
	}
	post := &Posterior{problem: p, workers: workersOf(0), seed: p.order.seed()}
	normal := newNormals(post.seed)
	for range draws {
		x := make([]float64, len(p.unknowns))
		for i := range x {
			x[i], _ = p.fromScore(i, normal())
		}
		post.draws, post.weights = append(post.draws, x), append(post.weights, 1/float64(draws))
	}
	return post, nil
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
	n := &planner{post, q}
	if err := n.check(); err != nil {
		return nil, err
	}
	all, allWeights := post.rows()
	rows, weights := thin(all, allWeights, previewRows)
	shown, err := n.shownBy(list, rows)
	if err != nil {
		return nil, err
	}
	t := n.targets(rows, weights)
	now := t.now
	if len(rows) < len(all) {
		now = n.targets(all, allWeights).now
	}
	out := make([]Preview, len(list))
	post.workers.each(len(list), func(i int) { out[i] = t.after(shown[i], post.seed).from(now) })
	return out, nil
}

// planner predicts what candidates settle of a question.
type planner struct {
	post     *Posterior
	question Question
}

// from takes the present from all draws, and from few only what share of its
// doubt a reading leaves: so the present is the very one that other answers from
// the same posterior give.
func (p Preview) from(now Preview) Preview {
	for i, width := range p.Now {
		if width > 0 {
			p.Then[i] *= now.Now[i] / width
		}
	}
	if doubt := 1 - p.FirstNow; doubt > 0 {
		p.FirstThen = 1 - (1-p.FirstThen)*(1-now.FirstNow)/doubt
	}
	p.FirstThen = max(p.FirstThen, now.FirstNow) // on average no reading lowers the largest of several chances
	p.Now, p.Present, p.FirstNow = now.Now, now.Present, now.FirstNow
	return p
}

// With is the posterior of a model m that is the posterior's own with unknowns
// added that no hold of it touches, such as the calibrations of fans still to be
// used: the same draws, with what is new drawn from its prior.
func (post *Posterior) With(m *Model) (*Posterior, error) {
	if err := post.check(); err != nil {
		return nil, err
	}
	p, err := compile(m)
	if err != nil {
		return nil, err
	}
	rows, weights := post.rows()
	out := &Posterior{problem: p, workers: post.workers, seed: post.seed, weights: weights}
	from, normal := p.places(post.problem), newNormals(post.seed)
	for _, row := range rows {
		x := make([]float64, len(p.unknowns))
		p.carryOver(x, row, from, normal)
		out.draws = append(out.draws, x)
	}
	return out, nil
}

// carryOver makes x the vector of p that a row of another problem gives: what is not
// among its places is drawn from the prior.
func (p *problem) carryOver(x, row []float64, from []int, normal func() float64) {
	for i, j := range from {
		z := normal() // whatever is new: each unknown so has a number of its own
		if j >= 0 {
			x[i] = row[j]
		} else {
			x[i], _ = p.fromScore(i, z)
		}
	}
}

// questionTable is the targets at every row, as logarithms.
type questionTable struct {
	ln        [][]float64 // a row a target
	weights   []float64
	falls     int // targets from here on are falls of sealing targets
	now       Preview
	flowShare []float64 // weight of each target: its share of the flow

	outcomes []int // rows that outcomes are simulated from
}

func (n *planner) targets(rows [][]float64, weights []float64) *questionTable {
	t := &questionTable{ln: n.post.values(n.asked(), rows), weights: weights, falls: len(n.question.Through)}
	total, most := 0.0, 0
	for k := range t.ln {
		for i, v := range t.ln[k] {
			t.ln[k][i] = lnAtLeast(v)
		}
		v := fit.WeightedIntervalOf(t.ln[k], weights)
		t.now.Now = append(t.now.Now, v.High-v.Low)
		t.now.Present = append(t.now.Present, units.Estimate[units.Flow]{
			Value: units.Flow(math.Exp(v.Median)), Low: units.Flow(math.Exp(v.Low)), High: units.Flow(math.Exp(v.High))})
		t.flowShare = append(t.flowShare, math.Exp(v.Median))
		total += math.Exp(v.Median)
		if t.flowShare[k] > t.flowShare[most] {
			most = k
		}
	}
	for k := range t.flowShare {
		t.flowShare[k] /= total
	}
	t.now.FirstNow = t.first(t.ln, weights)
	t.outcomes = t.stratified(most)
	return t
}

// asked are the flows that a question is about: through-flows, then falls.
func (n *planner) asked() []quantity {
	var list []quantity
	for _, z := range n.question.Through {
		list = append(list, throughFlow(z))
	}
	plan := &SealPlan{post: n.post}
	for _, s := range n.question.Seal {
		list = append(list, plan.drop(nil, s.Paths))
	}
	return list
}

// lnAtLeast is the logarithm of a flow, which may vanish or not be found.
func lnAtLeast(v float64) float64 {
	const least = 1e-9 // m³/s
	if !(v > least) {
		v = least
	}
	return math.Log(v)
}

// stratified chooses the draws that outcomes are simulated from: at equal steps of
// the weight along target k, so that few of them stand for all.
func (t *questionTable) stratified(k int) []int {
	order := make([]int, len(t.weights))
	for i := range order {
		order[i] = i
	}
	if len(t.ln) > 0 {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.ln[k][a], t.ln[k][b]) })
	}
	var out []int
	sum, next := 0.0, 0.5/previewOutcomes
	for _, i := range order {
		for sum += t.weights[i]; sum > next && len(out) < previewOutcomes; next += 1.0 / previewOutcomes {
			out = append(out, i)
		}
	}
	return out
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
