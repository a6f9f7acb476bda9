package pressure

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
	"holdbook/units"
)

// leastStations is the number of holds a multi-point test needs: five, as in
// the standards.
const leastStations = 5

// MultiPoint is a power law fitted to several stations as a straight line in
// logarithms.
type MultiPoint struct {
	Leak     Leak
	Level    units.Ratio // of the intervals: 0.95 for the standards' fit, 0.90 for the weighted one
	Weighted bool
	R2       float64
	Stations int
	// Excess is how many times the scatter exceeds the stated errors where it
	// does so beyond chance (weighted fit); the intervals are widened by it.
	Excess   float64
	Warnings []*Fault

	line     fit.LineFit
	reach    float64 // standard deviations from middle to limit
	common   float64 // sd of ln Q shared by all stations
	perRange float64
	offsets  []fit.LineFit // what an error of one in one flow range does to the line
}

// FitStandard is the unweighted regression of ln Q on ln Δp as in the
// standards, with 95 % limits by Student's t. The limits show the scatter of
// the fit only, not the errors that all stations share. Sources: Roulet 2008
// eqs 7.13 to 7.21; ASTM E779 and ISO 9972 alike, from memory.
//
// Errors: fewer than three stations, or ones that carry nothing, give no fit.
// Fewer than five stations, pressures within a factor of 1.8 or an exponent
// outside 0.5 to 1 give the fit beside the error: it may be shown as refused
// but not used.
func FitStandard(stations []Station) (MultiPoint, error) {
	x, y, err := logs(stations)
	if err != nil {
		return MultiPoint{}, err
	}
	line, err := fit.Line(x, y, nil)
	if err != nil {
		return MultiPoint{}, lineFault(err)
	}
	m := MultiPoint{
		Level: 0.95, Stations: len(stations), Excess: 1,
		line: line, reach: fit.StudentT(0.95, float64(line.Dof)),
	}
	return m.finish(stations)
}

// FitWeighted is the line in logarithms with weights from the errors of both
// flow and pressure, w = 1/(s_Q² + n²(s_p/Δp)²), iterated in n, with 90 %
// intervals from the stated errors and the calibration: all of the error
// model, not the scatter alone. Where the scatter exceeds what chance allows
// (95 % point of chi squared) the intervals are widened to it, with a warning.
// Source: the principle, Delmotte 2013; the weights derived.
//
// Errors as FitStandard; also stations without any error of their own, which
// leave nothing to weigh with.
func FitWeighted(stations []Station, cal Calibration) (MultiPoint, error) {
	x, y, err := logs(stations)
	if err == nil {
		err = cal.check()
	}
	if err != nil {
		return MultiPoint{}, err
	}
	line, w, err := effectiveVariance(stations, x, y)
	if err != nil {
		return MultiPoint{}, err
	}
	m := MultiPoint{
		Level: 0.90, Weighted: true, Stations: len(stations), Excess: excess(line),
		line: line.Stated(), reach: fit.Z90,
		common: float64(cal.Common), perRange: float64(cal.PerRange),
	}
	if m.offsets, err = rangeOffsets(stations, x, w); err != nil {
		return MultiPoint{}, err
	}
	return m.finish(stations)
}

// logs turns stations into logarithms of pressure and flow.
func logs(stations []Station) (x, y []float64, err error) {
	if len(stations) < 3 {
		return nil, nil, tooFew(len(stations))
	}
	for _, s := range stations {
		if err := s.check(); err != nil {
			return nil, nil, err
		}
		x, y = append(x, math.Log(s.dp())), append(y, math.Log(float64(s.Flow)))
	}
	return x, y, nil
}

// tooFew is the refusal of a multi-point test with too few holds.
func tooFew(n int) *Fault {
	return &Fault{
		What: plain(float64(n)) + " holds with a fan flow in the same state of the house",
		Why:  "a multi-point test needs five",
		Do:   "add holds at other pressures between 10 and 60 Pa; what the holds there are say together stands in the report",
	}
}

// lineFault puts a failure of the line fit into this package's words.
func lineFault(err error) *Fault {
	return &Fault{
		What: "no line fits the holds",
		Why:  err.Error(),
		Do:   "hold the house at pressures that differ",
	}
}

// effectiveVariance iterates the weighted line until its slope stands still.
func effectiveVariance(stations []Station, x, y []float64) (fit.LineFit, []float64, error) {
	w := make([]float64, len(stations))
	n := float64(DefaultExponent)
	for range 100 {
		for i, s := range stations {
			w[i] = 1 / s.ownVariance(n)
		}
		line, err := fit.Line(x, y, w)
		if err != nil {
			return fit.LineFit{}, nil, weightFault(err, w)
		}
		if math.Abs(line.Slope-n) < 1e-12*(1+math.Abs(n)) {
			return line, w, nil
		}
		n = line.Slope
	}
	return fit.LineFit{}, nil, &Fault{
		What: "the weighted fit does not settle",
		Why:  "the weights and the exponent contradict each other",
		Do:   "check the holds with the lowest pressures",
	}
}

// weightFault tells stations without errors from a line that does not exist.
func weightFault(err error, w []float64) *Fault {
	if units.Finite(w...) {
		return lineFault(err)
	}
	return &Fault{
		What: "a hold has no error of its own",
		Why:  "nothing is left to weigh the holds with",
		Do:   "state the repeat error of the flow and the errors of the pressure gauge",
	}
}

// excess is the factor by which the scatter exceeds the stated errors, 1 where
// chance explains it.
func excess(line fit.LineFit) float64 {
	dof := float64(line.Dof)
	chi2 := line.ResidualSD * line.ResidualSD * dof
	if chi2 <= (distuv.ChiSquared{K: dof}).Quantile(0.95) {
		return 1
	}
	return line.ResidualSD
}

// rangeOffsets is, for each flow range, the line that an error of one in all
// its flows would add: the fit is linear in the logarithms of the flows.
func rangeOffsets(stations []Station, x, w []float64) ([]fit.LineFit, error) {
	var offsets []fit.LineFit
	seen := map[string]bool{}
	for _, s := range stations {
		if seen[s.Range] {
			continue
		}
		seen[s.Range] = true
		shift := make([]float64, len(stations))
		for i, other := range stations {
			if other.Range == s.Range {
				shift[i] = 1
			}
		}
		line, err := fit.Line(x, shift, w)
		if err != nil {
			return nil, lineFault(err)
		}
		offsets = append(offsets, line)
	}
	return offsets, nil
}

// finish fills in the leak, refuses what the standards refuse and collects
// warnings.
func (m MultiPoint) finish(stations []Station) (MultiPoint, error) {
	m.Leak = Leak{C: math.Exp(m.line.At(0)), N: m.line.Slope}
	m.R2 = m.line.R2
	if err := cmp.Or(needPositive("the leakage coefficient C", m.Leak.C), needFinite("the fit", m.line.SE(0), m.R2, m.reach)); err != nil {
		return MultiPoint{}, err
	}
	m.Warnings = append(m.Warnings, exponentWarnings(m.Leak.N)...)
	if m.R2 < 0.98 {
		m.Warnings = append(m.Warnings, &Fault{
			What: "r² of the fit is " + plain(m.R2),
			Why:  "below 0.98 the holds scatter more than steady weather explains",
			Do:   "look for the hold that lies off the line and repeat it",
		})
	}
	if m.Excess > 1 {
		m.Warnings = append(m.Warnings, &Fault{
			What: "the holds scatter " + plain(m.Excess) + " times as much as the stated errors",
			Why:  "wind or a change between holds is in the readings; the intervals are widened by that factor",
			Do:   "repeat the holds in calm weather, or state a larger wobble",
		})
	}
	return m, m.refusal(stations)
}

// refusal is the reason a fit may not be used, or nil.
func (m MultiPoint) refusal(stations []Station) error {
	if len(stations) < leastStations {
		return tooFew(len(stations))
	}
	if err := checkSpan(stations...); err != nil {
		return err
	}
	if m.Leak.N < 0.5 || m.Leak.N > 1 {
		return badExponent(m.Leak.N)
	}
	return nil
}

// sd is the standard deviation of ln Q on the line at x = ln p.
func (m MultiPoint) sd(x float64) float64 {
	sds := []float64{m.Excess * m.line.SE(x), m.common}
	for _, o := range m.offsets {
		sds = append(sds, m.perRange*o.At(x))
	}
	return quadrature(sds...)
}

// FlowAt is the flow of the fit at a pressure with its interval at Level;
// beyond the lowest hold the interval widens.
func (m MultiPoint) FlowAt(p units.Pressure) (units.Estimate[units.Flow], error) {
	if err := needWithin("the reference pressure", float64(p), 0.1, 1000, "Pa"); err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	if m.Stations == 0 {
		return units.Estimate[units.Flow]{}, noFit()
	}
	q, err := m.FlowShown(p)
	if err != nil {
		return units.Estimate[units.Flow]{}, err
	}
	return logInterval(q.Value, m.sd(math.Log(float64(p))), m.reach)
}

// FlowShown is the flow of the fit at a pressure with its working.
func (m MultiPoint) FlowShown(p units.Pressure) (Computed[units.Flow], error) {
	return compute[units.Flow](float64(m.Leak.Flow(p)),
		formula("Q(P) = ({C} per Pa^n)·{P}^{n}", "HoF 2021 ch.16 eq 40", asFlow, asFlow),
		term{"C", m.Leak.C, asFlow}, term{"P", float64(p), asPressure}, term{"n", m.Leak.N, noUnit})
}

// Exponent is the fitted exponent with its interval at Level.
func (m MultiPoint) Exponent() (units.Estimate[units.Ratio], error) {
	if m.Stations == 0 {
		return units.Estimate[units.Ratio]{}, noFit()
	}
	sds := []float64{m.Excess * m.line.SlopeSE}
	for _, o := range m.offsets {
		sds = append(sds, m.perRange*o.Slope)
	}
	return normalInterval(units.Ratio(m.Leak.N), units.Ratio(quadrature(sds...)), m.reach)
}

// ExponentShown is the exponent with its working: the slope of the line from
// the sums of squares about the (weighted) means of x = ln Δp and y = ln Q.
func (m MultiPoint) ExponentShown() (Computed[units.Ratio], error) {
	source := "Roulet 2008 eqs 7.13 to 7.21"
	if m.Weighted {
		source = "weighted by errors of flow and pressure, Delmotte 2013"
	}
	return compute[units.Ratio](m.line.Slope, formula("n = {Sxy}/{Sxx}", source, noUnit, noUnit),
		term{"Sxy", m.line.Slope * m.line.Sxx, noUnit}, term{"Sxx", m.line.Sxx, noUnit})
}

// Coefficient is C in m³/(s·Pa^n) with its interval at Level.
func (m MultiPoint) Coefficient() (units.Estimate[float64], error) {
	if m.Stations == 0 {
		return units.Estimate[float64]{}, noFit()
	}
	return logInterval(m.Leak.C, m.sd(0), m.reach)
}

// AtReference is the same fit at standard air: flows and areas change by one
// factor, intervals and exponent stay.
func (m MultiPoint) AtReference(inLeaks Air, by Standard) (MultiPoint, Reference, error) {
	r, err := ToReference(m.Leak, inLeaks, by)
	if err != nil {
		return MultiPoint{}, Reference{}, err
	}
	m.Leak = r.Leak
	return m, r, nil
}
