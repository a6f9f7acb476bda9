package units

import "math"

// Abs is the magnitude of a quantity.
func Abs[Q ~float64](v Q) Q { return Q(math.Abs(float64(v))) }
