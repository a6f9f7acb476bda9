package zonal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

// Bounds of the exponent of a leak: an orifice and laminar flow.
const (
	minExponent = pressure.MinExponent
	maxExponent = pressure.MaxExponent
)

// sharpExponent is the exponent of any deliberate opening.
const sharpExponent = pressure.SharpExponent

// The discharge coefficient that known holes share, its standard deviation, and the
// relative one of their area.
var (
	commonCd   = float64(sharpHole.Cd)
	commonCdSD = float64(sharpHole.CdSD)
	holeAreaSD = float64(sharpHole.AreaSD)
	sharpHole  = pressure.SharpHole(0)
)

// slot is the place of an unknown in the parameter vector; none marks one that
// is known.
type slot int

const none slot = -1

// unknownKind tells what a parameter is.
type unknownKind int

const (
	pathSize unknownKind = iota
	pathExponent
	openingSize
	coefficient
	holeArea
	calibration
	housePressure
	fanTrueFlow
)

// unknown is one parameter: what it is, which one, and its prior, normal in the
// parameter itself (sizes and calibrations are logarithms). sd 0 means flat;
// then scale is a length of the order of its posterior sd.
type unknown struct {
	kind  unknownKind
	index int // path, opening, calibration, hold, or hold and fan
	sub   int // fan within the hold
	mean  float64
	sd    float64
	scale float64
}

// term is one reading as a residual.
type term struct {
	kind    termKind
	hold    int
	read    float64 // Pa, or m³/s
	sd      float64 // Pa, or of the logarithm of a flow
	of, to  int     // spaces of a pressure or of a measured path flow
	through []int   // edges of a measured path flow, positive from of to to
	sign    []float64
	cal     []slot
	source  slot // of a further fan's true flow
}

type termKind int

const (
	houseTerm termKind = iota
	fanTerm
	pressureTerm
	flowTerm
	sourceTerm
)

// edgeSlots says where an edge's two numbers come from.
type edgeSlots struct {
	size     []slot // summed: an opening of known area adds Cd and area errors
	base     float64
	exponent slot
	known    float64 // exponent when it is not an unknown
}

// holdPlan is one hold, compiled: its edges and its further fans.
type holdPlan struct {
	edges     []edgeSlots
	ends      [][2]SpaceID
	fans      []FanSource
	fanSlots  []slot
	house     slot
	paths     []int // edge of each path of the model, -1 when it is not there
	direction float64
	terms     []int
}

// problem is a model compiled for estimation. It is read-only after compile and
// may be shared by any number of evaluators.
type problem struct {
	model       *Model
	order       order
	unknowns    []unknown // in the order of the parts they belong to
	terms       []term    // likewise
	readings    []int     // term of each reading, in the order of the model
	holds       []holdPlan
	size        []slot // of each path
	exponent    []slot
	opening     []slot
	calib       []slot
	coefficient slot                  // of the discharge coefficient common to known holes
	scores      []fit.TruncatedNormal // of each unknown that is an exponent
}

// compile lays out the unknowns and the readings of a model. The errors name
// the part of the model that cannot be used.
func compile(m *Model) (*problem, error) {
	if err := check(m); err != nil {
		return nil, err
	}
	p := &problem{model: m, order: orderOf(m)}
	if err := p.layPaths(); err != nil {
		return nil, err
	}
	p.layOpenings()
	p.calib = make([]slot, len(m.Calibrations))
	for _, i := range p.order.calibrations {
		sd := m.Calibrations[i].SDLn
		p.calib[i] = p.add(unknown{kind: calibration, index: i, sd: sd}, sd > 0)
	}
	p.holds = make([]holdPlan, len(m.Holds))
	readings := make([][]int, len(m.Holds))
	for _, h := range p.order.holds {
		p.layHold(h)
		readings[h] = p.layTerms(h)
	}
	p.readings = slices.Concat(readings...)
	return p, nil
}

// add gives an unknown its slot, or none when it is known.
func (p *problem) add(u unknown, isUnknown bool) slot {
	if !isUnknown {
		return none
	}
	if u.scale == 0 {
		u.scale = u.sd
	}
	p.unknowns = append(p.unknowns, u)
	return slot(len(p.unknowns) - 1)
}

func (p *problem) layPaths() error {
	p.size, p.exponent = make([]slot, len(p.model.Paths)), make([]slot, len(p.model.Paths))
	for _, i := range p.order.paths {
		q := p.model.Paths[i].Flow50
		p.size[i] = p.add(unknown{kind: pathSize, index: i, mean: math.Log(float64(q.Median)), sd: q.SDLn}, q.SDLn > 0)
	}
	p.scores = make([]fit.TruncatedNormal, len(p.unknowns), len(p.unknowns)+len(p.model.Paths))
	second := map[int]bool{} // of a pair with one exponent
	for _, a := range p.model.Alike {
		second[a[1]] = true
	}
	for _, i := range p.order.paths {
		prior := p.model.Paths[i].Exponent
		if second[i] {
			continue
		}
		p.exponent[i] = p.add(unknown{kind: pathExponent, index: i, mean: prior.Mean, sd: prior.SD}, prior.SD > 0)
		if prior.SD == 0 {
			continue
		}
		t, err := fit.NewTruncatedNormal(prior.Mean, prior.SD, minExponent, maxExponent)
		if err != nil {
			return fmt.Errorf("path %d, exponent: %w", i, err)
		}
		p.scores = append(p.scores, t)
	}
	for _, a := range p.model.Alike {
		p.exponent[a[1]] = p.exponent[a[0]]
	}
	return nil
}

// layOpenings gives an opening of unknown size its size, and one of known area
// its area error and the discharge coefficient that all such holes share.
func (p *problem) layOpenings() {
	p.coefficient = none
	p.opening = make([]slot, len(p.model.Openings))
	for _, i := range p.order.openings {
		o := p.model.Openings[i]
		if o.Area > 0 {
			if o.Cd == 0 && p.coefficient == none {
				p.coefficient = p.add(unknown{kind: coefficient, sd: p.model.CdSDLn}, p.model.CdSDLn > 0)
			}
			p.opening[i] = p.add(unknown{kind: holeArea, index: i, sd: o.AreaSDLn}, o.AreaSDLn > 0)
			continue
		}
		mean := math.Log(float64(o.Flow50.Median))
		p.opening[i] = p.add(unknown{kind: openingSize, index: i, mean: mean, sd: o.Flow50.SDLn}, o.Flow50.SDLn > 0)
	}
}

func (p *problem) layHold(h int) {
	hold := &p.model.Holds[h]
	plan := holdPlan{direction: -1, fans: hold.Fans}
	if hold.House < 0 {
		plan.direction = 1 // air is carried out of the house
	}
	plan.house = p.add(unknown{kind: housePressure, index: h, mean: float64(hold.House), scale: float64(hold.HouseSD)}, true)
	p.layEdges(&plan, hold)
	plan.fanSlots = make([]slot, len(hold.Fans))
	for _, f := range p.order.fans[h] {
		fan := hold.Fans[f].FlowReading
		plan.fanSlots[f] = p.add(unknown{kind: fanTrueFlow, index: h, sub: f, mean: math.Log(float64(fan.Flow)), scale: p.flowScale(fan)}, true)
	}
	p.holds[h] = plan
}

// flowScale is the sd of the logarithm of a flow known by one reading alone.
func (p *problem) flowScale(r FlowReading) float64 {
	v := r.SDLn * r.SDLn
	for _, c := range r.Cal {
		v += p.model.Calibrations[c].SDLn * p.model.Calibrations[c].SDLn
	}
	return math.Sqrt(v)
}

func (p *problem) layEdges(plan *holdPlan, hold *Hold) {
	plan.paths = make([]int, len(p.model.Paths))
	for i, q := range p.model.Paths {
		plan.paths[i] = -1
		if !hold.has(i, q.Covered) {
			continue
		}
		plan.paths[i] = len(plan.edges)
		plan.ends = append(plan.ends, [2]SpaceID{q.A, q.B})
		plan.edges = append(plan.edges, p.pathEdge(i))
	}
	for _, k := range hold.Opened {
		o := &p.model.Openings[k]
		plan.ends = append(plan.ends, [2]SpaceID{o.A, o.B})
		plan.edges = append(plan.edges, p.openingEdge(k))
	}
}

// has reports whether path i exists in the hold.
func (h *Hold) has(i int, covered bool) bool {
	list := h.Sealed
	if covered {
		list = h.Covered
	}
	for _, j := range list {
		if i == j {
			return covered
		}
	}
	return !covered
}

func (p *problem) pathEdge(i int) edgeSlots {
	q := &p.model.Paths[i]
	e := edgeSlots{exponent: p.exponent[i], known: q.Exponent.Mean}
	if s := p.size[i]; s != none {
		e.size = []slot{s}
	} else {
		e.base = math.Log(float64(q.Flow50.Median))
	}
	return e
}

func (p *problem) openingEdge(k int) edgeSlots {
	o := &p.model.Openings[k]
	e := edgeSlots{exponent: none, known: sharpExponent}
	if o.Area > 0 {
		cd := o.Cd
		if cd == 0 {
			cd = commonCd
			if p.coefficient != none {
				e.size = append(e.size, p.coefficient)
			}
		}
		e.base = math.Log(sharpFlow(o.Area, cd, p.model.Air))
	} else if p.opening[k] == none {
		e.base = math.Log(float64(o.Flow50.Median))
	}
	if s := p.opening[k]; s != none {
		e.size = append(e.size, s)
	}
	return e
}

// layTerms lists the readings of a hold as residuals, and gives the term of each in the
// order of the model: house, fan, pressures, flows, further fans.
func (p *problem) layTerms(h int) (readings []int) {
	hold, plan := &p.model.Holds[h], &p.holds[h]
	put := func(t term) int {
		t.hold = h
		plan.terms = append(plan.terms, len(p.terms))
		p.terms = append(p.terms, t)
		return len(p.terms) - 1
	}
	putAll := func(order []int, term func(i int) term) {
		at := make([]int, len(order))
		for _, i := range order {
			at[i] = put(term(i))
		}
		readings = append(readings, at...)
	}
	readings = append(readings, put(term{kind: houseTerm, read: float64(hold.House), sd: float64(hold.HouseSD), source: none}))
	if f := hold.Fan; f != nil {
		readings = append(readings, put(term{kind: fanTerm, read: float64(f.Flow), sd: f.SDLn, cal: p.calSlots(f.Cal), source: none}))
	}
	putAll(p.order.read[h], func(i int) term {
		r := hold.Read[i]
		return term{kind: pressureTerm, of: int(r.Of), to: int(r.To), read: float64(r.Pressure), sd: float64(r.SD), source: none}
	})
	putAll(p.order.flows[h], func(i int) term {
		r := hold.Flows[i]
		t := term{kind: flowTerm, of: int(r.Of), to: int(r.To), read: float64(r.Flow), sd: r.SDLn, cal: p.calSlots(r.Cal), source: none}
		t.through, t.sign = plan.between(r.Of, r.To)
		return t
	})
	putAll(p.order.fans[h], func(i int) term {
		f := hold.Fans[i]
		return term{kind: sourceTerm, read: float64(f.Flow), sd: f.SDLn, cal: p.calSlots(f.Cal), source: plan.fanSlots[i]}
	})
	return readings
}

func (p *problem) calSlots(cal []int) []slot {
	var s []slot
	for _, c := range cal {
		if p.calib[c] != none {
			s = append(s, p.calib[c])
		}
	}
	return s
}

// between finds the edges a flow measured between two spaces passes through:
// the openings of the hold if it has any there, else the paths.
func (plan *holdPlan) between(of, to SpaceID) (through []int, sign []float64) {
	first := 0
	for _, e := range plan.paths {
		first = max(first, e+1)
	}
	pick := func(low, high int) {
		for e := low; e < high; e++ {
			switch plan.ends[e] {
			case [2]SpaceID{of, to}:
				through, sign = append(through, e), append(sign, 1)
			case [2]SpaceID{to, of}:
				through, sign = append(through, e), append(sign, -1)
			}
		}
	}
	if pick(first, len(plan.ends)); through == nil {
		pick(0, first)
	}
	return through, sign
}

// errSpacesMissing is returned for a model that NewModel did not make.
var errSpacesMissing = errors.New("the model needs the house and outside as its first two spaces: start from NewModel")

// check refuses a model whose parts do not fit together.
func check(m *Model) error {
	if len(m.Spaces) <= int(Outside) {
		return errSpacesMissing
	}
	in := func(s SpaceID) bool { return s >= 0 && int(s) < len(m.Spaces) }
	for i, p := range m.Paths {
		if !in(p.A) || !in(p.B) || p.A == p.B {
			return fmt.Errorf("path %d does not join two spaces", i)
		}
		if err := positive(float64(p.Flow50.Median), "path", i); err != nil {
			return err
		}
		if n := p.Exponent.Mean; !(n >= minExponent && n <= maxExponent) {
			return fmt.Errorf("path %d: exponent %g is outside 0.5 to 1", i, n)
		}
	}
	for _, a := range m.Alike {
		if a[0] < 0 || a[0] >= a[1] || a[1] >= len(m.Paths) {
			return fmt.Errorf("paths %d and %d cannot have one exponent", a[0], a[1])
		}
	}
	for i, o := range m.Openings {
		if !in(o.A) || !in(o.B) || o.A == o.B {
			return fmt.Errorf("opening %d does not join two spaces", i)
		}
		if o.Area == 0 {
			if err := positive(float64(o.Flow50.Median), "opening", i); err != nil {
				return err
			}
		} else if err := positive(float64(o.Area), "opening", i); err != nil {
			return err
		}
	}
	for h := range m.Holds {
		if err := checkHold(m, h); err != nil {
			return err
		}
	}
	return nil
}

func positive(v float64, what string, i int) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%s %d: its size must be positive and finite", what, i)
	}
	return nil
}

func checkHold(m *Model, h int) error {
	hold := &m.Holds[h]
	if hold.House == 0 || !finite(float64(hold.House)) || !(hold.HouseSD > 0) {
		return fmt.Errorf("hold %d: a house pressure other than 0 is needed", h)
	}
	if err := m.checkIndices(hold); err != nil {
		return fmt.Errorf("hold %d: %w", h, err)
	}
	flows := []FlowReading{}
	if hold.Fan != nil {
		flows = append(flows, *hold.Fan)
	}
	for _, f := range hold.Fans {
		flows = append(flows, f.FlowReading)
	}
	for _, f := range hold.Flows {
		flows = append(flows, f.FlowReading)
	}
	for _, f := range flows {
		if !(f.Flow > 0) || !finite(float64(f.Flow)) || !(f.SDLn > 0) {
			return fmt.Errorf("hold %d: a flow must be positive, with a positive standard deviation", h)
		}
	}
	for _, r := range hold.Read {
		if !finite(float64(r.Pressure)) || !(r.SD > 0) || r.Of == r.To {
			return fmt.Errorf("hold %d: a pressure reading is not usable", h)
		}
	}
	return nil
}

// checkIndices refuses a hold that names what the model does not have.
func (m *Model) checkIndices(h *Hold) error {
	within := func(what string, list []int, n int) error {
		for _, i := range list {
			if i < 0 || i >= n {
				return fmt.Errorf("%s %d does not exist; there are %d", what, i, n)
			}
		}
		return nil
	}
	var spaces, calibrations []int
	for _, r := range h.Read {
		spaces = append(spaces, int(r.Of), int(r.To))
	}
	for _, f := range h.Flows {
		spaces, calibrations = append(spaces, int(f.Of), int(f.To)), append(calibrations, f.Cal...)
	}
	for _, f := range h.Fans {
		spaces, calibrations = append(spaces, int(f.From), int(f.To)), append(calibrations, f.Cal...)
	}
	if h.Fan != nil {
		calibrations = append(calibrations, h.Fan.Cal...)
	}
	return cmp.Or(within("opening", h.Opened, len(m.Openings)), within("sealed path", h.Sealed, len(m.Paths)),
		within("covered path", h.Covered, len(m.Paths)), within("space", spaces, len(m.Spaces)),
		within("calibration", calibrations, len(m.Calibrations)))
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// sharpFlow is the flow in m³/s at the reference pressure through a sharp-edged
// hole of area a; NaN where the inputs are no hole.
func sharpFlow(a units.Area, cd float64, air units.Density) float64 {
	q, err := pressure.HoleFlow(a, units.Ratio(cd), Reference, air)
	if err != nil {
		return math.NaN()
	}
	return float64(q.Value)
}
