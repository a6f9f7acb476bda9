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
	// Excess is the factor on the stated errors that makes √(misfit/expected) one;
	// 1 up to the 95 % point of chi squared.
	Excess float64
	// Widened is the factor by which the errors, and with them the intervals, were
	// widened for it; 1 where chance explains the scatter.
	Widened float64
}

// fit is the model at its mode. Where the stations scatter beyond their stated
// errors and chance, the errors are widened for it and the mode is sought again.
func (t OnOffTest) fit() (m *onOffModel, mode fit.ModeResult, s Scatter, err error) {
	m, s = t.model(), Scatter{1, 1}
	if mode, err = m.mode(make([]float64, unknowns)); err != nil {
		return m, mode, s, err
	}
	for _, i := range []int{iSupplyExponent, iReturnExponent} {
		if math.Abs(mode.X[i]) > mostBend {
			return m, mode, s, wrong("on/off test", "check the stations, their signs and their units",
				"no duct leak bends with pressure as these stations do: they ask for an exponent of %.2f", m.at(mode.X)[i])
		}
	}
	misfit, expected := m.scatter(mode)
	if !(expected > 0) || misfit <= (distuv.ChiSquared{K: expected}).Quantile(0.95) {
		return m, mode, s, nil
	}
	if mode, s.Excess, err = m.widen(mode, misfit, expected); err != nil {
		return m, mode, s, err
	}
	// a spread told by so few stations is known roughly itself
	student := fit.StudentT(0.90, math.Max(1, expected)) / fit.Z90
	s.Widened = s.Excess * student
	m.scale(student)
	mode, err = m.mode(mode.X)
	return m, mode, s, err
}

// widen scales the errors until the scatter is what they lead to expect. Once is
// not enough: with errors too small the fit follows the scatter too far.
func (m *onOffModel) widen(mode fit.ModeResult, misfit, expected float64) (_ fit.ModeResult, excess float64, err error) {
	excess = 1
	for range 30 {
		by := math.Sqrt(misfit / expected)
		excess *= by
		m.scale(by)
		if mode, err = m.mode(mode.X); err != nil || math.Abs(by-1) < 1e-3 {
			break
		}
		if misfit, expected = m.scatter(mode); !(expected > 0) {
			break
		}
	}
	return mode, excess, err
}

func (m *onOffModel) scale(by float64) {
	for i := range m.sd {
		m.sd[i] *= by
	}
}

func (m *onOffModel) mode(start []float64) (fit.ModeResult, error) {
	mode, err := fit.Mode(m, start, nil, fit.ModeOptions{})
	if err != nil {
		err = noFit(err)
	}
	return mode, err
}

// scatter is the sum of squares that the mode leaves of the stations, and what is
// expected of it: the stations less what the fit took from them for its unknowns,
// which is the part of the priors' unit variances that the stations removed.
// Nothing is expected where the mode has no covariance.
func (m *onOffModel) scatter(mode fit.ModeResult) (misfit, expected float64) {
	if mode.Covariance == nil {
		return 0, 0
	}
	for _, r := range mode.Residuals[:len(m.house)] {
		misfit += r * r
	}
	return misfit, float64(len(m.house)-unknowns) + mode.Covariance.Trace()
}
