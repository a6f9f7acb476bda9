// Package fit holds the statistics that the physics packages share: weighted
// least squares, the damped search for a posterior mode with priors and
// bounds, intervals from curvature, and a sampler for posteriors that are not
// near normal. It knows nothing of houses, units or sheets.
//
// # From residuals to an answer
//
// A problem states residuals that are standardised (each divided by its
// standard deviation), prior terms among them; half the sum of their squares
// is then minus the log posterior density. Mode minimises it by the method of
// Levenberg (1944) and Marquardt (1963) with simple bounds, and the inverse of
// JᵀJ at the mode is the curvature (Laplace) covariance. Randomise draws by
// perturbing the problem and solving it again, and weighs each solution exactly.
//
// Where the weights collapse, Sample draws from the posterior itself by Hamiltonian
// Monte Carlo (Neal 2011) with exact gradients. The coordinates are whitened
// with the curvature covariance, so that a quarter period of the motion is a
// time of π/2; its length is jittered so that no coordinate resonates. The
// step is adapted in the warm-up by dual averaging (Hoffman and Gelman 2014),
// and the covariance is estimated again from the warm-up draws of all chains,
// shrunk as far as their number asks for (Ledoit and Wolf 2004). A clear rejection
// is tried again in finer steps (delayed rejection: Tierney and Mira 1999; Modi,
// Barnett and Carpenter 2023), so that narrow places are entered and left.
//
// The price of a draw is set by the narrowest place against the widest, so the
// coordinates matter more than anything here. A rest that is a known total less
// the exponentials of the coordinates makes a wall of all widths, at hundreds of
// evaluations a draw. Take instead ln total and the logarithms of each part over the rest:
// they map to the logarithms of parts and rest with a Jacobian of 1, and leave no wall.
//
// Convergence is reported, never assumed: split R-hat and effective sample
// size (Gelman et al., Bayesian Data Analysis, 2013; Vehtari et al. 2021) with
// the initial monotone sequence of Geyer (1992), also for the indicators of
// the 5 and 95 % points.
//
// The same seed gives the same draws, whatever the number of workers.
package fit

// Interval is a central interval with its middle: Low, Median and High are
// quantiles of one distribution, or the curvature approximation of them.
type Interval struct {
	Low, Median, High float64
}
