package ductleak

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Answer is what one test says of a quantity that several tests measured.
type Answer struct {
	Name     string
	Result   units.Estimate[units.Flow]
	Resolved bool // a test that did not resolve it takes no part
	// Meter is the instrument whose calibration the answer carries, so that others
	// by the same one share it; its zero value shares nothing.
	Meter Meter
}

// Meter is an instrument that several tests were made with. SDLn is the relative
// standard deviation of its calibration, which each of their intervals holds.
type Meter struct {
	Name string
	SDLn float64
}

// Combination is several answers to one question taken together.
type Combination struct {
	Combined units.Estimate[units.Flow]
	Used     []string // the tests that took part
	// Agrees tells of each answer given whether it lies within the doubt of
	// itself and the others together; true where it stands alone or took no part.
	Agrees []bool
	// Agree tells whether all do: Chance, of a misfit as large or larger among
	// tests that all measure the same, is 5 % or more.
	Agree  bool
	Misfit float64 // weighted squared distances from the combination
	Chance float64
	// Widened is the factor by which the interval was widened because the
	// answers disagree; 1 when they agree.
	Widened float64
}

// agreeLevel is the chance below which tests are said to disagree.
const agreeLevel = 0.05

// logAnswer is an answer as a logarithm: sd is what is its own, shared what the
// others by the same meter carry too.
type logAnswer struct {
	x, sd, shared float64
	meter         int
}

// Combine takes the answers of several tests together: the mean of their
// logarithms weighted by the inverse squares of their standard deviations. The
// calibration of a meter counts once: it is taken out of the answers by that
// meter before they are weighed among each other and put back to their mean.
//
// Where the answers disagree the combined interval is widened by the square
// root of misfit over degrees of freedom; a calibration that all share, which
// no disagreement shows, is not. Common practice, no source.
func Combine(answers []Answer) (Combination, error) {
	c := Combination{Agrees: make([]bool, len(answers)), Agree: true, Chance: 1, Widened: 1}
	var logs []logAnswer
	var from []int
	for i, a := range answers {
		if err := checkNotNegative("calibration of the "+a.Meter.Name, units.Known(units.Ratio(a.Meter.SDLn))); err != nil {
			return Combination{}, err
		}
		c.Agrees[i] = true
		if a.Resolved && checkPositiveEstimate(a.Name, a.Result) == nil {
			// an answer whose meter has no name shares nothing
			meter := slices.IndexFunc(answers[:i], func(b Answer) bool { return b.Meter.Name == a.Meter.Name && a.Meter.Name != "" })
			if meter < 0 {
				meter = i
			}
			logs, from = append(logs, logOf(a, meter)), append(from, i)
			c.Used = append(c.Used, a.Name)
		}
	}
	if len(logs) == 0 {
		return Combination{}, wrong("duct tests", "repeat one of them with a larger change of flow", "none resolves the quantity")
	}
	if len(logs) == 1 {
		c.Combined = answers[from[0]].Result
		return c, nil
	}
	mean := meanOf(logs)
	c.judge(logs, from, mean)
	x, sd := mean.x, mean.widened(c.Widened)
	c.Combined = units.Estimate[units.Flow]{
		Value: units.Flow(math.Exp(x)), Low: units.Flow(math.Exp(x - fit.Z90*sd)), High: units.Flow(math.Exp(x + fit.Z90*sd)),
	}
	return c, checkResult("duct tests", c.Combined)
}

func (c *Combination) judge(logs []logAnswer, from []int, mean logMean) {
	c.Misfit = mean.misfit
	for i, l := range logs {
		others := meanOf(slices.Delete(slices.Clone(logs), i, i+1))
		variance := l.sd*l.sd + l.shared*l.shared + others.variance
		if k := others.index(l.meter); k >= 0 {
			variance -= 2 * others.meters[k].weight * l.shared * l.shared // both carry it
		}
		c.Agrees[from[i]] = math.Abs(l.x-others.x) <= 1.96*math.Sqrt(max(0, variance))
	}
	freedom := float64(len(logs) - 1)
	c.Chance = distuv.ChiSquared{K: freedom}.Survival(c.Misfit)
	if c.Agree = c.Chance >= agreeLevel; !c.Agree {
		c.Widened = math.Sqrt(c.Misfit / freedom)
	}
}

// leastLogSD keeps an answer given without doubt from dividing by zero.
const leastLogSD = 1e-6

func logOf(a Answer, meter int) logAnswer {
	sd, shared := pressure.SDLn(a.Result), a.Meter.SDLn
	own := math.Max(leastLogSD, math.Sqrt(math.Max(0, sd*sd-shared*shared)))
	return logAnswer{x: math.Log(float64(a.Result.Value)), sd: own, shared: shared, meter: meter}
}

// logMean is the mean of several answers. misfit is the sum of squares that it
// leaves, in standard deviations, the calibration of each meter counted once.
type logMean struct {
	x, variance, misfit float64
	meters              []meterMean
}

// meterMean is the mean of the answers by one meter, and its share in that of all.
type meterMean struct {
	logAnswer
	weight float64
}

// meanOf is the mean of least variance: within a meter by what is each answer's
// own, then over the meters with their calibrations.
func meanOf(logs []logAnswer) logMean {
	var m logMean
	for _, l := range logs {
		m.join(l)
	}
	sum := 0.0
	for _, g := range m.meters {
		w := 1 / (g.sd*g.sd + g.shared*g.shared)
		sum += w
		m.x += w * g.x
	}
	m.x, m.variance = m.x/sum, 1/sum
	for i := range m.meters {
		g := &m.meters[i]
		g.weight = m.variance / (g.sd*g.sd + g.shared*g.shared)
		m.misfit += g.weight * math.Pow(g.x-m.x, 2) * sum
	}
	for _, l := range logs {
		m.misfit += math.Pow((l.x-m.meters[m.index(l.meter)].x)/l.sd, 2)
	}
	return m
}

// join takes an answer into the mean of its meter.
func (m *logMean) join(l logAnswer) {
	k := m.index(l.meter)
	if k < 0 {
		m.meters = append(m.meters, meterMean{logAnswer: l})
		return
	}
	g := &m.meters[k]
	before, more := 1/(g.sd*g.sd), 1/(l.sd*l.sd)
	g.x, g.sd = (before*g.x+more*l.x)/(before+more), 1/math.Sqrt(before+more)
}

func (m *logMean) index(meter int) int {
	return slices.IndexFunc(m.meters, func(g meterMean) bool { return g.meter == meter })
}

// widened is the standard deviation of the mean with what disagreement adds to
// all of it but the calibration of the only meter.
func (m *logMean) widened(by float64) float64 {
	hidden := 0.0
	if len(m.meters) == 1 {
		hidden = math.Pow(m.meters[0].shared, 2)
	}
	return math.Sqrt(by*by*(m.variance-hidden) + hidden)
}
