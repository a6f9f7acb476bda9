package zonal

import (
	"cmp"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Estimate is what the readings say of a house, each number with its 90 %
// interval.
type Estimate struct {
	Flow50    units.Estimate[units.Flow]  // of the house as found, at 50 Pa
	Exponent  units.Estimate[units.Ratio] // d ln Q/d ln P at 50 Pa
	Area4     units.Estimate[units.Area]  // effective leakage area: 4 Pa, coefficient 1
	Area10    units.Estimate[units.Area]  // equivalent leakage area: 10 Pa, coefficient 0.611
	Paths     []PathEstimate              // as Model.Paths
	Zones     []ZoneEstimate              // one a zone, as Model.Spaces[2:]
	Direct    units.Estimate[units.Ratio] // share of Flow50 through the leaks from house to outside; 0 where there are none
	Openings  []OpeningEstimate           // as Model.Openings
	Readings  []ReadingEstimate           // every reading, hold by hold
	Intervals string                      // "curvature" or "sampled"
	Posterior *Posterior

	// Coefficient is C of the power law C·P^n through the flow at 50 Pa: m³/s at 1 Pa.
	Coefficient units.Estimate[units.Flow]
}

// Doubt says how far an estimate has been resolved by the readings.
type Doubt struct {
	// Resolved is false where the readings only bound the number: its interval is
	// wider (in the logarithm) than half its prior's, or its ends are further
	// apart than a factor of six.
	Resolved bool
	// MostlyPrior marks a number whose standard deviation (of the logarithm) is
	// above 0.7 of its prior's.
	MostlyPrior bool
}

// PathEstimate is one leak.
type PathEstimate struct {
	Flow50   units.Estimate[units.Flow] // at 50 Pa across it alone
	Area4    units.Estimate[units.Area] // 4 Pa, coefficient 1
	Exponent units.Estimate[units.Ratio]
	Now50    *units.Estimate[units.Flow] // what it passes as found at 50 Pa; nil for covered registers
	Doubt
}

// ZoneEstimate is one side space as found, with the house at 50 Pa.
type ZoneEstimate struct {
	Space    SpaceID
	ToHouse  units.Estimate[units.Pressure] // magnitude
	Fraction units.Estimate[units.Ratio]    // connection fraction
	Through  units.Estimate[units.Flow]     // flow between house and zone
	Share    units.Estimate[units.Ratio]    // Through over the flow of the house
	Ratio    *units.Estimate[units.Ratio]   // house side over outside side
	Doubt                                   // of Through
}

// OpeningEstimate is something opened for a hold.
type OpeningEstimate struct {
	Flow50 units.Estimate[units.Flow]
	Area   units.Estimate[units.Area] // sharp-edged, coefficient 0.60
	Known  bool
	Doubt
}

// ReadingKind tells a pressure from the flows.
type ReadingKind int

// The kinds of reading.
const (
	HouseReading ReadingKind = iota
	FanReading
	ZoneReading
	PathReading
	SourceReading
)

// IsFlow tells a flow (m³/s) from a pressure (Pa).
func (k ReadingKind) IsFlow() bool { return k != HouseReading && k != ZoneReading }

// Amount is what a reading measures, with its 90 % interval: a flow in m³/s, or else a
// pressure in pascals.
type Amount struct {
	Flow bool
	units.Estimate[float64]
}

// ReadingEstimate sets a reading beside what the estimate says it should be.
type ReadingEstimate struct {
	Hold      int
	Kind      ReadingKind
	Of, To    SpaceID
	Read      float64 // Pa or m³/s, as Kind says
	Predicted Amount
	OffBySD   float64 // (read − predicted)/sd of the reading
}

const mostPriorRatio = 0.7

// interval is a quantity's distribution in brief.
type interval struct {
	fit.Interval
	sd float64 // on the quantity's scale
}

// catalogue collects the quantities to be computed in one pass over the draws.
type catalogue struct {
	list   []quantity
	out    []interval
	curved []bool      // of each quantity: its interval is from curvature
	values [][]float64 // of each quantity at the draws; nil where there are none
	// readings is where the predictions of the readings start, one for each term; 0
	// where none are asked for.
	readings int
}

func (c *catalogue) add(q quantity) int {
	c.list = append(c.list, q)
	return len(c.list) - 1
}

// Solve finds the posterior of a model and everything that follows from it.
func Solve(m *Model, o Options) (*Estimate, error) {
	post, err := Infer(m, o)
	if err != nil {
		return nil, err
	}
	return post.Estimate()
}

// Estimate evaluates everything that is reported.
func (post *Posterior) Estimate() (*Estimate, error) {
	if err := post.checkMode(); err != nil {
		return nil, err
	}
	p, m := post.problem, post.problem.model
	var c catalogue
	house := [4]int{c.add(foundFlow(0)), c.add(networkExponent), c.add(foundFlow(1)), c.add(foundFlow(2))}
	coefficient := c.add(networkCoefficient)
	paths := c.addPaths(p)
	zones := c.addZones(p)
	direct := c.add(flowShare(House, Outside))
	first := len(c.list)
	for k := range m.Openings {
		c.add(p.openingFlow(k))
	}
	c.readings = len(c.list)
	for i := range p.terms {
		c.add(p.predicted(i))
	}
	if err := post.evaluate(&c); err != nil {
		return nil, err
	}
	e := &Estimate{Posterior: post, Intervals: c.intervals()}
	e.Flow50 = flow(c.out[house[0]])
	e.Exponent = ratio(c.out[house[1]])
	e.Area4 = area(c.out[house[2]], pressure.At4Pa, m.Air)
	e.Area10 = area(c.out[house[3]], pressure.At10Pa, m.Air)
	e.Coefficient = flow(c.out[coefficient])
	if m.PathBetween(House, Outside) >= 0 {
		e.Direct = ratio(c.out[direct])
	}
	for i, at := range paths {
		e.Paths = append(e.Paths, m.pathEstimate(i, at, c.out))
	}
	for z, at := range zones {
		e.Zones = append(e.Zones, zoneEstimate(SpaceID(z+2), at, c.out))
	}
	for k := range m.Openings {
		e.Openings = append(e.Openings, m.openingEstimate(k, c.out[first+k]))
	}
	for _, i := range p.readings {
		e.Readings = append(e.Readings, p.terms[i].readingEstimate(c.out[c.readings+i]))
	}
	return e, nil
}

// intervals says how the intervals came about: sampled if any was.
func (c *catalogue) intervals() string {
	if slices.Contains(c.curved, false) {
		return "sampled"
	}
	return "curvature"
}

// addPaths adds the quantities of each path and tells where they start.
func (c *catalogue) addPaths(p *problem) []int {
	var at []int
	for i, q := range p.model.Paths {
		at = append(at, len(c.list))
		c.add(p.pathFlow(i, Reference))
		c.add(p.pathFlow(i, 4))
		c.add(p.pathExponentOf(i))
		if !q.Covered {
			c.add(p.pathNow(i))
		}
	}
	return at
}

// addZones adds the quantities of each zone and tells where they start.
func (c *catalogue) addZones(p *problem) []int {
	var at []int
	for z := 2; z < len(p.model.Spaces); z++ {
		at = append(at, len(c.list))
		id := SpaceID(z)
		c.add(toHouse(id))
		c.add(connection(id))
		c.add(throughFlow(id))
		c.add(flowShare(House, id))
		if i, j := p.model.PathBetween(House, id), p.model.PathBetween(id, Outside); i >= 0 && j >= 0 {
			c.add(p.sizeRatio(i, j))
		} else {
			c.add(quantity{linearScale, func(*probe, []float64) float64 { return math.NaN() }})
		}
	}
	return at
}

func (m *Model) pathEstimate(i, at int, out []interval) PathEstimate {
	q := m.Paths[i]
	e := PathEstimate{Flow50: flow(out[at]), Area4: area(out[at+1], pressure.At4Pa, m.Air), Exponent: ratio(out[at+2])}
	e.Doubt = doubt(out[at], q.Flow50.SDLn)
	if !q.Covered {
		now := flow(out[at+3])
		e.Now50 = &now
	}
	return e
}

func zoneEstimate(z SpaceID, at int, out []interval) ZoneEstimate {
	e := ZoneEstimate{Space: z, ToHouse: pressureOf(out[at]), Fraction: ratio(out[at+1]), Through: flow(out[at+2]), Share: ratio(out[at+3])}
	e.Doubt = doubt(out[at+2], 0)
	if r := ratio(out[at+4]); units.Finite(float64(r.Value)) {
		e.Ratio = &r
	}
	return e
}

func (m *Model) openingEstimate(k int, i interval) OpeningEstimate {
	o := m.Openings[k]
	e := OpeningEstimate{Flow50: flow(i), Known: o.Area > 0, Doubt: doubt(i, o.Flow50.SDLn)}
	cd := pressure.SharpCd
	if e.Known {
		e.Doubt = Doubt{Resolved: true}
		cd = units.Ratio(cmp.Or(o.Cd, commonCd))
	}
	e.Area = area(i, pressure.AreaReference{Pressure: Reference, Cd: cd}, m.Air)
	return e
}

func (t *term) readingEstimate(v interval) ReadingEstimate {
	e := ReadingEstimate{Hold: t.hold, Kind: ReadingKind(t.kind), Of: SpaceID(t.of), To: SpaceID(t.to), Read: t.read}
	e.Predicted = Amount{Flow: t.isFlow(), Estimate: scaled[float64](v, 1)}
	e.OffBySD = (t.read - v.Median) / t.sd
	if t.isFlow() {
		e.OffBySD /= v.Median
	}
	if t.kind == houseTerm {
		e.Of, e.To = House, Outside
	}
	return e
}

// doubt judges an interval against the sd of its prior's logarithm; 0 for a
// quantity that has no prior of its own.
func doubt(i interval, priorSD float64) Doubt {
	if !(i.Low > 0) {
		return Doubt{}
	}
	width := math.Log(i.High / i.Low)
	d := Doubt{Resolved: !units.FactorsApart(i.Low, i.High)}
	if priorSD > 0 {
		prior := 2 * fit.Z90 * priorSD
		d.Resolved = d.Resolved && width <= prior/2
		d.MostlyPrior = i.sd > mostPriorRatio*priorSD
	}
	return d
}

func flow(i interval) units.Estimate[units.Flow]           { return scaled[units.Flow](i, 1) }
func ratio(i interval) units.Estimate[units.Ratio]         { return scaled[units.Ratio](i, 1) }
func pressureOf(i interval) units.Estimate[units.Pressure] { return scaled[units.Pressure](i, 1) }
func area(i interval, r pressure.AreaReference, air units.Density) units.Estimate[units.Area] {
	return scaled[units.Area](i, float64(r.Area(1, air)))
}

func scaled[Q ~float64](i interval, k float64) units.Estimate[Q] {
	return units.Estimate[Q]{Value: Q(k * i.Median), Low: Q(k * i.Low), High: Q(k * i.High)}
}

// evaluate fills the catalogue's intervals: from curvature where it serves, else
// from the draws.
func (post *Posterior) evaluate(c *catalogue) error {
	curved := post.stencil(c.list)
	if math.IsNaN(curved.centre[0]) {
		return errNoBalance
	}
	c.curved = make([]bool, len(c.list))
	for k := range c.curved {
		c.curved[k] = true
	}
	if len(post.draws) > 0 {
		c.curved = post.curvatureServes(c.list, curved)
		c.values = post.drawn(c)
	}
	c.out = make([]interval, len(c.list))
	post.workers.each(len(c.list), func(k int) {
		q := c.list[k]
		c.out[k] = curved.interval(k, q)
		if c.values == nil {
			return
		}
		drawn := post.weighted(q, c.values[k])
		if c.curved[k] = c.curved[k] && q.agree(c.out[k], drawn); !c.curved[k] {
			c.out[k] = drawn
		}
	})
	return nil
}

// weighted is the interval of a quantity from its values at the draws, leaving
// out those that could not be computed.
func (post *Posterior) weighted(q quantity, values []float64) interval {
	v, w := values, post.weights
	if slices.ContainsFunc(values, func(x float64) bool { return !units.Finite(x) }) {
		v, w = make([]float64, 0, len(values)), make([]float64, 0, len(values))
		for i, x := range values {
			if units.Finite(x) {
				v, w = append(v, x), append(w, post.weights[i])
			}
		}
	}
	mean, square, total := 0.0, 0.0, 0.0
	for i, x := range v {
		if y := q.scale.to(x); units.Finite(y) {
			mean, square, total = mean+w[i]*y, square+w[i]*y*y, total+w[i]
		}
	}
	mean /= total
	return interval{fit.WeightedIntervalOf(v, w), math.Sqrt(math.Max(square/total-mean*mean, 0))}
}

// drawn evaluates the catalogue's quantities at the draws. What the readings should
// have been follows from the residuals kept.
func (post *Posterior) drawn(c *catalogue) [][]float64 {
	if post.residuals == nil || c.readings == 0 {
		return post.values(c.list, post.draws)
	}
	out := append(post.values(c.list[:c.readings], post.draws), make([][]float64, len(post.problem.terms))...)
	post.workers.each(len(post.problem.terms), func(i int) {
		column := make([]float64, len(post.draws))
		for k, x := range post.draws {
			column[k] = post.problem.terms[i].predictedReading(post.residuals[k][i], x)
		}
		out[c.readings+i] = column
	})
	return out
}

// values evaluates quantities at rows of parameters: a row a quantity, NaN
// where a network could not be solved.
func (post *Posterior) values(list []quantity, rows [][]float64) [][]float64 {
	out := make([][]float64, len(list))
	for k := range out {
		out[k] = make([]float64, len(rows))
		for i := range out[k] {
			out[k][i] = math.NaN()
		}
	}
	post.eachRow(rows, func(i int, p *probe, x []float64) {
		for k, q := range list {
			out[k][i] = q.value(p, x)
		}
	})
	return out
}
