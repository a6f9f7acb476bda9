package zonal

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"
)

// order is a model's parts in an order that follows from what they say and not from
// where they stand, so that the same readings have the same unknowns, the same draws
// and the same answer in whatever order they were written down. Parts that say the
// same stand as in the model.
type order struct {
	paths, openings, calibrations, holds []int
	fans, read, flows                    [][]int // of each hold of the model
	text                                 string  // the whole model in that order
}

// figures of a number in the texts that decide the order and the seed: far more than
// an instrument shows, and fewer than a change of unit or of processor can move.
const figures = 9

func number[F ~float64](v F) string { return fmt.Sprintf("%.*g", figures, float64(v)) }

// orderOf finds the order of a model whose parts fit together.
func orderOf(m *Model) order {
	var o order
	spaces := each(len(m.Spaces), func(i int) string { return m.spaceText(SpaceID(i)) })
	paths := each(len(m.Paths), func(i int) string {
		p := &m.Paths[i]
		return pairText(spaces[p.A], spaces[p.B]) + fmt.Sprintf(" covered %t ", p.Covered) +
			number(p.Flow50.Median) + " " + number(p.Flow50.SDLn) + " " + number(p.Exponent.Mean) + " " + number(p.Exponent.SD) +
			inWeather(m, func() string { return " at " + number(p.Height) + " " + number(p.HeightSD) })
	})
	openings := each(len(m.Openings), func(i int) string {
		q := &m.Openings[i]
		return pairText(spaces[q.A], spaces[q.B]) + " " + sameCase(q.Name) + " " + number(q.Area) + " " + number(q.AreaSDLn) + " " + number(q.Cd) + " " +
			number(q.Flow50.Median) + " " + number(q.Flow50.SDLn) + exponentText(q.Exponent) + secondText(q.Second)
	})
	calibrations := each(len(m.Calibrations), func(i int) string {
		return sameCase(m.Calibrations[i].Name) + " " + number(m.Calibrations[i].SDLn)
	})
	t := holdTexts{m, spaces, paths, openings, calibrations}
	holds := each(len(m.Holds), func(h int) string {
		hold := &m.Holds[h]
		fans := each(len(hold.Fans), func(i int) string { return t.fan(&hold.Fans[i]) })
		read := each(len(hold.Read), func(i int) string { return t.pressure(&hold.Read[i]) })
		flows := each(len(hold.Flows), func(i int) string { return t.pathFlow(&hold.Flows[i]) })
		o.fans, o.read, o.flows = append(o.fans, sorted(fans)), append(o.read, sorted(read)), append(o.flows, sorted(flows))
		return t.hold(hold, fans, read, flows)
	})
	o.paths, o.openings, o.calibrations, o.holds = sorted(paths), sorted(openings), sorted(calibrations), sorted(holds)
	o.text = strings.Join([]string{number(m.CdSDLn), number(m.Air), inOrder(spaces), inOrder(paths), inOrder(openings), inOrder(calibrations), inOrder(holds)}, "\n\n") +
		inWeather(m, func() string { return weatherText(m, spaces) }) + oneWayText(m)
	for k := range m.Later {
		later := onVisit(m, k+1)
		o.text += "\n\nlater" + inWeather(later, func() string { return weatherText(later, spaces) })
	}
	return o
}

// exponentText is the exponent of an opening that is not sharp.
func exponentText(n Normal) string {
	if n == (Normal{}) {
		return ""
	}
	return " exponent " + number(n.Mean) + " " + number(n.SD)
}

// oneWayText is how far the two directions may differ.
func oneWayText(m *Model) string {
	if m.OneWaySDLn == 0 {
		return ""
	}
	return " one way " + number(m.OneWaySDLn)
}

// secondText is what an opening opens besides.
func secondText(q LogNormal) string {
	if q.Median == 0 {
		return ""
	}
	return " second " + number(q.Median) + " " + number(q.SDLn)
}

// inWeather is a text that says something only of a model with weather.
func inWeather(m *Model, text func() string) string {
	if m.Weather == nil {
		return ""
	}
	return text()
}

// weatherText is the weather, and the air of every space.
func weatherText(m *Model, spaces []string) string {
	w := m.Weather
	air := each(len(spaces), func(i int) string {
		s := &m.Spaces[i]
		text := spaces[i] + " " + number(s.Crossing) + " " + number(s.Warmth)
		if s.Stack != nil {
			text += " " + number(*s.Stack)
		}
		return text
	})
	return "\n\n" + strings.Join([]string{number(w.Stack.Mean), number(w.Stack.SD), number(w.Wind), number(w.Zero)}, " ") + "\n" + inOrder(air)
}

// HoldOrder is the order in which to look for a hold among those that would do: as found
// before changed, then near the reference pressure before far from it. It does not hang
// on the order in which the holds stand. A model whose parts do not fit together keeps
// the order it has.
func (m *Model) HoldOrder() []int {
	if m == nil {
		return nil
	}
	if m.Check() != nil {
		return sorted(make([]string, len(m.Holds)))
	}
	return orderOf(m).holds
}

// seed is the same for the same readings and priors.
func (o *order) seed() uint64 {
	h := fnv.New64a()
	h.Write([]byte(o.text)) // a hash never fails to be written to
	return h.Sum64()
}

// holdTexts writes what was read in a hold in terms of what the rest of the model says.
type holdTexts struct {
	m                                     *Model
	spaces, paths, openings, calibrations []string
}

// hold puts the holds as found first, then those with the fewest changes, and of those
// alike in that the ones nearest to the reference pressure; those at rest last.
func (t holdTexts) hold(h *Hold, fans, read, flows []string) string {
	fan := "not read"
	if h.Fan != nil {
		fan = t.flow(h.Fan)
	}
	first := fmt.Sprintf("%03d %07.3f", h.changes(), math.Abs(math.Abs(float64(h.House))-Reference))
	if h.Rest {
		first = "rest " + first
	}
	if h.Visit > 0 {
		first += fmt.Sprintf(" visit %d", h.Visit)
	}
	return strings.Join([]string{first, t.list(h.Opened, t.openings), t.list(h.Sealed, t.paths), t.list(h.Covered, t.paths),
		inOrder(fans), number(h.House) + " " + number(h.HouseSD) + lessText(h.LessRest), fan, inOrder(read), inOrder(flows)}, "\n")
}

func lessText(lessRest bool) string {
	if lessRest {
		return " less rest"
	}
	return ""
}

// changes is how much differs from the house as found.
func (h *Hold) changes() int { return len(h.Opened) + len(h.Sealed) + len(h.Fans) }

func (t holdTexts) list(at []int, of []string) string {
	return inOrder(each(len(at), func(i int) string { return of[at[i]] }))
}

func (t holdTexts) flow(f *FlowReading) string {
	text := number(f.Flow) + " " + number(f.SDLn) + " " + t.list(f.Cal, t.calibrations)
	if f.PerStack != 0 {
		text += " per stack " + number(f.PerStack)
	}
	return text
}

func (t holdTexts) fan(f *FanSource) string {
	return t.spaces[f.From] + " > " + t.spaces[f.To] + " " + t.flow(&f.FlowReading)
}

func (t holdTexts) pathFlow(f *PathFlow) string {
	return t.spaces[f.Of] + " > " + t.spaces[f.To] + " " + t.flow(&f.FlowReading)
}

func (t holdTexts) pressure(r *PressureReading) string {
	return t.spaces[r.Of] + " > " + t.spaces[r.To] + " " + number(r.Pressure) + " " + number(r.SD) + lessText(r.LessRest)
}

// spaceText names a space; the house and outside by what they are. Paths between named
// spaces so stand in one order whatever was read or is assumed.
func (m *Model) spaceText(s SpaceID) string {
	switch s {
	case House:
		return "0 house"
	case Outside:
		return "1 outside"
	}
	if name := sameCase(m.Spaces[s].Name); name != "" {
		return "2 " + name
	}
	return fmt.Sprintf("3 %03d", s) // without a name it goes by its place
}

// pairText is a pair of spaces, in either order the same.
func pairText(a, b string) string { return min(a, b) + " – " + max(a, b) }

func each(n int, text func(i int) string) []string {
	list := make([]string, n)
	for i := range list {
		list[i] = text(i)
	}
	return list
}

// sorted is the order that sorting puts texts in.
func sorted(texts []string) []int {
	at := make([]int, len(texts))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(i, j int) int { return cmp.Compare(texts[i], texts[j]) })
	return at
}

func inOrder(texts []string) string {
	return strings.Join(slices.Sorted(slices.Values(texts)), "\n")
}

// sameCase is a name without what does not count in it: case, and the number of blanks.
func sameCase(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }
