package zonal

import (
	"fmt"
	"math"
	"slices"

	"holdbook/internal/fit"
)

// compile lays out the unknowns and the readings of a model. The errors name
// the part of the model that cannot be used.
func compile(m *Model) (*problem, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	p := &problem{model: m, order: orderOf(m)}
	l := &layout{p}
	if err := l.layPaths(); err != nil {
		return nil, err
	}
	if err := l.layOpenings(); err != nil {
		return nil, err
	}
	l.layCalibrations()
	l.layOneWay()
	if err := l.layWeather(); err != nil {
		return nil, err
	}
	p.holds = make([]holdPlan, len(m.Holds))
	readings := make([][]int, len(m.Holds))
	for _, h := range p.order.holds {
		l.layHold(h)
		readings[h] = l.layTerms(h)
	}
	p.readings = slices.Concat(readings...)
	return p, nil
}

// layout gives the unknowns and the readings of a problem their places, part by part in
// the order that does not hang on how the model was written down.
type layout struct{ problem *problem }

// add gives an unknown its slot, or none when it is known.
func (l *layout) add(u unknown, isUnknown bool) slot {
	if !isUnknown {
		return none
	}
	if u.scale == 0 {
		u.scale = u.sd
	}
	l.problem.unknowns = append(l.problem.unknowns, u)
	return slot(len(l.problem.unknowns) - 1)
}

func (l *layout) layPaths() error {
	p := l.problem
	p.exponent = make([]slot, len(p.model.Paths))
	l.laySizes()
	second := map[int]bool{} // of a pair with one exponent
	for _, a := range p.model.Alike {
		second[a.Second] = true
	}
	for _, i := range p.order.paths {
		if second[i] {
			continue
		}
		var err error
		if p.exponent[i], err = l.addExponent(unknown{kind: pathExponent, index: i, low: minExponent, high: maxExponent}, p.model.Paths[i].Exponent); err != nil {
			return fmt.Errorf("%s, exponent: %w", p.model.pathLabel(i), err)
		}
	}
	for _, a := range p.model.Alike {
		p.exponent[a.Second] = p.exponent[a.First]
	}
	return nil
}

// laySizes gives each leak its size, and one that is like another in size its change.
func (l *layout) laySizes() {
	p := l.problem
	p.size, p.like = make([]slot, len(p.model.Paths)), make([]int, len(p.model.Paths))
	changes := make([]float64, len(p.model.Paths))
	for i := range p.like {
		p.like[i] = -1
	}
	for _, a := range p.model.Alike {
		if a.SDLn > 0 {
			p.like[a.Second], changes[a.Second] = a.First, a.SDLn
		}
	}
	for _, i := range p.order.paths {
		if q := p.model.Paths[i].Flow50; p.like[i] < 0 {
			p.size[i] = l.add(unknown{kind: pathSize, index: i, mean: math.Log(float64(q.Median)), sd: q.SDLn}, q.SDLn > 0)
		} else {
			p.size[i] = l.add(unknown{kind: pathChange, index: i, sd: changes[i]}, true)
		}
	}
}

// addExponent gives an exponent its slot under its prior within its bounds.
func (l *layout) addExponent(u unknown, prior Normal) (slot, error) {
	u.mean, u.sd = prior.Mean, prior.SD
	return l.addBounded(u)
}

// addBounded gives an unknown that lies between bounds its slot, or none when it is known,
// and its score.
func (l *layout) addBounded(u unknown) (slot, error) {
	at := l.add(u, u.sd > 0)
	if at == none {
		return none, nil
	}
	t, err := fit.NewTruncatedNormal(u.mean, u.sd, u.low, u.high)
	if err != nil {
		return none, err
	}
	p := l.problem
	p.scores = append(p.scores, make([]fit.TruncatedNormal, len(p.unknowns)-len(p.scores))...)
	p.scores[at] = t
	return at, nil
}

// layOpenings gives an opening of unknown size its size, and one of known area
// its area error and the discharge coefficient that all such holes share.
func (l *layout) layOpenings() error {
	p := l.problem
	p.coefficient = none
	p.opening, p.openingExponent = make([]slot, len(p.model.Openings)), make([]slot, len(p.model.Openings))
	p.second = make([]slot, len(p.model.Openings))
	for _, i := range p.order.openings {
		o := p.model.Openings[i]
		p.openingExponent[i], p.second[i] = none, none
		if o.Area > 0 {
			if o.Cd == 0 && p.coefficient == none {
				p.coefficient = l.add(unknown{kind: coefficient, sd: p.model.CdSDLn}, p.model.CdSDLn > 0)
			}
			p.opening[i] = l.add(unknown{kind: holeArea, index: i, sd: o.AreaSDLn}, o.AreaSDLn > 0)
			continue
		}
		mean := math.Log(float64(o.Flow50.Median))
		p.opening[i] = l.add(unknown{kind: openingSize, index: i, mean: mean, sd: o.Flow50.SDLn}, o.Flow50.SDLn > 0)
		var err error
		if p.openingExponent[i], err = l.addExponent(unknown{kind: openingExponent, index: i, low: minExponent, high: mostOfOpening}, o.Exponent); err != nil {
			return fmt.Errorf("%s, exponent: %w", label("opening", i, o.Name), err)
		}
		if q := o.Second; q.Median > 0 {
			p.second[i] = l.add(unknown{kind: secondShare, index: i, mean: math.Log(float64(q.Median)), sd: q.SDLn}, q.SDLn > 0)
		}
	}
	return nil
}

func (l *layout) layCalibrations() {
	p := l.problem
	p.calib = make([]slot, len(p.model.Calibrations))
	for _, i := range p.order.calibrations {
		sd := p.model.Calibrations[i].SDLn
		p.calib[i] = l.add(unknown{kind: calibration, index: i, sd: sd}, sd > 0)
	}
}

func (l *layout) layHold(h int) {
	p := l.problem
	hold := &p.model.Holds[h]
	plan := holdPlan{direction: -1, fans: hold.Fans, rest: hold.Rest, spaces: len(p.model.Spaces)}
	if hold.House < 0 || hold.Rest {
		plan.direction = 1 // air is carried out of the house
	}
	if hold.Rest {
		plan.spaces++
	}
	plan.house = l.add(unknown{kind: housePressure, index: h, mean: float64(hold.House), scale: float64(hold.HouseSD)}, !hold.Rest)
	p.layEdges(&plan, hold)
	for i, ends := range plan.ends {
		plan.edges[i].shift = p.visits[hold.Visit].shiftOf(ends[0], ends[1])
		plan.ends[i] = [2]SpaceID{plan.node(ends[0]), plan.node(ends[1])}
	}
	plan.fanSlots = make([]slot, len(hold.Fans))
	for _, f := range p.order.fans[h] {
		fan := hold.Fans[f].FlowReading
		plan.fanSlots[f] = l.add(unknown{kind: fanTrueFlow, index: h, sub: f, mean: math.Log(float64(fan.Flow)), scale: l.flowScale(fan)}, true)
	}
	p.holds[h] = plan
}

// flowScale is the sd of the logarithm of a flow known by one reading alone.
func (l *layout) flowScale(r FlowReading) float64 {
	v := r.SDLn * r.SDLn
	for _, c := range r.Cal {
		v += l.problem.model.Calibrations[c].SDLn * l.problem.model.Calibrations[c].SDLn
	}
	return math.Sqrt(v)
}

// layTerms lists the readings of a hold as residuals, and gives the term of each in the
// order of the model: house, fan, pressures, flows, further fans.
func (l *layout) layTerms(h int) (readings []int) {
	p := l.problem
	hold, plan := &p.model.Holds[h], &p.holds[h]
	visit := &p.visits[hold.Visit]
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
	if !hold.Rest {
		t := visit.pressureTerm(PressureReading{Of: House, To: Outside, Pressure: hold.House, SD: hold.HouseSD, LessRest: hold.LessRest})
		t.kind = houseTerm
		readings = append(readings, put(t))
	}
	if f := hold.Fan; f != nil {
		readings = append(readings, put(p.flowTerm(visit, fanTerm, f)))
	}
	putAll(p.order.read[h], func(i int) term { return visit.pressureTerm(hold.Read[i]) })
	putAll(p.order.flows[h], func(i int) term {
		r := &hold.Flows[i]
		t := p.flowTerm(visit, flowTerm, &r.FlowReading)
		t.of, t.to = int(r.Of), int(r.To)
		t.through, t.sign = plan.between(plan.node(r.Of), plan.node(r.To))
		return t
	})
	putAll(p.order.fans[h], func(i int) term {
		t := p.flowTerm(visit, sourceTerm, &hold.Fans[i].FlowReading)
		t.source = plan.fanSlots[i]
		return t
	})
	return readings
}

// flowTerm is a flow as a residual.
func (p *problem) flowTerm(visit *visitPlan, kind termKind, r *FlowReading) term {
	t := term{kind: kind, read: float64(r.Flow), sd: r.SDLn, cal: p.calSlots(r.Cal), source: none, zero: none, less: -1,
		stack: visit.stack, perStack: r.PerStack}
	if w := visit.model.Weather; w != nil && visit.stack == none {
		t.corrected = r.PerStack * w.Stack.Mean
	}
	return t
}

// pressureTerm is a pressure as a residual. Of one that the gauge has taken what it showed
// at rest from, the gauge's zero is gone too.
func (visit *visitPlan) pressureTerm(r PressureReading) term {
	t := term{kind: pressureTerm, of: int(r.Of), to: int(r.To), read: float64(r.Pressure), sd: float64(r.SD), source: none,
		zero: visit.zero, less: -1, stack: none}
	if r.LessRest {
		t.zero, t.less = none, visit.rest
	}
	return t
}
