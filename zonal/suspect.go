package zonal

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Slip is what may have happened to a reading that does not fit.
type Slip int

// The slips that are looked for.
const (
	NoSlip      Slip = iota // nothing that is usual explains it
	SignSlip                // the hoses were the other way round
	TapSlip                 // read to outside instead of the house, or the reverse
	TenTimes                // one decimal place too many
	TenthOf                 // one decimal place too few
	InchesSlip              // inches of water written as pascals
	LitresSlip              // litres a second written as cubic feet a minute
	FeetSlip                // cubic feet a minute written as litres a second
	OpeningSlip             // the openings of the whole hold are not as stated
)

// How much a slip of units makes of a number.
var (
	inchWater     = units.InchWater.ToSI(1)                          // in pascals
	litresPerFeet = units.CFM.ToSI(1) / units.LitrePerSecond.ToSI(1) // of litres a second
)

// Check sets one reading against what all the others say of it.
type Check struct {
	Reading int // index into Estimate.Readings
	// Expected is the 90 % interval of what the reading should have shown, its own
	// error included, from all the others.
	Expected Amount
	// Off is (read − expected) in standard deviations of the two together.
	Off float64
	// Checkable is false when the others say too little of it to find a slip.
	Checkable bool
	// Carries are the leaks, indices into Model.Paths, whose sizes would be known half as
	// well without a reading that is not Checkable.
	Carries []int
}

// Suspicion is the judgement of a whole sheet.
type Suspicion struct {
	Misfit   float64 // sum of squared residuals at the mode, priors included
	Limit    float64 // its 99 % point over simulated good sheets of this shape
	Suspect  bool
	Checks   []Check // one a reading, in the order of Estimate.Readings
	Reading  int     // the one to blame, −1 when none can be named
	Hold     int     // the hold to blame when it is not one reading, −1
	Slip     Slip
	Missing  *Boundary // what would explain all readings in place of a slip, nil when nothing would
	Without  *Estimate // the answer without what is to blame
	Explains float64   // misfit left without it, or with the boundary that is missing
}

const (
	// A reading further off than offLimit999 lies outside its 99.9 % prediction.
	offLimit999 = 3.2905
	// checkableSD is how well the others must know a reading, in its own standard
	// deviations, to find a slip in it.
	checkableSD = 6.0
	// clearer is how much smaller a misfit must be than the runner-up's to name a
	// reading: a likelihood ratio of e².
	clearer = 4.0
	// removed is the factor that takes a reading's weight away.
	removed = 1e6
)

// judge holds the readings of a posterior against each other.
type judge struct {
	post    *Posterior
	problem *problem
}

// Suspect judges whether the sheet holds together, and if not which reading is
// to blame.
func (post *Posterior) Suspect(o Options) (*Suspicion, error) {
	if err := post.checkMode(); err != nil {
		return nil, err
	}
	if post.judged != nil {
		return post.judged, nil
	}
	p, j := post.problem, &judge{post, post.problem}
	s := &Suspicion{Misfit: post.scores.SumSquares, Reading: -1, Hold: -1}
	fits := j.leaveOut(p.eachTerm())
	s.Limit = j.misfitLimit()
	s.Suspect = s.Misfit > s.Limit
	for i := range p.terms {
		c := j.check(i, fits[i])
		if !s.Suspect {
			c = j.confirm(c, fits[i])
			s.Suspect = math.Abs(c.Off) > offLimit999
		}
		s.Checks = append(s.Checks, c)
	}
	j.carries(s.Checks)
	var err error
	if s.Suspect {
		s.blame(j, fits)
		err = s.explained(j, o)
	}
	s.inOrder(p.readings)
	return s, err
}

// inOrder goes over from the terms of a problem to the readings of its model, which are
// those terms.
func (s *Suspicion) inOrder(readings []int) {
	checks := s.Checks
	s.Checks = make([]Check, len(checks))
	for k, i := range readings {
		s.Checks[k] = checks[i]
		s.Checks[k].Reading = k
	}
	if s.Reading >= 0 {
		s.Reading = slices.Index(readings, s.Reading)
	}
}

// eachTerm lists every reading by itself.
func (p *problem) eachTerm() [][]int {
	var sets [][]int
	for i := range p.terms {
		sets = append(sets, []int{i})
	}
	return sets
}

// expected is the interval in which the others put the reading: residual is
// (read − predicted)/sd and total the sd of a new reading, both in its own sd.
func (t *term) expected(residual, total float64) Amount {
	reach := fit.Z90 * total * t.sd
	if !t.isFlow() {
		v := t.read - residual*t.sd
		return Amount{Estimate: units.Estimate[float64]{Value: v, Low: v - reach, High: v + reach}}
	}
	v := t.read * math.Exp(math.Min(-residual*t.sd, 20))
	f := math.Exp(math.Min(reach, 20))
	return Amount{Flow: true, Estimate: units.Estimate[float64]{Value: v, Low: v / f, High: v * f}}
}

// flat is the number of unknowns without a prior.
func (p *problem) flat() int {
	n := 0
	for _, u := range p.unknowns {
		if u.sd == 0 {
			n++
		}
	}
	return n
}

// screenLevel is the quantile of linearMisfit below which no simulation is needed.
const screenLevel = 0.95

// misfitLimit is the 99 % point of the misfit of good sheets of this shape. It
// is simulated only for a sheet that may exceed it.
func (j *judge) misfitLimit() float64 {
	linear := j.problem.linearMisfit(0.99, 0)
	if j.post.scores.SumSquares < j.problem.linearMisfit(screenLevel, 0) || j.problem.heavy() {
		return linear // of many readings the misfit is near enough to that of straight lines
	}
	return j.simulateMisfit(linear)
}

const (
	// simulatedSheets is how many good sheets the 99 % point is taken from.
	simulatedSheets = 300
	// fewSheets are enough where the misfit is above all of theirs by farAbove: no
	// more of them would bring the 99 % point near it.
	fewSheets = 60
	farAbove  = 2.0
)

// simulateMisfit draws good sheets from houses of the posterior and fits each.
func (j *judge) simulateMisfit(fallback float64) float64 {
	rows, weights := j.post.rows()
	rows, _ = thin(rows, weights, simulatedSheets)
	misfits := make([]float64, len(rows))
	few := min(fewSheets, len(rows))
	j.post.workers.each(few, func(k int) { misfits[k] = j.refit(rows[k], k) })
	if first := finiteOf(misfits[:few]); len(first) > few/2 && j.post.scores.SumSquares > farAbove*slices.Max(first) {
		return slices.Max(first)
	}
	j.post.workers.each(len(rows)-few, func(k int) { misfits[few+k] = j.refit(rows[few+k], few+k) })
	misfits = finiteOf(misfits)
	if len(misfits) < simulatedSheets/4 {
		return fallback
	}
	slices.Sort(misfits)
	return fit.Quantile(misfits, 0.99)
}

// finiteOf leaves out what could not be computed.
func finiteOf(values []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(values), func(v float64) bool { return !units.Finite(v) })
}

// refit is the misfit of one good sheet: readings with their errors, and prior
// means a prior's error away, of the house x.
func (j *judge) refit(x []float64, k int) float64 {
	p := *j.problem
	p.terms = slices.Clone(p.terms)
	rng := fit.Random(j.post.seed, 1<<42+uint64(k))
	e := inScores(&p)
	u := p.toScores(x)
	res := make([]float64, e.Terms())
	if e.Evaluate(u, res, nil) != nil {
		return math.NaN()
	}
	shift := make([]float64, len(u))
	for i, v := range p.unknowns {
		if v.sd > 0 {
			shift[i] = u[i] - rng.NormFloat64()
		}
	}
	for i := range p.terms {
		t := &p.terms[i]
		z := rng.NormFloat64()
		if !t.isFlow() {
			t.read += (z - res[i]) * t.sd
		} else {
			t.read *= math.Exp((z - res[i]) * t.sd)
		}
	}
	got, err := fit.Mode(&shifted{e, shift}, u, nil, fit.ModeOptions{MaxIterations: 60})
	if err != nil || got.Status.Early() {
		return math.NaN()
	}
	return got.SumSquares
}

// shifted is a problem whose prior means have been moved.
type shifted struct {
	*objective
	by []float64
}

// Evaluate is that of scored with the prior residuals moved.
func (s *shifted) Evaluate(u, residuals []float64, jacobian *mat.Dense) error {
	if err := s.objective.Evaluate(u, residuals, jacobian); err != nil {
		return err
	}
	k := len(s.problem.terms)
	for i, v := range s.problem.unknowns {
		if v.sd > 0 {
			residuals[k] -= s.by[i]
			k++
		}
	}
	return nil
}

// blame names the one reading, or else the one hold, whose removal cures the
// sheet better than any other.
func (s *Suspicion) blame(j *judge, fits []leftOut) {
	p := j.problem
	if i, left, ok := s.best(fits, p.eachTerm(), p); ok {
		s.Reading, s.Explains = i, left
		s.Slip = p.slip(i, s.Checks[i])
		return
	}
	var sets [][]int
	for h := range p.holds {
		sets = append(sets, p.holds[h].terms)
	}
	if len(sets) < 2 {
		return
	}
	if h, left, ok := s.best(j.leaveOut(sets), sets, p); ok {
		s.Hold, s.Explains, s.Slip = h, left, OpeningSlip
	}
}

// best is the set whose removal leaves the least misfit, if that cures the sheet
// and no other does nearly as well.
func (s *Suspicion) best(fits []leftOut, sets [][]int, p *problem) (k int, left float64, ok bool) {
	k, second := -1, math.Inf(1)
	left = math.Inf(1)
	for i, f := range fits {
		switch {
		case !f.ok:
		case f.sumSquares < left:
			k, left, second = i, f.sumSquares, left
		default:
			second = math.Min(second, f.sumSquares)
		}
	}
	if k < 0 {
		return -1, 0, false
	}
	return k, left, left < p.linearMisfit(screenLevel, len(sets[k])) && second-left > clearer
}

// slip finds the usual mistake that would bring reading i to where the others
// put it.
func (p *problem) slip(i int, c Check) Slip {
	t := &p.terms[i]
	sd := pressure.SD(c.Expected.Estimate)
	best, least := NoSlip, 2.0
	for slip, v := range p.slips(t) {
		if off := math.Abs(v-c.Expected.Value) / sd; off < least {
			best, least = slip, off
		}
	}
	return best
}

// slips are the values a reading would have shown without each usual mistake.
func (p *problem) slips(t *term) map[Slip]float64 {
	v := t.read
	if t.isFlow() {
		return map[Slip]float64{TenTimes: v / 10, TenthOf: v * 10, LitresSlip: v / litresPerFeet, FeetSlip: v * litresPerFeet}
	}
	s := map[Slip]float64{SignSlip: -v, TenTimes: v / 10, TenthOf: v * 10, InchesSlip: v * inchWater}
	house := float64(p.model.Holds[t.hold].House)
	switch {
	case t.kind == houseTerm, p.holds[t.hold].rest:
	case t.to == int(House):
		s[TapSlip] = v - house
	case t.to == int(Outside):
		s[TapSlip] = v + house
	}
	return s
}

// explained looks for what else explains the sheet, a boundary that it lacks, and
// estimates the house with that, or without the reading or hold that is to blame.
func (s *Suspicion) explained(j *judge, o Options) error {
	missing, err := j.missing(s, o)
	if err != nil {
		return err
	}
	if missing == nil {
		return s.without(j.post, o)
	}
	s.Missing, s.Explains = missing, missing.Misfit
	s.Reading, s.Hold, s.Slip = -1, -1, NoSlip
	return nil
}

// without estimates the house again, leaving out what is to blame.
func (s *Suspicion) without(post *Posterior, o Options) error {
	var terms []int
	switch {
	case s.Reading >= 0:
		terms = []int{s.Reading}
	case s.Hold >= 0:
		terms = post.problem.holds[s.Hold].terms
	default:
		return nil
	}
	again := &Posterior{problem: post.problem.inflated(removed, terms), workers: post.workers, seed: post.seed}
	if err := again.infer(o); err != nil {
		return err
	}
	e, err := again.Estimate()
	s.Without = e
	return err
}
