// Package fit holds the statistics that the physics packages share: weighted
// least squares, the damped search for a posterior mode with priors and
// bounds, intervals from curvature, and draws from posteriors that are not
// near normal. It knows nothing of houses, units or sheets.
//
// # From residuals to an answer
//
// A problem states residuals that are standardised (each divided by its
// standard deviation), prior terms among them; half the sum of their squares
// is then minus the log posterior density. Mode minimises it by the method of
// Levenberg (1944) and Marquardt (1963) with simple bounds, and the inverse of
// JᵀJ at the mode is the curvature (Laplace) covariance.
//
// Randomise draws from the posterior itself: it perturbs the problem, solves it
// again, and weighs each solution exactly (randomise, then optimise: Bardsley,
// Solonen, Haario and Laine 2014). The perturbations are points of a randomised
// Halton sequence (Owen 2017), which tell more than as many independent ones.
// Whether the draws suffice is reported, never assumed: by their effective number,
// 1/Σ weight², and by the standard error of the ends of intervals. Where the
// weights lie on a few draws, Status says so, and there is no second sampler to
// fall back on.
//
// Package fit/hmc samples in quite another way, by Hamiltonian chains; tests alone
// use it, to hold the draws to.
//
// The same seed gives the same draws, whatever the number of workers.
package fit

// Interval is a central interval with its middle: Low, Median and High are
// quantiles of one distribution, or the curvature approximation of them.
type Interval struct {
	Low, Median, High float64
}
