package ductleak

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
)

// mostBend is how many standard deviations of its prior an exponent may lie off
// before the stations count as those of no duct system: from 0.4 to 0.8.
const mostBend = 4.0

// fit is the model at its mode. Where the stations scatter beyond their stated
// errors and chance, the errors are taken to be that much larger and the mode is
// sought again.
func (t OnOffTest) fit() (m *onOffModel, mode fit.ModeResult, excess float64, err error) {
	m = t.model()
	mode, err = fit.Mode(m, make([]float64, unknowns), nil, fit.ModeOptions{})
	if err != nil {
		return m, mode, 1, noFit(err)
	}
	for _, i := range []int{iSupplyExponent, iReturnExponent} {
		if math.Abs(mode.X[i]) > mostBend {
			return m, mode, 1, wrong("on/off test", "check the stations, their signs and their units",
				"no duct leak bends with pressure as these stations do: they ask for an exponent of %.2f", m.at(mode.X)[i])
		}
	}
	if excess = m.excess(mode); excess == 1 {
		return m, mode, excess, nil
	}
	for i := range m.sd {
		m.sd[i] *= excess
	}
	if mode, err = fit.Mode(m, mode.X, nil, fit.ModeOptions{}); err != nil {
		err = noFit(err)
	}
	return m, mode, excess, err
}

// excess is the factor by which the scatter of the stations about the mode
// exceeds their stated errors, √(misfit/expected); 1 up to the 95 % point of chi
// squared. Expected are the stations less what the fit took from them for its
// unknowns: the part of the priors' unit variances that the stations removed.
func (m *onOffModel) excess(mode fit.ModeResult) float64 {
	if mode.Covariance == nil {
		return 1
	}
	misfit := 0.0
	for _, r := range mode.Residuals[:len(m.house)] {
		misfit += r * r
	}
	expected := float64(len(m.house)-unknowns) + mode.Covariance.Trace()
	if !(expected > 0) || misfit <= (distuv.ChiSquared{K: expected}).Quantile(0.95) {
		return 1
	}
	return math.Sqrt(misfit / expected)
}
