package ductleak

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdbook/internal/fit"
	"holdbook/units"
)

// The unknowns, each in standard deviations of its prior from the prior's mean.
const (
	iSupply = iota // ln leakage
	iReturn
	iSupplyPressure // ln pressure
	iReturnPressure
	iSupplyExponent
	iReturnExponent
	unknowns
)

// onOffModel is the test as a least-squares problem with its priors. It is not safe
// for concurrent use.
type onOffModel struct {
	house, read, sd []float64
	mean, spread    [unknowns]float64
	slope           [][unknowns]float64 // of the difference at each station, at the unknowns last evaluated
}

func (t OnOffTest) model() *onOffModel {
	m := &onOffModel{sd: t.noise(), slope: make([][unknowns]float64, len(t.Differences))}
	for _, d := range t.Differences {
		m.house = append(m.house, float64(d.House))
		m.read = append(m.read, float64(d.Flow))
	}
	flow, flowSD := t.priorFlow()
	m.mean[iSupply], m.mean[iReturn] = math.Log(flow), math.Log(flow)
	m.spread[iSupply], m.spread[iReturn] = flowSD, flowSD
	m.mean[iSupplyPressure], m.spread[iSupplyPressure] = priorPressure(t.SupplyPressure, priorSupply)
	m.mean[iReturnPressure], m.spread[iReturnPressure] = priorPressure(t.ReturnPressure, priorReturn)
	for _, i := range []int{iSupplyExponent, iReturnExponent} {
		m.mean[i], m.spread[i] = priorExponent, priorExponentSD
	}
	return m
}

func (t OnOffTest) priorFlow() (median, sdLn float64) {
	if t.AirHandler.Value == 0 {
		return priorShare * assumedAirHandler, assumedSDLn
	}
	return priorShare * float64(t.AirHandler.Value), priorFlowSDLn
}

func priorPressure(p units.Measured[units.Pressure], otherwise float64) (lnMedian, sdLn float64) {
	if p.Value == 0 {
		return math.Log(otherwise), priorPressureSDLn
	}
	return math.Log(float64(p.Value)), math.Max(measuredSDLn, float64(p.SD/p.Value))
}

// at turns standardised unknowns into quantities.
func (m *onOffModel) at(x []float64) (q [unknowns]float64) {
	for i := range q {
		q[i] = m.mean[i] + m.spread[i]*x[i]
		if i < iSupplyExponent {
			q[i] = math.Exp(q[i])
		}
	}
	return q
}

func (m *onOffModel) Dim() int { return unknowns }

func (m *onOffModel) Terms() int { return len(m.house) + unknowns }

// Evaluate gives the residuals of the stations, then those of the priors.
func (m *onOffModel) Evaluate(x, residuals []float64, jacobian *mat.Dense) error {
	q := m.at(x)
	k := len(m.house)
	for i, p := range m.house {
		fitted := 0.0
		fitted, m.slope[i] = m.difference(p, q)
		residuals[i] = (fitted - m.read[i]) / m.sd[i]
		if jacobian != nil {
			m.slopes(i, jacobian.RawRowView(i))
		}
	}
	copy(residuals[k:], x)
	for j := 0; jacobian != nil && j < unknowns; j++ {
		row := jacobian.RawRowView(k + j)
		clear(row)
		row[j] = 1
	}
	return nil
}

// slopes are the derivatives of the residual of a station.
func (m *onOffModel) slopes(i int, row []float64) {
	for j := range row {
		row[j] = m.slope[i][j] * m.spread[j] / m.sd[i]
	}
}

// Nonlinear lists the residuals that are not linear in the unknowns: the stations.
func (m *onOffModel) Nonlinear() []fit.NonlinearResidual {
	list := make([]fit.NonlinearResidual, len(m.house))
	for i := range list {
		list[i] = fit.NonlinearResidual{Index: i, Base: i, Factor: 1}
	}
	return list
}

// Linearise fills the rows of some stations in the Jacobian at the unknowns last
// evaluated.
func (m *onOffModel) Linearise(jacobian *mat.Dense, rows []int) {
	for _, i := range rows {
		m.slopes(i, jacobian.RawRowView(i))
	}
}

// draw takes weighted draws from the posterior, as many effective ones as target.
func (m *onOffModel) draw(mode []float64, seed uint64, target float64) (fit.Draws, error) {
	return fit.Randomise(func() fit.Problem { return m.another() }, mode, fit.RandomiseOptions{Seed: seed, TargetESS: target})
}

// enoughDraws effective ones put the end of an interval within 2 % of its width (one
// standard error), and mostly nearer, since they are spread evenly.
const enoughDraws = 1000

// another is the same model for use beside it.
func (m *onOffModel) another() *onOffModel {
	c := *m
	c.slope = make([][unknowns]float64, len(m.house))
	return &c
}

// difference is the model at one house pressure and its derivatives by the
// logarithms of flows and pressures and by the exponents.
func (m *onOffModel) difference(p float64, q [unknowns]float64) (float64, [unknowns]float64) {
	var slope [unknowns]float64
	s, sx, sn := smoothShape(p/q[iSupplyPressure], q[iSupplyExponent])
	r, rx, rn := smoothShape(-p/q[iReturnPressure], q[iReturnExponent])
	slope[iSupply] = q[iSupply] * s
	slope[iSupplyPressure] = -q[iSupply] * sx * p / q[iSupplyPressure]
	slope[iSupplyExponent] = q[iSupply] * sn
	slope[iReturn] = -q[iReturn] * r
	slope[iReturnPressure] = -q[iReturn] * rx * p / q[iReturnPressure]
	slope[iReturnExponent] = -q[iReturn] * rn
	return slope[iSupply] + slope[iReturn], slope
}

// smoothShape is (1+x)^n − x^n with its derivatives by x and n. The return
// shape is its negative at −dP/dPr.
func smoothShape(x, n float64) (v, dx, dn float64) {
	a, ax, an := smoothPower(1+x, n)
	b, bx, bn := smoothPower(x, n)
	return a - b, ax - bx, an - bn
}

// smoothPower is pressure.SignedPower, linear within a thousandth of the duct pressure
// of zero, where its slope would have no end.
func smoothPower(x, n float64) (v, dx, dn float64) {
	const edge = 1e-3
	size := math.Abs(x)
	if size < edge {
		slope := math.Pow(edge, n-1)
		return slope * x, slope, slope * x * math.Log(edge)
	}
	ln := math.Log(size)
	v = math.Copysign(math.Exp(n*ln), x)
	return v, n * v / x, v * ln
}
