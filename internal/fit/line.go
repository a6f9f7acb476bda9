package fit

import (
	"errors"
	"fmt"
	"math"
)

// LineFit is a straight line y = Intercept + Slope·x by least squares.
type LineFit struct {
	Slope, Intercept     float64
	SlopeSE, InterceptSE float64 // standard errors, scaled by ResidualSD
	Covariance           float64 // between slope and intercept
	R2                   float64 // share of the weighted variance of y that the line explains
	ResidualSD           float64 // √(Σ w·residual² / Dof); with w = 1/variance it is near 1
	Dof                  int     // points less two
	MeanX, MeanY         float64 // weighted means
	SumWeights           float64
	Sxx                  float64 // Σ w (x − MeanX)²
}

// Line fits y = a + b·x by minimising Σ w·(y − a − b·x)². A nil w weighs all
// points alike; otherwise w is one over the variance of each y.
//
// Standard errors follow from the scatter about the line, so only the ratios of
// the weights matter; Stated gives those that follow from the weights alone.
// Two points have a line but no scatter: their standard errors are NaN.
//
// Line fails when the lengths differ, with fewer than two points, when a
// number is not finite or a weight not positive, and when all x are equal.
func Line(x, y, w []float64) (LineFit, error) {
	if err := checkLine(x, y, w); err != nil {
		return LineFit{}, err
	}
	f := lineMeans(x, y, w)
	var sxy, syy float64
	for i := range x {
		wi, dx, dy := weight(w, i), x[i]-f.MeanX, y[i]-f.MeanY
		f.Sxx += wi * dx * dx
		sxy += wi * dx * dy
		syy += wi * dy * dy
	}
	if !(f.Sxx > 0) || math.IsInf(f.Sxx, 0) {
		return LineFit{}, errors.New("straight line: all points have the same x; take points at different x")
	}
	f.Slope = sxy / f.Sxx
	f.Intercept = f.MeanY - f.Slope*f.MeanX
	f.scatter(x, y, w, sxy, syy)
	return f, nil
}

// scatter fills in what follows from the residuals.
func (f *LineFit) scatter(x, y, w []float64, sxy, syy float64) {
	var sse float64
	for i := range x {
		r := (y[i] - f.MeanY) - f.Slope*(x[i]-f.MeanX)
		sse += weight(w, i) * r * r
	}
	f.R2 = 1
	if syy > 0 {
		f.R2 = min(1, max(0, sxy/f.Sxx*sxy/syy))
	}
	f.Dof = len(x) - 2
	f.ResidualSD = math.NaN()
	if f.Dof > 0 {
		f.ResidualSD = math.Sqrt(max(0, sse) / float64(f.Dof))
	}
	f.scaleErrors(f.ResidualSD)
}

func (f *LineFit) scaleErrors(sd float64) {
	f.SlopeSE = sd / math.Sqrt(f.Sxx)
	f.InterceptSE = sd * math.Sqrt(1/f.SumWeights+f.MeanX*f.MeanX/f.Sxx)
	f.Covariance = -sd * sd * f.MeanX / f.Sxx
}

// Stated is the same line with the standard errors that the weights alone
// give, as when each weight is one over a known variance.
func (f LineFit) Stated() LineFit {
	f.ResidualSD = 1
	f.scaleErrors(1)
	return f
}

// At is the height of the line at x.
func (f LineFit) At(x float64) float64 { return f.MeanY + f.Slope*(x-f.MeanX) }

// SE is the standard error of the line at x; far from MeanX the slope rules.
func (f LineFit) SE(x float64) float64 {
	d := x - f.MeanX
	return f.ResidualSD * math.Sqrt(1/f.SumWeights+d*d/f.Sxx)
}

// PredictionSE is the standard error of a new point of weight w read at x.
func (f LineFit) PredictionSE(x, w float64) float64 {
	return math.Hypot(f.SE(x), f.ResidualSD/math.Sqrt(w))
}

func weight(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return w[i]
}

// lineMeans takes the means twice, the second time of the remainders, which
// saves the digits that a large common offset costs.
func lineMeans(x, y, w []float64) LineFit {
	var f LineFit
	for i := range x {
		f.SumWeights += weight(w, i)
	}
	for range 2 {
		var dx, dy float64
		for i := range x {
			dx += weight(w, i) * (x[i] - f.MeanX)
			dy += weight(w, i) * (y[i] - f.MeanY)
		}
		f.MeanX += dx / f.SumWeights
		f.MeanY += dy / f.SumWeights
	}
	return f
}

func checkLine(x, y, w []float64) error {
	if len(x) != len(y) || (w != nil && len(w) != len(x)) {
		return fmt.Errorf("straight line: %d x, %d y and %d weights do not match", len(x), len(y), len(w))
	}
	if len(x) < 2 {
		return fmt.Errorf("straight line: %d points are too few; two at least", len(x))
	}
	for i := range x {
		if !finite(x[i]) || !finite(y[i]) {
			return fmt.Errorf("straight line: point %d is not a finite number", i+1)
		}
		if v := weight(w, i); !finite(v) || v <= 0 {
			return fmt.Errorf("straight line: weight %d is not a positive number", i+1)
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
