package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// LinearBelow is the pressure difference below which a Leak is made linear, so
// that its slope stays finite at zero.
const LinearBelow units.Pressure = 0.01

// lnLinearBelow is ln 0.01.
const lnLinearBelow = -4.605170185988091

// Leak is a leak that follows the power law Q = C·|Δp|^n·sign(Δp), made linear
// below LinearBelow. It is the inner loop of the network solver: its methods
// allocate nothing and check nothing. C must be finite and not negative and N
// between 0.5 and 1; NewLeak checks that.
//
// Source: ASHRAE Handbook of Fundamentals 2021, ch. 16 eq 40.
type Leak struct {
	C float64 // m³/(s·Pa^n)
	N float64 // exponent, no unit
}

// ReferencePressure is the pressure in pascals at which the size of a leak is stated and
// a house is usually held: common to the standards of door-fan tests.
const ReferencePressure = 50.0

// The ends of the exponent of a leak: an orifice and laminar flow. Source: HoF 2021 ch.16.
const (
	MinExponent = 0.5
	MaxExponent = 1.0
)

// SignedPower is |x|^n with the sign of x, for n above zero: the power law of a pressure
// that may turn round. exp and log together take a third of the time of math.Pow.
func SignedPower(x, n float64) float64 {
	return math.Copysign(math.Exp(n*math.Log(math.Abs(x))), x)
}

// FlowRatio is (p/at)^n: the flow of a leak at p over its flow at the pressure at, which
// must be above zero. It has the sign of p and is straight below LinearBelow, as a Leak is.
func FlowRatio(p, at units.Pressure, n units.Ratio) float64 {
	if m := units.Pressure(math.Abs(float64(p))); m < LinearBelow {
		return float64(p/LinearBelow) * SignedPower(float64(LinearBelow/at), float64(n))
	}
	return SignedPower(float64(p/at), float64(n))
}

// NewLeak returns the leak that passes q at the pressure difference at (both
// above zero) with exponent n from 0.5 to 1.
func NewLeak(q units.Flow, at units.Pressure, n units.Ratio) (Leak, error) {
	err := cmp.Or(needPositive("the flow", float64(q)), needPositive("the pressure", float64(at)), needExponent(n))
	if err != nil {
		return Leak{}, err
	}
	l := Leak{C: float64(q) * math.Exp(-float64(n)*math.Log(float64(at))), N: float64(n)}
	return l, l.check()
}

// check refuses a leak that the power law cannot use.
func (l Leak) check() error {
	return cmp.Or(needPositive("the leakage coefficient C", l.C), needExponent(units.Ratio(l.N)))
}

// power returns p^(n-1) for p ≥ 0.01 Pa. A square root is several times faster
// than exp and log, and every opening has n 0.5; exp and log together are
// about twice as fast as math.Pow.
func (l Leak) power(p float64) float64 {
	if l.N == 0.5 {
		return 1 / math.Sqrt(p)
	}
	return math.Exp((l.N - 1) * math.Log(p))
}

// Flow returns the flow at a pressure difference; it has the sign of dp.
func (l Leak) Flow(dp units.Pressure) units.Flow {
	p := math.Max(math.Abs(float64(dp)), float64(LinearBelow))
	return units.Flow(l.C * l.power(p) * float64(dp))
}

// FlowAndSlope returns the flow at a pressure difference and its derivative
// by the pressure difference, in m³/(s·Pa), which is never negative. The flow
// is continuous and odd in dp; the slope steps by the factor n at 0.01 Pa.
func (l Leak) FlowAndSlope(dp units.Pressure) (q units.Flow, slope float64) {
	p := math.Abs(float64(dp))
	if p < float64(LinearBelow) {
		slope = l.C * l.power(float64(LinearBelow))
		return units.Flow(slope * float64(dp)), slope
	}
	k := l.C * l.power(p)
	return units.Flow(k * float64(dp)), k * l.N
}

// FlowPartials returns the flow, its derivative by the pressure difference and
// its derivative by the exponent with C held (dn). The derivative by ln C is
// the flow itself. With the flow at a reference pressure P held in place of C
// the derivative by the exponent is dn - q·ln P.
func (l Leak) FlowPartials(dp units.Pressure) (q units.Flow, slope, dn float64) {
	p, n, logp := math.Abs(float64(dp)), l.N, lnLinearBelow
	if p < float64(LinearBelow) {
		n = 1
	} else {
		logp = math.Log(p)
	}
	k := l.C * math.Exp((l.N-1)*logp)
	flow := k * float64(dp)
	return units.Flow(flow), k * n, flow * logp
}

// PressureFor returns the pressure difference at which the leak passes q; it
// has the sign of q. A leak with C zero passes nothing at any pressure: 0.
func (l Leak) PressureFor(q units.Flow) units.Pressure {
	if l.C <= 0 || q == 0 {
		return 0
	}
	ratio := math.Abs(float64(q)) / l.C
	if linear := ratio / l.power(float64(LinearBelow)); linear < float64(LinearBelow) {
		return units.Pressure(math.Copysign(linear, float64(q)))
	}
	const largest = 700 // keeps the exponential finite whatever the flow
	return units.Pressure(math.Copysign(math.Exp(math.Min(math.Log(ratio)/l.N, largest)), float64(q)))
}
