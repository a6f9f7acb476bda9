package ductleak

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
)

// mostBend is how many standard deviations of its prior an exponent may lie off
// before the stations count as those of no duct system: from 0.4 to 0.8.
const mostBend = 4.0

// Scatter is how far the stations of an on/off test lie off its fit.
type Scatter struct {
	// Excess is √(misfit/expected) in the stated errors, 1 up to the 95 % point of
	// chi squared.
	Excess float64
	// Widened is the factor by which the errors, and with them the intervals, were
	// widened for it; 1 where chance explains the scatter.
	Widened float64
}

// fit is the model at its mode. Where the stations scatter beyond their stated
// errors and chance, the errors are widened for it and the mode is sought again.
func (t OnOffTest) fit() (m *onOffModel, mode fit.ModeResult, s Scatter, err error) {
	m, s = t.model(), Scatter{1, 1}
	mode, err = fit.Mode(m, make([]float64, unknowns), nil, fit.ModeOptions{})
	if err != nil {
		return m, mode, s, noFit(err)
	}
	for _, i := range []int{iSupplyExponent, iReturnExponent} {
		if math.Abs(mode.X[i]) > mostBend {
			return m, mode, s, wrong("on/off test", "check the stations, their signs and their units",
				"no duct leak bends with pressure as these stations do: they ask for an exponent of %.2f", m.at(mode.X)[i])
		}
	}
	if s = m.scatter(mode); s.Widened == 1 {
		return m, mode, s, nil
	}
	for i := range m.sd {
		m.sd[i] *= s.Widened
	}
	if mode, err = fit.Mode(m, mode.X, nil, fit.ModeOptions{}); err != nil {
		err = noFit(err)
	}
	return m, mode, s, err
}

// scatter compares what the mode leaves with what is expected: the stations less
// what the fit took from them for its unknowns, which is the part of the priors'
// unit variances that the stations removed. A spread told by so few is known
// roughly itself: the widening is Student's t over the normal's.
func (m *onOffModel) scatter(mode fit.ModeResult) Scatter {
	if mode.Covariance == nil {
		return Scatter{1, 1}
	}
	misfit := 0.0
	for _, r := range mode.Residuals[:len(m.house)] {
		misfit += r * r
	}
	expected := float64(len(m.house)-unknowns) + mode.Covariance.Trace()
	if !(expected > 0) || misfit <= (distuv.ChiSquared{K: expected}).Quantile(0.95) {
		return Scatter{1, 1}
	}
	excess := math.Sqrt(misfit / expected)
	return Scatter{excess, excess * fit.StudentT(0.90, math.Max(1, expected)) / z90}
}
