// Package fit holds the statistics that the physics packages share: straight lines by
// weighted least squares, the mode of a posterior with priors and bounds, weighted draws
// from posteriors that are not near normal, quantiles and intervals, and the propagation of
// errors by simulation. It knows nothing of houses, units or sheets.
//
// # From residuals to an answer
//
// A Problem states residuals that are standardised (each divided by its standard
// deviation), priors among them; half the sum of their squares is then minus the log
// posterior density. Mode minimises it by the method of Levenberg (1944) and Marquardt
// (1963) with simple bounds, the damping steered by the gain of each step (Nielsen 1999).
// The inverse of JᵀJ at the mode is the covariance of the Laplace approximation.
//
// Randomise draws from the posterior itself: it perturbs the problem, solves it again, and
// gives each solution its exact importance weight (randomise, then optimise: Bardsley,
// Solonen, Haario and Laine 2014). The perturbations are points of a randomised Halton
// sequence (Owen 2017), a quasi-random one, which tell more than as many independent ones.
// Large weights are truncated (Ionides 2008). Whether the draws suffice is reported, never
// assumed: by their effective sample size, 1/Σ weight², and by the standard error of the
// ends of intervals. Where the weights lie on a few draws, Status says so. Where weighted
// draws would take too much work, a few of them are led on by Hamiltonian trajectories
// (Neal 2011) instead, if the Problem is Graded.
//
// Simulate propagates errors through a formula by independent repeats. Line fits a straight
// line with the standard errors of the textbooks. Quantiles interpolate between order
// statistics (Hyndman and Fan 1996), weighted ones by the trapezium rule.
//
// Package fit/hmc samples in quite another way, by Hamiltonian chains; tests alone
// use it, to hold the draws to.
//
// The same seed gives the same draws, whatever the number of workers, on every processor.
package fit

// Interval is a central interval with its middle: Low, Median and High are
// quantiles of one distribution, or the curvature approximation of them.
type Interval struct {
	Low, Median, High float64
}
