package zonal

import (
	"math"
	"slices"
	"strings"

	"holdbook/units"
)

// merged is one model of two: the paths after stand beside those before as paths that
// only the holds after have.
type merged struct {
	model      *Model
	pairs      [][2]int // a path before with the same one after
	found      *Hold    // the state after as found
	firstAfter int      // hold
}

// tie gives the leaks that were neither sealed nor altered one exponent before and after,
// and a size after within a standard deviation (of the logarithm) of that before; 0 leaves
// their sizes free. What covered registers leak hangs on who covered them.
func (m *merged) tie(o CompareOptions, unchanged float64) {
	m.model.Alike = nil
	for _, p := range m.pairs {
		if len(o.Sealed) == 0 || slices.Contains(o.Sealed, p[0]) || slices.Contains(o.Altered, p[0]) {
			continue
		}
		a := Alike{First: p[0], Second: p[1], SDLn: unchanged}
		if m.model.Paths[p[0]].Covered {
			a.SDLn = 0
		}
		m.model.Alike = append(m.model.Alike, a)
		m.model.Paths[p[1]].Exponent = m.model.Paths[p[0]].Exponent
	}
}

// tied tells whether the sizes of a pair are tied.
func (m *merged) tied(pair [2]int) bool {
	return slices.ContainsFunc(m.model.Alike, func(a Alike) bool { return a.Second == pair[1] && a.SDLn > 0 })
}

// merge puts both models into one.
func merge(before, after *Model, apart bool) *merged {
	out := &merged{firstAfter: len(before.Holds)}
	m := &Model{Spaces: slices.Clone(before.Spaces), Paths: slices.Clone(before.Paths), Openings: slices.Clone(before.Openings),
		Calibrations: slices.Clone(before.Calibrations), Holds: slices.Clone(before.Holds), CdSDLn: before.CdSDLn, Air: before.Air}
	space := m.spacesOf(after)
	cal := m.calibrationsOf(after, apart)
	m.Weather, m.Later = before.Weather, []Visit{visitOf(m, after, space)}
	first, opening := len(m.Paths), len(m.Openings)
	var gone, found0 []int
	for i, p := range before.Paths {
		if !p.Covered {
			gone = append(gone, i)
		}
	}
	for i, p := range after.Paths {
		q := p
		q.A, q.B, q.Covered = space[p.A], space[p.B], true
		m.Paths = append(m.Paths, q)
		if !p.Covered {
			found0 = append(found0, first+i)
		}
		j := slices.IndexFunc(before.Paths, func(b Path) bool {
			return b.Covered == p.Covered && b.Joins(q.A, q.B)
		})
		if j >= 0 {
			out.pairs = append(out.pairs, [2]int{j, first + i})
		}
	}
	for _, o := range after.Openings {
		o.A, o.B = space[o.A], space[o.B]
		if o.Area > 0 && after.Air > 0 { // the merged model has one density: the same flow needs another area
			o.Area *= units.Area(math.Sqrt(float64(before.Air / after.Air)))
		}
		m.Openings = append(m.Openings, o)
	}
	for h := range after.Holds {
		m.Holds = append(m.Holds, after.moved(h, space, cal, first, opening, gone))
	}
	out.model, out.found = m, &Hold{Sealed: gone, Covered: found0}
	return out
}

// sameName matches names without regard to case and to the number of blanks.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// spacesOf numbers the spaces of another model in m, adding those it lacks.
func (m *Model) spacesOf(other *Model) []SpaceID {
	id := make([]SpaceID, len(other.Spaces))
	for i, s := range other.Spaces {
		j := i // house and outside
		if i > int(Outside) {
			j = slices.IndexFunc(m.Spaces, func(t Space) bool { return sameName(t.Name, s.Name) })
		}
		if j < 0 {
			j = len(m.Spaces)
			m.Spaces = append(m.Spaces, s)
		}
		id[i] = SpaceID(j)
	}
	return id
}

// visitOf is the visit of another model, whose spaces are numbered so in m.
func visitOf(m, other *Model, space []SpaceID) Visit {
	v := Visit{Weather: other.Weather, Spaces: slices.Clone(m.Spaces)}
	for i, s := range other.Spaces {
		at := &v.Spaces[space[i]]
		at.Crossing, at.Warmth, at.Stack = s.Crossing, s.Warmth, s.Stack
	}
	return v
}

// calibrationsOf does the same with calibrations.
func (m *Model) calibrationsOf(other *Model, apart bool) []int {
	at := make([]int, len(other.Calibrations))
	mine := m.Calibrations
	for i, c := range other.Calibrations {
		j := slices.IndexFunc(mine, func(d Calibration) bool { return sameName(d.Name, c.Name) })
		if j < 0 || apart {
			j = len(m.Calibrations)
			m.Calibrations = append(m.Calibrations, c)
		}
		at[i] = j
	}
	return at
}

// moved is a hold of the model after in the numbering of the merged one.
func (m *Model) moved(h int, space []SpaceID, cal []int, path, opening int, gone []int) Hold {
	hold := m.Holds[h]
	reading := func(f FlowReading) FlowReading {
		var c []int
		for _, i := range f.Cal {
			c = append(c, cal[i])
		}
		f.Cal = c
		return f
	}
	out := Hold{Name: hold.Name, House: hold.House, HouseSD: hold.HouseSD, Sealed: gone, Rest: hold.Rest, LessRest: hold.LessRest, Visit: 1}
	if hold.Fan != nil {
		f := reading(*hold.Fan)
		out.Fan = &f
	}
	for i, p := range m.Paths {
		if hold.has(i, p.Covered) {
			out.Covered = append(out.Covered, path+i)
		}
	}
	for _, k := range hold.Opened {
		out.Opened = append(out.Opened, opening+k)
	}
	for _, f := range hold.Fans {
		out.Fans = append(out.Fans, FanSource{space[f.From], space[f.To], reading(f.FlowReading)})
	}
	for _, r := range hold.Read {
		r.Of, r.To = space[r.Of], space[r.To]
		out.Read = append(out.Read, r)
	}
	for _, f := range hold.Flows {
		out.Flows = append(out.Flows, PathFlow{space[f.Of], space[f.To], reading(f.FlowReading)})
	}
	return out
}
