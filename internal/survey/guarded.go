package survey

import (
	"slices"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
	"holdbook/zonal/byhand"
)

// What is taken of a second fan whose flow was not read, and of a neighbour that it holds level
// whose pressure was not: judgement.
const (
	guardSDLn = 2.0                 // of the flow: within a factor of 27, nine times in ten
	levelSD   = units.Pressure(0.5) // of the pressure to the house
)

// guardFlow is the middle of what a second fan moves.
var guardFlow = units.Flow(units.CFM.ToSI(500))

// layGuards gives a hold a fan of unknown flow for each neighbour that is held level.
func layGuards(c *Case, m *zonal.Hold, h *sheet.Hold) {
	for _, g := range h.Guards {
		z, ok := c.Spaces[g.Name]
		if !ok {
			continue
		}
		source := zonal.FanSource{From: z, To: zonal.Outside, FlowReading: zonal.FlowReading{Flow: guardFlow, SDLn: guardSDLn}}
		if m.House > 0 {
			source.From, source.To = zonal.Outside, z
		}
		m.Fans = append(m.Fans, source)
	}
}

// layLevels gives the guards whose pressure was not read that of a level one.
func layLevels(c *Case, log *Log, m *zonal.Hold, s *LaidHold) {
	h := s.Hold
	for _, g := range h.Guards {
		z, ok := c.Spaces[g.Name]
		read := slices.ContainsFunc(h.Readings, func(x sheet.Reading) bool { return x.Of.Name == g.Name || x.To.Name == g.Name })
		if !ok || read {
			continue
		}
		m.Read = append(m.Read, zonal.PressureReading{Of: z, To: zonal.House, SD: levelSD})
		s.read = append(s.read, laidReading{sd: levelSD})
		log.Notice(Warning, m.Name, "%s counts as level with the house within 0.5 Pa, for nobody read it: read it to the house, since a guard 1 Pa off still passes 8 %% of its leak", c.Names[z])
	}
}

// unreadFan tells whether a reading of the estimate is that of a second fan that nobody
// read, or read once: one that ran at the baseline too stands in its hold.
func unreadFan(c *Case, r zonal.ReadingEstimate) bool {
	return r.Kind == zonal.SourceReading && (r.Hold >= len(c.Held) || r.Read == float64(guardFlow) && len(c.Held[r.Hold].Hold.Guards) > 0)
}

// partyPaths are the leaks of the house to its neighbours.
func partyPaths(c *Case) (list []int) {
	for i, p := range c.Model.Paths {
		if p.A == zonal.House && c.Kinds[p.B] == sheet.Neighbour || p.B == zonal.House && c.Kinds[p.A] == sheet.Neighbour {
			list = append(list, i)
		}
	}
	return list
}

// addExterior adds what a dwelling leaks to outdoors alone, the fan flow at 50 Pa with the
// party walls tight, and through the party walls with 50 Pa across them, where readings bear on
// both.
func addExterior(c *Case, e *zonal.Estimate, h *House) {
	paths := partyPaths(c)
	if len(paths) == 0 || !c.FanRead() || !slices.ContainsFunc(paths, func(i int) bool { return bearsOn(c, max(c.Model.Paths[i].A, c.Model.Paths[i].B)) }) {
		return
	}
	plan, err := e.Posterior.Seal([]zonal.SealTarget{{Paths: paths}}, zonal.SealOptions{})
	if err != nil || len(plan.Choices) != 1 {
		return
	}
	h.ExteriorOnly = Flow(plan.Choices[0].FanAfter)
	if sum, doubt, err := e.Posterior.SumAt(paths, zonal.Reference); err == nil && doubt.Resolved {
		h.InteriorOnly = Flow(sum)
	}
}

// guardedFindings is the guarded test by hand: the dwelling alone, and with its neighbours
// held level.
func guardedFindings(c *Case, log *Log) (list []HandAnswer) {
	solo, guarded := soloAndGuarded(c)
	if solo < 0 || guarded < 0 {
		return nil
	}
	var guards []byhand.Guard
	for _, x := range c.Model.Holds[guarded].Read {
		if x.To == zonal.House && c.Kinds[x.Of] == sheet.Neighbour {
			guards = append(guards, byhand.Guard{Name: c.Names[x.Of], Off: units.Measured[units.Pressure]{Value: x.Pressure, SD: x.SD}})
		}
	}
	errors := byhand.DefaultErrors()
	errors.Units, errors.Air = c.System, c.Model.Air
	errors.FanSDLn = float64(c.Gauge.FanCalibration().Common)
	r, err := byhand.Guarded(fanTestOf(c, solo), fanTestOf(c, guarded), guards, errors)
	if err != nil {
		return []HandAnswer{{Method: GuardedTest, About: sheet.HouseName, Quantity: "flow at 50 Pa to outdoors alone", Note: err.Error()}}
	}
	for _, w := range r.Working {
		log.worked(sheet.HouseName, w)
	}
	handNotes(log, sheet.HouseName, r.Notes)
	for _, x := range []struct {
		quantity string
		answer   byhand.Answer[units.Flow]
	}{{"unit total, flow at 50 Pa", r.Total}, {"unit exterior only, flow at 50 Pa", r.Exterior}, {"to the neighbours, flow at 50 Pa", r.Interior}} {
		list = append(list, handOne(c, GuardedTest, sheet.HouseName, x.quantity, Flow(x.answer.Estimate), x.answer.Bound, x.answer.Resolved))
	}
	return list
}

// GuardedTest is the hand method of a dwelling whose neighbours were held level.
const GuardedTest = "guarded test"

// soloAndGuarded are the hold with the neighbours' doors open, else as found, and the one
// with guards; −1 for none.
func soloAndGuarded(c *Case) (solo, guarded int) {
	solo, guarded = -1, -1
	open := false
	for _, k := range c.Order {
		m := &c.Model.Holds[k]
		switch {
		case m.Fan == nil:
		case guarded < 0 && guardsOf(c, m) > 0 && len(m.Opened)+len(m.Sealed) == 0 && guardsOf(c, m) == len(m.Fans):
			guarded = k
		case len(m.Fans)+len(m.Sealed) == 0 && opensNeighbours(c, m) && !open:
			solo, open = k, true
		case len(m.Fans)+len(m.Sealed)+len(m.Opened) == 0 && solo < 0:
			solo = k
		}
	}
	return solo, guarded
}

// guardsOf is how many fans of a hold stand between a neighbour and outside.
func guardsOf(c *Case, m *zonal.Hold) (n int) {
	for _, f := range m.Fans {
		if c.Kinds[f.From] == sheet.Neighbour || c.Kinds[f.To] == sheet.Neighbour {
			n++
		}
	}
	return n
}

// opensNeighbours tells whether all that was opened lies between a neighbour and outside.
func opensNeighbours(c *Case, m *zonal.Hold) bool {
	return len(m.Opened) > 0 && !slices.ContainsFunc(m.Opened, func(i int) bool {
		o := c.Model.Openings[i]
		return !(c.Kinds[o.A] == sheet.Neighbour && o.B == zonal.Outside || c.Kinds[o.B] == sheet.Neighbour && o.A == zonal.Outside)
	})
}

// fanTestOf is a hold of the door fan as a test of the house.
func fanTestOf(c *Case, k int) byhand.FanTest {
	m := &c.Model.Holds[k]
	return byhand.FanTest{Name: m.Name, Held: units.Measured[units.Pressure]{Value: m.House, SD: m.HouseSD}, Fan: units.Within(m.Fan.Flow, m.Fan.SDLn)}
}

// ventMean is how much more than its stated vents a zone leaks to outside, and how well the
// whole is known, as a logarithm: vents are as large as stated within a tenth, their coefficient
// within a twentieth, and the zone has other leaks. Judgement.
const (
	ventMore = 1.1
	ventSDLn = 0.17
)

// ventedPath gives a leak to outside the size of the zone's vents, where their net free area
// is stated.
func ventedPath(c *Case, p *zonal.Path, from *pathSource) {
	if p.A != zonal.Outside && p.B != zonal.Outside || from.size == theSheet {
		return
	}
	z, ok := c.Sheet.Zone(c.Names[p.A+p.B-zonal.Outside])
	if !ok || !z.Vents.Given {
		return
	}
	q, err := pressure.HoleFlow(z.Vents.Value, sharpHole.Cd, zonal.Reference, c.Model.Air)
	if err != nil {
		return
	}
	p.Flow50 = zonal.LogNormal{Median: ventMore * q.Value, SDLn: ventSDLn}
	from.size = "the vents in the sheet; their error judgement, not published"
	if from.exponent != theSheet {
		p.Exponent = zonal.Normal{Mean: 0.53, SD: 0.03}
	}
}
