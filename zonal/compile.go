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
	l.layOpenings()
	l.layCalibrations()
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
	p.size, p.exponent = make([]slot, len(p.model.Paths)), make([]slot, len(p.model.Paths))
	for _, i := range p.order.paths {
		q := p.model.Paths[i].Flow50
		p.size[i] = l.add(unknown{kind: pathSize, index: i, mean: math.Log(float64(q.Median)), sd: q.SDLn}, q.SDLn > 0)
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
		p.exponent[i] = l.add(unknown{kind: pathExponent, index: i, mean: prior.Mean, sd: prior.SD}, prior.SD > 0)
		if prior.SD == 0 {
			continue
		}
		t, err := fit.NewTruncatedNormal(prior.Mean, prior.SD, minExponent, maxExponent)
		if err != nil {
			return fmt.Errorf("%s, exponent: %w", p.model.pathLabel(i), err)
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
func (l *layout) layOpenings() {
	p := l.problem
	p.coefficient = none
	p.opening = make([]slot, len(p.model.Openings))
	for _, i := range p.order.openings {
		o := p.model.Openings[i]
		if o.Area > 0 {
			if o.Cd == 0 && p.coefficient == none {
				p.coefficient = l.add(unknown{kind: coefficient, sd: p.model.CdSDLn}, p.model.CdSDLn > 0)
			}
			p.opening[i] = l.add(unknown{kind: holeArea, index: i, sd: o.AreaSDLn}, o.AreaSDLn > 0)
			continue
		}
		mean := math.Log(float64(o.Flow50.Median))
		p.opening[i] = l.add(unknown{kind: openingSize, index: i, mean: mean, sd: o.Flow50.SDLn}, o.Flow50.SDLn > 0)
	}
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
	plan := holdPlan{direction: -1, fans: hold.Fans}
	if hold.House < 0 {
		plan.direction = 1 // air is carried out of the house
	}
	plan.house = l.add(unknown{kind: housePressure, index: h, mean: float64(hold.House), scale: float64(hold.HouseSD)}, true)
	p.layEdges(&plan, hold)
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
