package pressure

import (
	"math"

	"holdbook/units"
)

// SampleSummary is what a series of samples says of the reading it was taken
// for. All but Effective are in the samples' own unit.
type SampleSummary[Q ~float64] struct {
	N    int
	Mean Q
	// Spread is the standard deviation of a single sample about the trend.
	Spread Q
	// Drift is the change from the first sample to the last, along a straight line
	// through all of them.
	Drift Q
	// Effective is how many independent samples would tell as much of the mean:
	// N for samples that know nothing of each other, fewer for wind that lasts.
	Effective float64
	// Noise is the standard deviation of the mean that comes from the spread,
	// Spread/√Effective.
	Noise Q
	// SD is the standard deviation of the mean as a value of the time the samples
	// took: Noise, and in quadrature what drifted beyond what noise alone makes.
	SD Q
	// Short says that the series is too short for how long its swings last: Noise
	// is then a lower bound of the error.
	Short bool

	lagWorth float64 // as Effective, from the correlation of neighbours alone
}

// fewSamples is how many samples it takes to see how they hang together; fewer
// are taken as averages read one by one, independent of each other. Judgement.
const fewSamples = 10

// Few says that there are too few samples to see how they hang together: they
// were taken as averages read one by one.
func (s SampleSummary[Q]) Few() bool { return s.N < fewSamples }

// A series tells its own noise where it is of at least tellingSamples, worth at
// least tellingWorth independent ones: slow wind looks like a trend, or like
// nothing, in a shorter one. By simulation of series with a correlation of up to
// 0.97 from sample to sample.
const (
	tellingSamples = 30
	tellingWorth   = 10.0
)

// Telling says that the noise of the mean can be taken from the series itself.
// Else it is a lower bound.
func (s SampleSummary[Q]) Telling() bool {
	return s.N >= tellingSamples && min(s.Effective, s.lagWorth) >= tellingWorth && !s.Short
}

// SummariseSamples gives mean, spread, drift and the effective number of
// independent samples of a series taken at even intervals.
//
// The variance of the mean of correlated samples is S/N with S = Σ γ(k), the sum
// of the autocovariances over all lags; Effective = γ(0)/(S/N). The sum ends by
// the initial positive sequence: pairs of lags are added while their sum is
// above zero and not growing (Geyer 1992, "Practical Markov chain Monte Carlo",
// Statistical Science 7, from memory). Autocovariances about a fitted line are
// too small by 2S/N on average, one S/N for the mean and one for the slope, and
// are corrected for it. Of a drift D the part that noise does not explain adds
// D²/12, as of a value anywhere between its ends: D²/12 − S/N where above zero,
// since noise alone makes a D² of 12·S/N on average.
//
// The error is a *Fault for no samples and for samples that are no numbers.
func SummariseSamples[Q ~float64](samples []Q) (SampleSummary[Q], error) {
	n := len(samples)
	if n == 0 {
		return SampleSummary[Q]{}, &Fault{What: "no samples were given", Why: "nothing can be computed from none", Do: "write the samples, or leave the reading out"}
	}
	values := make([]float64, n)
	for i, v := range samples {
		values[i] = float64(v)
	}
	mean, slope := trend(values)
	if err := needFinite("a sample, or the sum of the samples,", append(values, mean, slope)...); err != nil {
		return SampleSummary[Q]{}, err
	}
	s := SampleSummary[Q]{N: n, Mean: Q(mean), Drift: Q(slope * float64(n-1)), Effective: float64(n)}
	if n < 2 {
		return s, nil
	}
	if s.Few() {
		s = s.independent(values, mean)
		return s, s.finite()
	}
	middle, largest, left := float64(n-1)/2, 0.0, 0.0
	for i, v := range values {
		largest = math.Max(largest, math.Abs(v))
		values[i] -= mean + slope*(float64(i)-middle)
		left = math.Max(left, math.Abs(values[i]))
	}
	if left <= rounding*largest { // the same number throughout, or a straight line
		clear(values)
	}
	s.correlated(values)
	return s, s.finite()
}

// finite refuses samples so far apart that their spread leaves the range of numbers.
func (s SampleSummary[Q]) finite() error {
	return needFinite("the spread of the samples", float64(s.Spread), float64(s.Noise), float64(s.SD), s.Effective)
}

// rounding is what arithmetic may leave of equal samples, relative to them.
const rounding = 1e-12

// trend is the mean of a series and the slope of the line through it, per step.
func trend(values []float64) (mean, slope float64) {
	n := float64(len(values))
	for _, v := range values {
		mean += v / n
	}
	middle := (n - 1) / 2
	sxy, sxx := 0.0, 0.0
	for i, v := range values {
		x := float64(i) - middle
		sxy += x * (v - mean)
		sxx += x * x
	}
	if sxx > 0 {
		slope = sxy / sxx
	}
	return mean, slope
}

// independent fills in a summary of samples that are taken as independent. What
// they drifted is part of their spread.
func (s SampleSummary[Q]) independent(values []float64, mean float64) SampleSummary[Q] {
	sum := 0.0
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	s.Spread = Q(math.Sqrt(sum / float64(s.N-1)))
	s.Noise = s.Spread / Q(math.Sqrt(float64(s.N)))
	s.SD = s.Noise
	return s
}

// mostSwing is the largest share of a series that its correlated lags may take
// up, twice over, before it counts as too short.
const mostSwing = 0.5

// correlated fills in a summary from what is left of the samples beside their
// trend.
func (s *SampleSummary[Q]) correlated(rest []float64) {
	n := float64(s.N)
	zero := autocovariance(rest, 0)
	sum, lags := autocovarianceSum(rest, zero)
	share := 2 * float64(lags) / n
	if share > mostSwing {
		share, s.Short = mostSwing, true
	}
	sum /= 1 - share
	zero += 2 * sum / n
	s.lagWorth = n * lagWorth(rest)
	s.Spread = Q(math.Sqrt(zero))
	noise := sum / n
	if zero > 0 {
		s.Effective = min(max(zero/noise, 1), n)
		noise = zero / s.Effective
	}
	drift := float64(s.Drift)
	s.Noise = Q(math.Sqrt(noise))
	s.SD = Q(math.Sqrt(noise + math.Max(0, drift*drift/12-noise)))
}

// lagWorth is the share of independent samples in a first-order autoregressive
// series with the correlation r from one sample to the next that this one shows,
// (1 − r)/(1 + r). r is estimated (1 + 3r)/N too small when mean and trend have
// been taken out (Marriott and Pope 1954, "Bias in the estimation of
// autocorrelations", Biometrika 41, for the mean, from memory). Slow wind shows
// there where the sum over the lags ends too early.
func lagWorth(rest []float64) float64 {
	zero := autocovariance(rest, 0)
	if zero == 0 {
		return 1
	}
	r := autocovariance(rest, 1) / zero
	r += (1 + 3*r) / float64(len(rest))
	r = math.Min(math.Max(r, 0), 1)
	return (1 - r) / (1 + r)
}

// autocovariance is that of a series about zero at a lag.
func autocovariance(rest []float64, lag int) float64 {
	sum := 0.0
	for i := lag; i < len(rest); i++ {
		sum += rest[i] * rest[i-lag]
	}
	return sum / float64(len(rest))
}

// leastPair is how large a pair of autocovariances must be to count, in standard
// deviations of a pair of a series without correlation, √(2/N) of its variance:
// smaller ones are mostly the noise of their own estimate. Chosen by simulation.
const leastPair = 1.0

// autocovarianceSum adds the autocovariances of both signs of lag by the initial
// positive sequence, and says how many lags it took.
func autocovarianceSum(rest []float64, zero float64) (sum float64, lags int) {
	last := math.Inf(1)
	least := zero * leastPair * math.Sqrt(2/float64(len(rest)))
	for k := 0; k+1 < len(rest); k += 2 {
		even := zero
		if k > 0 {
			even = autocovariance(rest, k)
		}
		pair := even + autocovariance(rest, k+1)
		if pair <= least && k > 0 || pair <= 0 {
			break
		}
		last = math.Min(last, pair)
		sum += 2 * last
		lags += 4
	}
	// Lag zero stands once, not for both signs.
	return math.Max(sum-zero, zero/float64(len(rest))), max(lags-1, 1)
}

// WobbleFromBaseline is the wind left in a pressure reading that is averaged for
// as long as a baseline was sampled: the noise of that baseline's mean, its drift
// apart. A series that is not Telling tells too little; the error says so.
func WobbleFromBaseline(samples []units.Pressure) (units.Pressure, error) {
	s, err := SummariseSamples(samples)
	switch {
	case err != nil:
		return 0, err
	case s.Few():
		return 0, &Fault{What: "the baseline has only " + plain(float64(s.N)) + " samples", Why: "the wobble cannot be taken from so few", Do: "sample it for longer, or state the gauge's wobble"}
	case !s.Telling():
		return 0, &Fault{What: "the baseline swings too slowly for the time it was sampled", Why: "the wobble cannot be taken from it", Do: "sample it for longer, or state the gauge's wobble"}
	}
	return s.Noise, nil
}
