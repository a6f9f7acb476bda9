package fit

// Density is a log probability density up to a constant. It may keep buffers,
// so one value serves one goroutine.
type Density interface {
	Dim() int // number of coordinates
	// LogDensity returns the log density at x and writes its gradient. It is
	// -Inf outside the support, where the gradient is not looked at.
	LogDensity(x, grad []float64) float64
}
