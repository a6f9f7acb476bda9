package zonal

import (
	"math"

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

// sharpFlow is the flow in m³/s at the reference pressure through a sharp-edged
// hole of area a; NaN where the inputs are no hole.
func sharpFlow(a units.Area, cd float64, air units.Density) float64 {
	q, err := pressure.HoleFlow(a, units.Ratio(cd), Reference, air)
	if err != nil {
		return math.NaN()
	}
	return float64(q.Value)
}
