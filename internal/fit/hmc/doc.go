// Package hmc draws from a density by Hamiltonian Monte Carlo (Neal 2011) with exact
// gradients. It is the independent check of the draws of package fit, and imported by
// tests alone: a sampler that shares neither their coordinates nor their weights.
//
// Several chains run side by side. The coordinates are whitened with a covariance that the
// caller gives, so that a quarter period of the motion is a time of π/2; its length is
// jittered so that no coordinate resonates. The step is adapted in the warm-up by dual
// averaging (Hoffman and Gelman 2014), and the covariance is estimated again from the
// warm-up draws of all chains, shrunk as far as their number asks for (Ledoit and Wolf
// 2004). A clear rejection is tried again in finer steps (delayed rejection: Tierney and
// Mira 1999; Modi, Barnett and Carpenter 2023), so that narrow places are entered and left.
//
// What a draw costs is set by the ratio of the widest to the narrowest place, so the
// coordinates matter more than anything here. Parts of a known total, each the exponential
// of a coordinate, leave the rest as total less parts, and so a wall of all widths near
// rest zero, at hundreds of evaluations a draw. Take instead ln total and the logarithms of
// each part over the rest: they map to the logarithms of parts and rest with a Jacobian
// of 1, and have no wall.
//
// Convergence is reported, never assumed: split R-hat and effective sample
// size (Gelman et al., Bayesian Data Analysis, 2013; Vehtari et al. 2021) with
// the initial monotone sequence of Geyer (1992), also for the indicators of
// the 5 and 95 % points.
//
// The same seed gives the same draws.
package hmc

// Density is a log probability density up to a constant. It may keep buffers,
// so one value serves one goroutine.
type Density interface {
	Dim() int // number of coordinates
	// LogDensity returns the log density at x and writes its gradient. It is
	// -Inf outside the support, where the gradient is not looked at.
	LogDensity(x, grad []float64) float64
}
