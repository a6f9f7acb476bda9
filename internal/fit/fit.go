// Package fit holds the statistics that the physics packages share: weighted
// least squares, the damped search for a posterior mode with priors and
// bounds, intervals from curvature, and a sampler for posteriors that are not
// near normal. It knows nothing of houses, units or sheets.
package fit

// Interval is a central interval with its middle: Low, Median and High are
// quantiles of one distribution, or the curvature approximation of them.
type Interval struct {
	Low, Median, High float64
}
