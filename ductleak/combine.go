package ductleak

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdbook/units"
)

// Answer is what one test says of a quantity that several tests measured.
type Answer struct {
	Name     string
	Result   units.Estimate[units.Flow]
	Resolved bool // a test that did not resolve it takes no part
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

type logAnswer struct{ x, sd float64 }

// Combine takes the answers of several tests together: the mean of their
// logarithms weighted by the inverse squares of their standard deviations.
// shared is the relative standard deviation of an error that all have in
// common (the calibration of one fan, say) and that each interval holds: it is
// taken out before the weighting and put back after.
//
// Where the answers disagree the combined interval is widened by the square
// root of misfit over degrees of freedom. Common practice, no source.
func Combine(answers []Answer, shared float64) (Combination, error) {
	if err := checkNotNegative("error shared by the duct tests", Known(units.Ratio(shared))); err != nil {
		return Combination{}, err
	}
	c := Combination{Agrees: make([]bool, len(answers)), Agree: true, Chance: 1, Widened: 1}
	var logs []logAnswer
	var from []int
	for i, a := range answers {
		c.Agrees[i] = true
		if a.Resolved && checkPositiveEstimate(a.Name, a.Result) == nil {
			logs, from = append(logs, logOf(a.Result, shared)), append(from, i)
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
	mean := weightedMean(logs, -1)
	c.judge(logs, from, mean)
	sd := math.Hypot(mean.sd*c.Widened, shared)
	c.Combined = units.Estimate[units.Flow]{
		Value: units.Flow(math.Exp(mean.x)),
		Low:   units.Flow(math.Exp(mean.x - z90*sd)),
		High:  units.Flow(math.Exp(mean.x + z90*sd)),
	}
	return c, checkResult("duct tests", c.Combined)
}

func (c *Combination) judge(logs []logAnswer, from []int, mean logAnswer) {
	for i, l := range logs {
		c.Misfit += math.Pow((l.x-mean.x)/l.sd, 2)
		others := weightedMean(logs, i)
		c.Agrees[from[i]] = math.Abs(l.x-others.x) <= 1.96*math.Hypot(l.sd, others.sd)
	}
	freedom := float64(len(logs) - 1)
	c.Chance = distuv.ChiSquared{K: freedom}.Survival(c.Misfit)
	if c.Agree = c.Chance >= agreeLevel; !c.Agree {
		c.Widened = math.Sqrt(c.Misfit / freedom)
	}
}

// leastLogSD keeps an answer given without doubt from dividing by zero.
const leastLogSD = 1e-6

func logOf(e units.Estimate[units.Flow], shared float64) logAnswer {
	sd := math.Log(float64(e.High/e.Low)) / (2 * z90)
	return logAnswer{
		x:  math.Log(float64(e.Value)),
		sd: math.Max(leastLogSD, math.Sqrt(math.Max(0, sd*sd-shared*shared))),
	}
}

// weightedMean is the precision-weighted mean of all but one; −1 leaves none out.
func weightedMean(logs []logAnswer, without int) logAnswer {
	var sum, weights float64
	for i, l := range logs {
		if i != without {
			sum += l.x / (l.sd * l.sd)
			weights += 1 / (l.sd * l.sd)
		}
	}
	return logAnswer{x: sum / weights, sd: 1 / math.Sqrt(weights)}
}
