package fit

import (
	"math"
	"runtime"

	"gonum.org/v1/gonum/mat"
)

// RandomiseOptions tunes Randomise; zero fields take the defaults.
type RandomiseOptions struct {
	Seed             uint64  // the same seed gives the same draws
	TargetESS        float64 // effective sample size wanted; default 400
	Block            int     // most draws made between two looks at the weights; default 2·TargetESS
	MaxDraws         int     // default 15·TargetESS
	Workers          int     // goroutines; default GOMAXPROCS
	LeastESSFraction float64 // of the draws, below which it gives up after Block of them; default 0.02
	// Relevance is how much each unknown matters to what is asked, per unit; default
	// all alike. The directions that matter most are filled most evenly.
	Relevance []float64
	// Watched are unknowns whose 90 % intervals must have ends that are known, within
	// EndError of the width (one standard error, as of independent draws), before it
	// stops at the target; it gives that three times the draws the target needs at most.
	Watched  []int
	EndError float64 // default 0.025
	// WeightedWork is the most multiplications, roughly, that weighted draws may take,
	// where the problem is Graded; beyond, a few draws are led on by moves. 0: any.
	WeightedWork float64
	// MostWork is the most that draws may take at all; 0: any.
	MostWork float64
}

// Resetter is a Problem that starts each evaluation from what it found in the
// last one. Reset brings it to a state of its own, so that a draw does not
// depend on which draws were made before it.
type Resetter interface{ Reset() }

// PartlyLinear is a Problem some of whose residuals are linear in the unknowns,
// such as priors. Nonlinear lists the others: only their rows of the Jacobian change
// from point to point.
type PartlyLinear interface{ Nonlinear() []NonlinearResidual }

// NonlinearResidual is a residual that is not linear. Residuals that make a linear one
// together, such as two readings of one pressure against different references, have
// rows of the Jacobian that change in proportion, so that one row stands for all.
type NonlinearResidual struct {
	Index  int
	Base   int     // the residual, listed before, whose row stands for it; itself where there is none
	Factor float64 // by how much the changes of the row of Base are multiplied
}

// Lineariser is a Problem that can give rows of the Jacobian at the point it was last
// evaluated at without evaluating it again. It leaves the other rows as they are.
type Lineariser interface {
	Linearise(jacobian *mat.Dense, rows []int)
}

// Draws are weighted draws from a posterior.
type Draws struct {
	X         [][]float64 // one row a draw
	Residuals [][]float64 // of the problem at each draw
	Weights   []float64   // importance weights; their sum is one
	ESS       float64     // effective sample size, 1/Σ weight²
	Failed    int         // perturbations for which no solution was found
	Made      int         // draws made, those that Failed among them
	Moves     int         // gradients taken to lead draws on; 0 where they are weighted ones
	Status    Status

	logWeights []float64
}

// Randomise draws from the posterior exp(−½|F(x)|²) of a least-squares problem
// F, priors among its residuals, by solving perturbed problems (randomise, then
// optimise: Bardsley, Solonen, Haario and Laine 2014). With Q an orthonormal
// basis of the columns of the Jacobian at the mode, each draw solves
//
//	Qᵀ F(x) = ξ,   ξ standard normal,
//
// and has the importance weight of the posterior over the density that this gives it,
//
//	w = exp(½|QᵀF|² − ½|F|²) / |det QᵀJ(x)|.
//
// For a linear problem all weights are equal. Each draw is solved for on its own,
// and so follows a curved ridge of the posterior. The ξ are points of a randomised
// Halton sequence, a quasi-random one, which fill the directions that matter more
// evenly than independent ones would: the same number tells quantiles up to twice as
// well. Weights above √n times their mean are truncated (Ionides 2008).
//
// The equations must have one solution: what lies beyond a fold of QᵀF, such as a
// second mode, is missed. F must be smooth, with as many residuals as unknowns at least, and x
// unbounded; coordinates that are normal scores under their priors serve best.
//
// Where the weights would take more than WeightedWork the draws are the starts of chains
// instead (see Graded): each then weighs the same, and ESS counts those of one origin
// together.
//
// Status is Sampled when TargetESS was reached, else TooFewEffective; the weights are
// then limited until no draw has more than 1/√n of them all, for an interval out of one
// draw would look sure. ESS is that before.
func Randomise(newProblem func() Problem, mode []float64, o RandomiseOptions) (Draws, error) {
	o = o.withDefaults()
	at, err := newLinearisation(newProblem(), mode, o)
	if err != nil {
		return Draws{}, err
	}
	if o.MostWork > 0 && o.TargetESS*at.work() > o.MostWork {
		return Draws{Status: TooMuchWork}, nil
	}
	solvers := make([]*drawSolver, o.Workers)
	for i := range solvers {
		solvers[i] = newDrawSolver(newProblem(), at)
	}
	var all drawList
	for count := min(o.Block, int(math.Ceil(o.TargetESS))); ; {
		all.extend(solvers, o.Seed, min(count, o.MaxDraws-len(all)))
		res := all.weigh()
		count = o.forTarget(len(all), res.ESS)
		if o.heavy(len(all), res.ESS, at) {
			if more := o.startsPaid(at) - len(all); more > 0 {
				all.extend(solvers, o.Seed, more)
			}
			return all.moved(newProblem, o)
		}
		enough := res.ESS >= o.TargetESS
		if enough && len(all) < o.mostForEnds() {
			if e := res.endError(o.Watched); e > o.EndError {
				count = min(o.mostForEnds()-len(all), o.forEnds(len(all), e))
				continue
			}
		}
		hopeless := len(all) >= o.Block && res.ESS < o.LeastESSFraction*float64(len(all))
		if enough || hopeless || len(all) >= o.MaxDraws {
			if res.Status = Sampled; !enough {
				res.Status = TooFewEffective
				res.limitWeights()
			}
			return res, nil
		}
	}
}

// heavy tells that weighted draws would cost more than moves: by what the draws made
// count for, the target needs too many, or as many as may be made. Only the first look
// decides, since the draws made since then would be in vain.
func (o RandomiseOptions) heavy(made int, ess float64, at *linearisation) bool {
	if o.WeightedWork <= 0 || made > int(math.Ceil(o.TargetESS)) {
		return false
	}
	needed := min(float64(o.MaxDraws), o.TargetESS/ess*float64(made))
	return needed*at.work() > o.WeightedWork
}

// startsPaid is how many draws that moves may start at WeightedWork pays for, within what
// MaxDraws and the ends of intervals ask for.
func (o RandomiseOptions) startsPaid(at *linearisation) int {
	return int(math.Min(float64(o.mostForEnds()), o.WeightedWork/at.work()))
}

// forTarget is how many more draws the target is likely to need, as one block.
func (o RandomiseOptions) forTarget(made int, ess float64) int {
	const spare, least = 1.03, 1.0 / 16
	if !(ess > 0) {
		return o.Block
	}
	need := (spare*o.TargetESS/ess - 1) * float64(made)
	return int(math.Ceil(max(least*float64(o.Block), min(float64(o.Block), need))))
}

// mostForEnds is how many draws are made for the sake of the ends of intervals.
func (o RandomiseOptions) mostForEnds() int { return min(o.MaxDraws, 3*int(math.Ceil(o.TargetESS))) }

// forEnds is how many more draws bring an end's error e to what is asked.
func (o RandomiseOptions) forEnds(made int, e float64) int {
	need := (e*e/(o.EndError*o.EndError) - 1) * float64(made)
	return int(math.Ceil(max(o.TargetESS/8, min(3*o.TargetESS, need))))
}

func (o RandomiseOptions) withDefaults() RandomiseOptions {
	if !(o.TargetESS > 0) {
		o.TargetESS = 400
	}
	if o.Block < 1 {
		o.Block = int(math.Ceil(2 * o.TargetESS))
	}
	if o.MaxDraws < 1 {
		o.MaxDraws = int(15 * o.TargetESS)
	}
	if o.Workers < 1 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.LeastESSFraction <= 0 {
		o.LeastESSFraction = 0.02
	}
	if !(o.EndError > 0) {
		o.EndError = 0.025
	}
	return o
}
