package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/units"
)

// bytesOf deals numbers and indices out of fuzzed bytes, good ones and bad ones.
type bytesOf []byte

func (b *bytesOf) next() int {
	if len(*b) == 0 {
		return 0
	}
	v := (*b)[0]
	*b = (*b)[1:]
	return int(v)
}

// number is mostly the good one, else one that no part of a model should have.
func (b *bytesOf) number(good float64) float64 {
	bad := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -good, 1e300, 5e-324, -1e-300, 1e6 * good, 1e-6 * good}
	if v := b.next(); v < 3*len(bad) && v%3 == 0 {
		return bad[v/3]
	}
	return good * (1 + float64(b.next())/1000)
}

// index is mostly below n, else a little outside.
func (b *bytesOf) index(n int) int {
	switch v := b.next(); {
	case v == 255:
		return -1
	case v == 254 || n == 0:
		return n
	default:
		return v % n
	}
}

func (b *bytesOf) indices(n int) (list []int) {
	for range b.next() % 3 {
		list = append(list, b.index(n))
	}
	return list
}

// ends are mostly two spaces of the model.
func (b *bytesOf) ends(m *Model) (from, to SpaceID) {
	from = SpaceID(b.index(len(m.Spaces)))
	if to = SpaceID(b.index(len(m.Spaces))); to == from && b.next() < 240 {
		to = (from + 1) % SpaceID(len(m.Spaces))
	}
	return from, to
}

func (b *bytesOf) flow(m *Model) FlowReading {
	return FlowReading{Flow: units.Flow(b.number(0.7)), SDLn: b.number(0.01), Cal: b.indices(len(m.Calibrations))}
}

// model is a house of up to three zones and two holds, any part of which may be bad.
func (b *bytesOf) model() *Model {
	m := NewModel()
	kinds := append(Kinds(), "loft", HouseKind)
	for range b.next() % 4 {
		_, _ = m.AddZone(kinds[b.next()%len(kinds)], []string{"attic", "garage", "crawlspace", ""}[b.next()%4])
	}
	from, to := b.ends(m)
	_, _ = m.Join(from, to)
	_, _ = m.AddOpening("hatch", from, to)
	_, _ = m.AddHole("slot", from, to, units.Area(b.number(0.02)))
	m.Air, m.CdSDLn = units.Density(b.number(1.2)), b.number(0.05)
	m.Calibrations = []Calibration{{"fan", b.number(0.02)}}
	if b.next() < 128 {
		m.Stand(units.Length(b.number(2.6)))
		m.Weather = &Weather{Stack: Normal{b.number(0.5), b.number(0.05)}, Wind: units.Pressure(b.number(0.6)), Zero: units.Pressure(b.number(0.2))}
	}
	if p := &m.Paths[b.next()%len(m.Paths)]; b.next() < 64 {
		*p = Path{A: from, B: to, Flow50: LogNormal{units.Flow(b.number(0.1)), b.number(1)}, Exponent: Normal{b.number(0.6), b.number(0.06)}, Covered: b.next() < 128}
	}
	for range b.next() % 3 {
		m.Holds = append(m.Holds, b.hold(m))
	}
	return m
}

func (b *bytesOf) hold(m *Model) Hold {
	h := Hold{House: units.Pressure(-b.number(50)), HouseSD: units.Pressure(b.number(0.4)), Opened: b.indices(len(m.Openings))}
	if b.next() < 64 {
		h.Sealed = b.indices(len(m.Paths))
	}
	if b.next() < 16 {
		h.Covered = b.indices(len(m.Paths))
	}
	if b.next() < 200 {
		f := b.flow(m)
		h.Fan = &f
	}
	for range b.next() % 3 {
		from, to := b.ends(m)
		h.Read = append(h.Read, PressureReading{Of: from, To: to, Pressure: units.Pressure(b.number(40)), SD: units.Pressure(b.number(0.4)), LessRest: b.next() < 16})
	}
	if b.next() < 32 {
		from, to := b.ends(m)
		h.Fans = []FanSource{{from, to, b.flow(m)}}
	}
	if b.next() < 32 {
		from, to := b.ends(m)
		h.Flows = []PathFlow{{from, to, b.flow(m)}}
	}
	h.LessRest = b.next() < 8
	if b.next() < 32 {
		h.Rest, h.House, h.HouseSD, h.Fan = true, 0, 0, nil
	}
	return h
}

// No model, posterior, plan or question makes a public function panic, and no error is
// empty: with numbers that are none, indices out of range, and zero values.
func FuzzPublicFunctions(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{1, 3, 0, 1, 2, 0, 2, 1, 2, 0})
	r := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		seed := make([]byte, 200)
		for i := range seed {
			seed[i] = byte(r.IntN(256))
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		b := bytesOf(data)
		m := b.model()
		said := func(err error) {
			if err != nil {
				assert.NotEmpty(t, err.Error())
			}
		}
		order := m.HoldOrder()
		assert.Len(t, order, len(m.Holds))
		checked := m.Check()
		said(checked)
		o := Options{Draws: 8, MostDraws: 24, Workers: 1}
		post, err := Infer(m, o)
		said(err)
		if checked != nil {
			require.Error(t, err)
		}
		prior, err := Prior(m, b.next()%9-1)
		said(err)
		after := b.model()
		_, err = Compare(m, after, CompareOptions{Options: o, Sealed: b.indices(len(m.Paths)), Fraction: b.number(0.5)})
		said(err)
		for _, p := range []*Posterior{post, prior, nil, {}} {
			said(b.use(p, m, o))
		}
	})
}

// use calls what a posterior offers, and gives the last error.
func (b *bytesOf) use(p *Posterior, m *Model, o Options) (err error) {
	note := func(e error) {
		if e != nil {
			err = e
		}
	}
	space := func() SpaceID { return SpaceID(b.index(len(m.Spaces))) }
	e, fault := p.Estimate()
	note(fault)
	if e != nil {
		_ = e.Tightness()
	}
	_, fault = p.HoleFor(space(), space(), []units.Area{units.Area(b.number(0.02))})
	note(fault)
	question := Question{Through: []SpaceID{space()}, Seal: []SealTarget{{Paths: b.indices(len(m.Paths))}}}
	list := []Candidate{{Holds: []Hold{b.hold(m)}, Trimmed: b.next() < 64}}
	previews, fault := p.Preview(list, question)
	note(fault)
	for _, v := range previews {
		_ = v.Worth()
	}
	_, fault = p.Visit(list, question, VisitOptions{Minutes: []float64{b.number(5)}, Limit: b.number(60), First: b.index(1)})
	note(fault)
	_, _, fault = p.SumAt(b.indices(len(m.Paths)), units.Pressure(b.number(25)))
	note(fault)
	_, fault = p.With(m)
	note(fault)
	plan, fault := p.Seal(question.Seal, SealOptions{Fraction: b.number(0.5), Steps: b.index(3)})
	note(fault)
	for _, plan := range []*SealPlan{plan, {}, nil} {
		_ = plan.ChancesBelow(units.Flow(b.number(0.5)))
		_, fault = plan.TightnessAfter(b.index(2))
		note(fault)
	}
	if p == nil || p.root == nil || b.next() < 32 { // it refits hundreds of sheets
		_, fault = p.Suspect(o)
		note(fault)
	}
	if p != nil {
		_, _, _ = p.Seed(), p.Status(), p.EffectiveSampleSize()
	}
	return err
}
