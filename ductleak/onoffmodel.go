package ductleak

import (
	"math"

	"gonum.org/v1/gonum/mat"

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

// onOffModel is the test as a least-squares problem with its priors.
type onOffModel struct {
	house, read, sd []float64
	mean, spread    [unknowns]float64
}

func (t OnOffTest) model() *onOffModel {
	m := &onOffModel{sd: t.noise()}
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

func priorPressure(p Measured[units.Pressure], otherwise float64) (lnMedian, sdLn float64) {
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
		fitted, slope := m.difference(p, q)
		residuals[i] = (fitted - m.read[i]) / m.sd[i]
		for j := 0; jacobian != nil && j < unknowns; j++ {
			jacobian.Set(i, j, slope[j]*m.spread[j]/m.sd[i])
		}
	}
	for j := range unknowns {
		residuals[k+j] = x[j]
		for l := 0; jacobian != nil && l < unknowns; l++ {
			jacobian.Set(k+j, l, 0)
		}
		if jacobian != nil {
			jacobian.Set(k+j, j, 1)
		}
	}
	return nil
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

// smoothPower is SignedPower, linear within a thousandth of the duct pressure
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

// onOffDensity is the model as a posterior density.
type onOffDensity struct {
	m         *onOffModel
	residuals []float64
	jacobian  *mat.Dense
}

func newOnOffDensity(m *onOffModel) *onOffDensity {
	return &onOffDensity{m: m, residuals: make([]float64, m.Terms()), jacobian: mat.NewDense(m.Terms(), unknowns, nil)}
}

func (d *onOffDensity) Dim() int { return unknowns }

func (d *onOffDensity) LogDensity(x, grad []float64) float64 {
	if err := d.m.Evaluate(x, d.residuals, d.jacobian); err != nil {
		return math.Inf(-1)
	}
	sum := 0.0
	clear(grad)
	for i, r := range d.residuals {
		sum += r * r
		for j, v := range d.jacobian.RawRowView(i) {
			grad[j] -= r * v
		}
	}
	return -sum / 2
}
