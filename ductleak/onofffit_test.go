package ductleak

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"holdbook/pressure"
	"holdbook/units"
)

// stations are ±5 to ±25 Pa.
var stations = []float64{-25, -20, -15, -10, -5, 5, 10, 15, 20, 25}

// calm is the wobble that a test states where nothing else is said.
const calm = 0.4 // Pa

// simulated is an on/off test drawn from a truth (SI), with the noise of a gauge
// and that wobble if rng is not nil.
func simulated(truth [unknowns]float64, flow50, airHandler float64, at []float64, rng *rand.Rand, wobble float64) OnOffTest {
	t := OnOffTest{AirHandler: units.Known(units.Flow(airHandler)), Seed: 7}
	for _, p := range at {
		q := flow50 * pressure.SignedPower(p/50, 0.65)
		y := truth[iSupply]*SupplyShape(p, truth[iSupplyPressure], truth[iSupplyExponent]) +
			truth[iReturn]*ReturnShape(p, truth[iReturnPressure], truth[iReturnExponent])
		if rng != nil {
			y += rng.NormFloat64() * math.Sqrt2 * math.Hypot(0.01*q, 0.65*q/p*wobble)
		}
		t.Differences = append(t.Differences, Difference{House: units.Pressure(p), Flow: units.Flow(y), Envelope: units.Flow(q)})
	}
	return t
}

var oneTruth = [unknowns]float64{100 * cfm, 60 * cfm, 40, 60, 0.6, 0.6}

func TestOnOffDerivatives(t *testing.T) {
	m := simulated(oneTruth, 1500*cfm, 1200*cfm, stations, nil, calm).withDefaults().model()
	x := []float64{0.3, -0.4, 0.2, -0.1, 0.5, -0.6}
	r, up, down := make([]float64, m.Terms()), make([]float64, m.Terms()), make([]float64, m.Terms())
	jac := mat.NewDense(m.Terms(), unknowns, nil)
	if err := m.Evaluate(x, r, jac); err != nil {
		t.Fatal(err)
	}
	const h = 1e-6
	for j := range x {
		keep := x[j]
		x[j] = keep + h
		_ = m.Evaluate(x, up, nil)
		x[j] = keep - h
		_ = m.Evaluate(x, down, nil)
		x[j] = keep
		for i := range r {
			near(t, "derivative", jac.At(i, j), (up[i]-down[i])/(2*h), 1e-6*(1+math.Abs(jac.At(i, j))))
		}
	}
}

func TestOnOffFit(t *testing.T) {
	r, err := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	if r.Unreliable != "" {
		t.Fatalf("%v", r.Unreliable)
	}
	near(t, "supply", inCFM(r.Supply.Value), 100, 10)
	near(t, "return", inCFM(r.Return.Value), 60, 10)
	near(t, "net", inCFM(r.Net.Value), 40, 5)
	for _, e := range []units.Estimate[units.Flow]{r.Supply, r.Return, r.Net} {
		ordered(t, "flow", e)
	}
	if r.Correlation < 0.3 {
		t.Errorf("supply and return must rise together, correlation %.2f", r.Correlation)
	}
	if r.OneSided || !r.SupplyResolved || !r.ReturnResolved || !r.NetResolved {
		t.Errorf("a quiet two-sided test resolves all: %v %v %v %v", r.OneSided, r.SupplyResolved, r.ReturnResolved, r.NetResolved)
	}
	if w := r.Net.High - r.Net.Low; w >= r.Supply.High-r.Supply.Low {
		t.Error("the net must be narrower than the supply")
	}
	for i, p := range r.Points {
		near(t, "fitted point "+strconv.Itoa(i), inCFM(p.Fitted), inCFM(p.Difference), 6)
	}
}

// What the test errs by besides its scatter goes into the intervals and not into the middle:
// of the net as a flow, of the sides as a share of each.
func TestOnOffSystematic(t *testing.T) {
	test := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm)
	test.AirHandler = units.Known[units.Flow](1200 * cfm)
	plain, err := test.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	test.Systematic = OnOffSystematic
	r, err := test.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	const more = 1.6449 * 12 // cfm
	if r.Supply.Value != plain.Supply.Value || r.Return.Value != plain.Return.Value || r.Net.Value != plain.Net.Value {
		t.Error("the middles must stay")
	}
	near(t, "net, high", inCFM(r.Net.High-r.Net.Value), math.Hypot(inCFM(plain.Net.High-plain.Net.Value), more), 0.01)
	near(t, "net, low", inCFM(r.Net.Value-r.Net.Low), math.Hypot(inCFM(plain.Net.Value-plain.Net.Low), more), 0.01)
	log := func(a, b units.Flow) float64 { return math.Log(float64(a / b)) }
	near(t, "supply, low", log(r.Supply.Value, r.Supply.Low), math.Hypot(log(plain.Supply.Value, plain.Supply.Low), more/inCFM(plain.Supply.Value)), 1e-4)
	near(t, "return, high", log(r.Return.High, r.Return.Value), math.Hypot(log(plain.Return.High, plain.Return.Value), more/inCFM(plain.Return.Value)), 1e-4)
	test.Systematic = -0.01
	if _, err := test.Evaluate(); err == nil {
		t.Error("an error below zero must be refused")
	}
}

func TestOnOffRepeatable(t *testing.T) {
	test := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm)
	a, err := test.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	b, _ := test.Evaluate()
	if a.Supply != b.Supply || a.Net != b.Net || a.Correlation != b.Correlation {
		t.Error("the same test must give the same numbers")
	}
}

// A test on one side of zero gives the net alone.
func TestOnOffOneSided(t *testing.T) {
	r, err := simulated(oneTruth, 800*cfm, 1600*cfm, []float64{-25, -20, -15, -10, -5}, nil, calm).Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	if !r.OneSided || r.SupplyResolved || r.ReturnResolved {
		t.Errorf("one-sided %v, supply %v, return %v", r.OneSided, r.SupplyResolved, r.ReturnResolved)
	}
	if r.Net.Low > units.Flow(40*cfm) || r.Net.High < units.Flow(40*cfm) {
		t.Errorf("net %v misses 40 cfm", r.Net)
	}
}

func TestOnOffPriorAlone(t *testing.T) {
	test := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm)
	test.AirHandler = units.Measured[units.Flow]{}
	r, err := test.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	if !r.AirHandlerAssumed {
		t.Error("an air-handler flow that was not given must be said to be assumed")
	}
	// A station at zero pressure has its noise from the others.
	test.Differences = append(test.Differences, Difference{Flow: units.Flow(40 * cfm)})
	if r, err = test.Evaluate(); err != nil {
		t.Fatal(err)
	}
	ordered(t, "supply", r.Supply)
	if sd := r.Points[len(r.Points)-1].SD; !(sd > 0) {
		t.Errorf("noise %v at zero pressure", sd)
	}
}

func TestOnOffFitRefuses(t *testing.T) {
	good := simulated(oneTruth, 800*cfm, 1600*cfm, stations, nil, calm)
	few := good
	few.Differences = good.Differences[:1]
	_, err := few.Evaluate()
	refused(t, err, "on/off test")
	still := good
	still.Differences = []Difference{{House: 1, Flow: 1e-3, Envelope: 1e-3}, {House: -1, Flow: 1e-3, Envelope: -1e-3}}
	_, err = still.Evaluate()
	refused(t, err, "on/off test")
	unknown := good
	unknown.Differences = append([]Difference{{House: -30, Flow: 1e-3}}, good.Differences...)
	_, err = unknown.Evaluate()
	refused(t, err, "station")
	// Stations that no exponent near a leak's can follow.
	bent := OnOffTest{Seed: 1}
	for _, s := range [][3]float64{{-25, 247.2, 157 * 1.699}, {-20, 130.4 * 1.699, 23.18}, {-15, 98.23 * 1.699, 115.8 * 1.699}, {-10, 8.401 * 1.699, 82.37}, {-5, 52.62 * 1.699, 94.1}, {5, 52.56 * 1.699, 54.8 * 1.699}} {
		q := s[2] / 3600 * math.Copysign(1, s[0])
		bent.Differences = append(bent.Differences, Difference{House: units.Pressure(s[0]), Flow: units.Flow(s[1]/3600*math.Copysign(1, s[0]) - q), Envelope: units.Flow(q)})
	}
	_, err = bent.Evaluate()
	refused(t, err, "on/off test")
}

// coverage counts how often the 90 % intervals of supply, return, net and the
// two pressures hold a truth drawn from the priors.
func coverage(t *testing.T, houses int, wobble float64) (hit [5]int, widened int) {
	rng := rand.New(rand.NewPCG(41, 2))
	for done, refusals := 0, 0; done < houses; done++ {
		airHandler := 1100 * cfm
		logNormal := func(median, sd float64) float64 { return median * math.Exp(sd*rng.NormFloat64()) }
		truth := [unknowns]float64{
			logNormal(0.05*airHandler, 1), logNormal(0.05*airHandler, 1), logNormal(40, 0.5), logNormal(60, 0.5),
			0.6 + 0.05*rng.NormFloat64(), 0.6 + 0.05*rng.NormFloat64(),
		}
		test := simulated(truth, logNormal(1500*cfm, 0.4), airHandler, stations, rng, wobble)
		test.Seed = rng.Uint64()
		r, err := test.Evaluate()
		if err != nil {
			// a tight house with very leaky ducts: the guard against slips of the
			// pen refuses it, and another is drawn; one in a hundred are
			done--
			if refusals++; refusals > 2+houses/50 {
				t.Fatal(err)
			}
			continue
		}
		if r.Scatter.Widened > 1 {
			widened++
		}
		for i, in := range []bool{
			holds(r.Supply, truth[iSupply]), holds(r.Return, truth[iReturn]), holds(r.Net, truth[iSupply]-truth[iReturn]),
			holds(r.SupplyPressure, truth[iSupplyPressure]), holds(r.ReturnPressure, truth[iReturnPressure]),
		} {
			if in {
				hit[i]++
			}
		}
	}
	return hit, widened
}

func holds[Q ~float64](e units.Estimate[Q], v float64) bool {
	return float64(e.Low) <= v && v <= float64(e.High)
}

// The intervals of the on/off test hold the truth nine times in ten, and nearly
// so with a wobble of 1 Pa that is stated as 0.4: the scatter tells, and the
// intervals are widened. The long run, HOLDBOOK_COVERAGE=2000, must come within
// 88 to 92 % for each quantity, in wind 86 % or more; the short one has room for
// the chance of its few houses.
func TestOnOffCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many simulated tests: left out with -short")
	}
	for _, c := range []struct {
		name         string
		wobble       float64
		low, high    float64
		tells, spare float64 // least and most share of tests that are widened
	}{{"calm", calm, 0.88, 0.92, 0, 0.07}, {"wind", 1, 0.86, 1, 0.70, 1}} {
		t.Run(c.name, func(t *testing.T) {
			houses, slack := 40, 0.13
			if n, err := strconv.Atoi(os.Getenv("HOLDBOOK_COVERAGE")); err == nil && n > 0 {
				houses, slack = n, 0
			}
			hits, widened := coverage(t, houses, c.wobble)
			pooled := 0
			for i, hit := range hits {
				pooled += hit
				name := []string{"supply", "return", "net", "supply pressure", "return pressure"}[i]
				share := float64(hit) / float64(houses)
				t.Logf("%s: %.1f %% of %d houses", name, 100*share, houses)
				if share < c.low-slack || share > c.high+slack {
					t.Errorf("%s: the 90 %% interval holds the truth in %.1f %%", name, 100*share)
				}
			}
			if share := float64(pooled) / float64(5*houses); share < 0.82 || share > 0.97 {
				t.Errorf("pooled: the 90 %% intervals hold the truth in %.1f %%", 100*share)
			}
			share := float64(widened) / float64(houses)
			t.Logf("widened: %.1f %%", 100*share)
			if share < c.tells-slack || share > c.spare+slack {
				t.Errorf("%.1f %% of the tests were widened", 100*share)
			}
		})
	}
}
