package ductleak

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat"

	"holdbook/internal/fit"
	"holdbook/units"
)

// OnOffTest is the on/off test as one joint estimate: supply and return
// leakage, their operating pressures and exponents, each with what is known of
// it before the test.
type OnOffTest struct {
	Differences []Difference
	// AirHandler is its flow; both leakages are expected around 5 % of it,
	// within a factor of five. Zero means not known: 1000 cfm is then taken.
	AirHandler units.Measured[units.Flow]
	// SupplyPressure and ReturnPressure are the operating pressures across the
	// leaks, relative to the house, good to 10 % or to their SD if that is more.
	// A plenum reading is not one: see HalfPlenum. Zero means not measured.
	SupplyPressure, ReturnPressure units.Measured[units.Pressure]
	Repeat                         float64        // relative sd of one flow reading against the next; 0 means 1 %
	Wobble                         units.Pressure // wind left in a reading, one sd; 0 means 0.4 Pa
	Seed                           uint64
	// Systematic is the standard deviation, as a share of the air handler's flow, of what the
	// test errs by besides the scatter of its stations: see OnOffSystematic. 0 means none.
	Systematic units.Ratio
}

// OnOffSystematic is a share of the air handler's flow that the leakages of an on/off test
// may be off by, as one standard deviation. Beside nulling tests of 51 houses it lay a few
// percent of that flow too high (Francisco et al. 2004, abstract); the figure is judgement.
const OnOffSystematic units.Ratio = 0.01

// OnOffPoint is one station as read and as fitted.
type OnOffPoint struct {
	House          units.Pressure // signed
	Difference, SD units.Flow     // read, and its standard deviation
	Fitted         units.Flow     // at the mode
}

// OnOffResult is what the on/off test says.
type OnOffResult struct {
	Test OnOffTest
	// Supply and Return are operating leakage to outside with the house at
	// outdoor pressure; Net is supply less return, signed.
	Supply, Return, Net            units.Estimate[units.Flow]
	SupplyPressure, ReturnPressure units.Estimate[units.Pressure]
	Correlation                    float64 // of supply and return
	// OneSided is true when the stations lie on one side of zero: supply and
	// return are then not resolved, whatever their intervals.
	OneSided                                    bool
	SupplyResolved, ReturnResolved, NetResolved bool
	AirHandlerAssumed                           bool
	Scatter                                     Scatter
	Points                                      []OnOffPoint
	Mode                                        TwoParameter // the leakages and pressures at the mode
	Unreliable                                  string       // why the intervals are not to be relied on; empty where they are
	exponents                                   [2]float64
}

// Priors of the on/off test: judgement, not published.
const (
	priorShare        = 0.05 // of air-handler flow, each side
	priorFlowSDLn     = 1.0
	priorSupply       = 40.0 // Pa
	priorReturn       = 60.0 // Pa
	priorPressureSDLn = 0.5
	measuredSDLn      = 0.10
	priorExponent     = float64(DuctExponent)
	priorExponentSD   = 0.05
	// assumedSDLn is that of assumedAirHandler.
	assumedSDLn = 1.06 // √(1² + 0.35²)
	// priorNetWidth is the width of the prior's 90 % interval of the net, in
	// medians of one side: the difference of two log-normals of ln sd 1.
	priorNetWidth = 8.01
)

// assumedAirHandler is taken where the flow is not known, with a wider prior; no duct
// system leaks mostFlow.
var assumedAirHandler, mostFlow = units.CFM.ToSI(1000), units.CFM.ToSI(5000)

// sideLeast is how far from zero a station must lie to count for its side.
const sideLeast = 2.0 // Pa

// HalfPlenum is the operating pressure across a side's leaks guessed from the
// plenum: half of it, good to 30 %. Leaks at the box see nearly all of it, so
// the half understates them. Common practice, no source.
func HalfPlenum(plenum units.Measured[units.Pressure]) units.Measured[units.Pressure] {
	half := float64(plenum.Value) / 2
	return units.Measured[units.Pressure]{
		Value: units.Pressure(half),
		SD:    units.Pressure(math.Hypot(0.3*half, float64(plenum.SD)/2)),
	}
}

// Evaluate draws from the joint posterior of the test. The noise of a difference
// is sd² = 2(repeat·Q)² + 2(n·Q/P·wobble)² with Q the envelope flow at house
// pressure P.
func (t OnOffTest) Evaluate() (OnOffResult, error) {
	t = t.withDefaults()
	if err := t.check(); err != nil {
		return OnOffResult{}, err
	}
	m, mode, scatter, err := t.fit()
	if err != nil {
		return OnOffResult{}, err
	}
	drawn, err := m.draw(mode.X, t.Seed, enoughDraws)
	if err != nil {
		return OnOffResult{}, noFit(err)
	}
	r := t.result(m, mode.X, drawn)
	r.Scatter = scatter
	return r, cmp.Or(checkResult("on/off test", r.Supply, r.Return, r.Net), checkResult("on/off test", r.SupplyPressure, r.ReturnPressure))
}

// noFit is a failure of the search or of the sampler, which only readings far
// from any duct system lead to.
func noFit(err error) error {
	return wrong("on/off test", "check the stations, their signs and their units", "no fit (%v)", err)
}

func (t OnOffTest) withDefaults() OnOffTest {
	if t.Repeat == 0 {
		t.Repeat = 0.01
	}
	if t.Wobble == 0 {
		t.Wobble = 0.4
	}
	return t
}

func (t OnOffTest) check() error {
	if err := cmp.Or(
		checkDifferences(t.Differences),
		checkNotNegative("air-handler flow", t.AirHandler),
		checkNotNegative("supply operating pressure", t.SupplyPressure),
		checkNotNegative("return operating pressure", t.ReturnPressure),
		checkPositive("repeat error of the fan flow", units.Known(units.Ratio(t.Repeat))),
		checkPositive("wobble", units.Known(t.Wobble)),
		checkNotNegative("systematic error", units.Known(t.Systematic))); err != nil {
		return err
	}
	largest := t.largestDifference()
	for _, d := range t.Differences {
		switch {
		case math.Abs(float64(d.House)) > mostHouse:
			return wrong("on/off test, a station", "hold the house between -30 and 30 Pa",
				"a house pressure of %s", d.House)
		case math.Abs(float64(d.Flow)) > largest:
			return wrong("on/off test, a station", "check both flows at that pressure and their units",
				"at %s the air handler changes the door-fan flow by more than its own flow", d.House)
		case math.Abs(float64(d.House)) >= sideLeast && d.Envelope == 0:
			return wrong("on/off test, a station", "give the fan flow with the air handler off there",
				"no envelope flow at %s, so that its error is not known", d.House)
		}
	}
	if farthest(t.Differences) < sideLeast {
		return wrong("on/off test", "hold the house at ±5 to ±25 Pa", "no station is %.0f Pa or more from zero", sideLeast)
	}
	return nil
}

// mostHouse is the highest house pressure of a station: well above the 25 to
// 30 Pa beyond which the ducts do not keep their pressure to the house.
const mostHouse = 100.0 // Pa

// largestDifference is more than any duct system could leak: the air
// handler's flow, or 5000 cfm where it is not known.
func (t OnOffTest) largestDifference() float64 {
	if t.AirHandler.Value > 0 {
		return float64(t.AirHandler.Value)
	}
	return mostFlow
}

func farthest(d []Difference) float64 {
	far := 0.0
	for _, x := range d {
		far = math.Max(far, math.Abs(float64(x.House)))
	}
	return far
}

// noise is the standard deviation of each difference. Within a pascal of zero,
// where the slope of the leak law has no end, the flow and slope at one pascal
// stand in.
func (t OnOffTest) noise() []float64 {
	n := float64(CorrectionExponent)
	perPascal := 0.0
	for _, d := range t.Differences {
		if p := math.Abs(float64(d.House)); p >= 1 {
			perPascal = math.Max(perPascal, math.Abs(float64(d.Envelope))/math.Pow(p, n))
		}
	}
	sd := make([]float64, len(t.Differences))
	for i, d := range t.Differences {
		p, q := math.Abs(float64(d.House)), math.Abs(float64(d.Envelope))
		if p < 1 {
			p, q = 1, math.Max(q, perPascal)
		}
		sd[i] = math.Sqrt2 * math.Hypot(t.Repeat*q, n*q/p*float64(t.Wobble))
	}
	return sd
}

func (t OnOffTest) result(m *onOffModel, mode []float64, drawn fit.Draws) OnOffResult {
	columns := [4][]float64{}
	net, w := make([]float64, len(drawn.X)), drawn.Weights
	for i, x := range drawn.X {
		q := m.at(x)
		for j := range columns {
			columns[j] = append(columns[j], q[j])
		}
		net[i] = q[iSupply] - q[iReturn]
	}
	r := OnOffResult{
		Test: t, Unreliable: drawn.Status.Trouble(),
		Supply: medianOf[units.Flow](columns[iSupply], w), Return: medianOf[units.Flow](columns[iReturn], w),
		Net:            medianOf[units.Flow](net, w),
		SupplyPressure: medianOf[units.Pressure](columns[iSupplyPressure], w),
		ReturnPressure: medianOf[units.Pressure](columns[iReturnPressure], w),
		Correlation:    stat.Correlation(columns[iSupply], columns[iReturn], w),
		OneSided:       t.oneSided(), AirHandlerAssumed: t.AirHandler.Value == 0,
	}
	r.widen()
	r.judge()
	r.fitted(m, mode)
	return r
}

// widen puts what the test errs by besides the scatter of its stations into the intervals: of
// the sides as a share of each, for neither is below zero.
func (r *OnOffResult) widen() {
	handler := r.Test.AirHandler.Value
	if handler == 0 {
		handler = units.Flow(assumedAirHandler)
	}
	more := fit.Z90 * float64(r.Test.Systematic) * float64(handler)
	for _, e := range []*units.Estimate[units.Flow]{&r.Supply, &r.Return} {
		if v := float64(e.Value); v > 0 && e.Low > 0 {
			e.Low = units.Flow(v * math.Exp(-math.Hypot(math.Log(v/float64(e.Low)), more/v)))
			e.High = units.Flow(v * math.Exp(math.Hypot(math.Log(float64(e.High)/v), more/v)))
		}
	}
	v := float64(r.Net.Value)
	r.Net.Low = units.Flow(v - math.Hypot(v-float64(r.Net.Low), more))
	r.Net.High = units.Flow(v + math.Hypot(float64(r.Net.High)-v, more))
}

// medianOf is an estimate by the quantiles of weighted draws.
func medianOf[Q ~float64](values, weights []float64) units.Estimate[Q] {
	return fromInterval[Q](fit.WeightedIntervalOf(values, weights))
}

func (t OnOffTest) oneSided() bool {
	var above, below bool
	for _, d := range t.Differences {
		above = above || d.House >= sideLeast
		below = below || d.House <= -sideLeast
	}
	return !above || !below
}

// judge tells what the test resolves: an interval in the logarithm under half
// of its prior's for the two sides, a width under half of its prior's for the
// net.
func (r *OnOffResult) judge() {
	median, sdLn := r.Test.priorFlow()
	half := func(e units.Estimate[units.Flow]) bool {
		return Resolved(e) && math.Log(float64(e.High/e.Low)) <= fit.Z90*sdLn
	}
	r.SupplyResolved = !r.OneSided && half(r.Supply)
	r.ReturnResolved = !r.OneSided && half(r.Return)
	r.NetResolved = float64(r.Net.High-r.Net.Low) <= priorNetWidth*median/2
}

func (r *OnOffResult) fitted(m *onOffModel, mode []float64) {
	q := m.at(mode)
	r.Mode = TwoParameter{
		Supply: units.Flow(q[iSupply]), Return: units.Flow(q[iReturn]),
		SupplyPressure: units.Pressure(q[iSupplyPressure]), ReturnPressure: units.Pressure(q[iReturnPressure]),
	}
	r.exponents = [2]float64{q[iSupplyExponent], q[iReturnExponent]}
	sum := 0.0
	for i, d := range r.Test.Differences {
		f := r.Curve(d.House)
		r.Points = append(r.Points, OnOffPoint{House: d.House, Difference: d.Flow, SD: units.Flow(m.sd[i]), Fitted: f})
		sum += math.Pow(float64(d.Flow-f), 2)
	}
	r.Mode.RMS = units.Flow(math.Sqrt(sum / float64(len(r.Points))))
}

// Curve is the fitted difference at any house pressure, signed.
func (r OnOffResult) Curve(p units.Pressure) units.Flow {
	supply, _, _ := smoothShape(float64(p/r.Mode.SupplyPressure), r.exponents[0])
	ret, _, _ := smoothShape(-float64(p/r.Mode.ReturnPressure), r.exponents[1])
	return r.Mode.Supply*units.Flow(supply) - r.Mode.Return*units.Flow(ret)
}
