package zonal

import (
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

// sharpExponent is the exponent of a sharp-edged hole.
const sharpExponent = pressure.SharpExponent

// mostOfOpening is the largest exponent of an opening.
const mostOfOpening = 0.65

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
	pathChange
	pathExponent
	openingExponent
	secondShare
	openingSize
	coefficient
	holeArea
	calibration
	housePressure
	fanTrueFlow
	houseStack
	gaugeZero
	pathDrift
	oneWayRatio
)

// unknown is one parameter: what it is, which one, and its prior, normal in the
// parameter itself (sizes and calibrations are logarithms). sd 0 means flat. scale is what
// one unit of its score is: sd, or for a flat one a length of the order of its posterior sd.
type unknown struct {
	kind  unknownKind
	index int // path, opening, calibration, hold, or hold and fan
	sub   int // fan within the hold
	mean  float64
	sd    float64
	scale float64
	// low and high are the bounds of an exponent or of the weather, 0 of any other.
	low, high float64
}

// bounded tells whether an unknown lies between bounds, as exponents do.
func (u *unknown) bounded() bool { return u.high > u.low }

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
	zero    slot // of the gauge
	less    int  // the hold at rest whose reading the gauge has taken off, −1
	// stack is that of the house, where a flow hangs on it, and perStack the derivative of
	// the flow's logarithm; corrected is what a stack without doubt adds to that.
	stack     slot
	perStack  float64
	corrected float64
}

type termKind int

const (
	houseTerm termKind = iota
	fanTerm
	pressureTerm
	flowTerm
	sourceTerm
)

// isFlow tells a flow, whose error is one of its logarithm, from a pressure.
func (t *term) isFlow() bool { return ReadingKind(t.kind).IsFlow() }

// edgeSlots says where an edge's two numbers come from.
type edgeSlots struct {
	size     []slot // summed: an opening of known area adds Cd and area errors
	base     float64
	exponent slot
	known    float64 // exponent when it is not an unknown
	oneWay   slot    // of the ratio between the two directions, half of it
	half     float64 // with this sign; 0 for none
	shift    *shift  // nil without weather, and in the house that answers are of
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
	second    int  // edges at the end that something opened opens besides
	spaces    int  // of its network
	rest      bool // the house is not held, and stands in the network behind the zones
}

// problem is a model compiled for estimation. It is read-only after compile and
// may be shared by any number of evaluators.
type problem struct {
	model           *Model
	order           order
	unknowns        []unknown // in the order of the parts they belong to
	terms           []term    // likewise
	readings        []int     // term of each reading, in the order of the model
	holds           []holdPlan
	size            []slot // of each path; of one that is like another, of the logarithm of the ratio
	like            []int  // the path that each is like in size, −1
	exponent        []slot
	opening         []slot
	openingExponent []slot
	second          []slot // of the share of each opening
	calib           []slot
	visits          []visitPlan
	oneWay          slot                  // of the ratio between the two directions
	coefficient     slot                  // of the discharge coefficient common to known holes
	scores          []fit.TruncatedNormal // of each unknown that lies between bounds
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
		plan.edges = append(plan.edges, turned(p, p.pathEdge(i), &q, hold))
	}
	for _, k := range hold.Opened {
		o := &p.model.Openings[k]
		plan.ends = append(plan.ends, [2]SpaceID{o.A, o.B})
		plan.edges = append(plan.edges, p.openingEdge(k))
	}
	for _, k := range hold.Opened { // behind all others, see between
		if from, edge, opens := secondEdge(p, k); opens {
			plan.ends = append(plan.ends, [2]SpaceID{from, Outside})
			plan.edges = append(plan.edges, edge)
			plan.second++
		}
	}
}

// secondEdge is what opening something opens besides.
func secondEdge(p *problem, k int) (from SpaceID, e edgeSlots, opens bool) {
	o := &p.model.Openings[k]
	from, to := outwards(o.A, o.B)
	if to == Outside || o.Area > 0 || o.Second.Median <= 0 {
		return from, e, false
	}
	e = p.openingEdge(k)
	if s := p.second[k]; s != none {
		e.size = append(e.size, s)
	} else {
		e.base += math.Log(float64(o.Second.Median))
	}
	return from, e, true
}

// has reports whether path i exists in the hold.
func (h *Hold) has(i int, covered bool) bool {
	list := h.Sealed
	if covered {
		list = h.Covered
	}
	return slices.Contains(list, i) == covered
}

func (p *problem) pathEdge(i int) edgeSlots {
	q := &p.model.Paths[i]
	e := edgeSlots{exponent: p.exponent[i], known: q.Exponent.Mean}
	if j := p.like[i]; j >= 0 {
		e = p.pathEdge(j)
		e.size = append(e.size, p.size[i])
	} else if s := p.size[i]; s != none {
		e.size = []slot{s}
	} else {
		e.base = math.Log(float64(q.Flow50.Median))
	}
	return e
}

func (p *problem) openingEdge(k int) edgeSlots {
	o := &p.model.Openings[k]
	e := edgeSlots{exponent: p.openingExponent[k], known: sharpExponent}
	if o.Area == 0 && o.Exponent.Mean > 0 {
		e.known = o.Exponent.Mean
	}
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
	if pick(first, len(plan.ends)-plan.second); through == nil {
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
