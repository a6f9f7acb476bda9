package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// whatAnswers says of the house, of each zone and of the ducts what its readings carry,
// and what would carry more. e is nil where nothing could be estimated.
func whatAnswers(c *survey.Case, v *visit, e *zonal.Estimate, out *slips) []Answerable {
	if e == nil {
		return []Answerable{answer(sheet.HouseName, []string{"nothing yet"}, []string{"the house pressure of a hold, and one reading"})}
	}
	list := []Answerable{answerHouse(c, out)}
	for id := range c.Zones() {
		list = append(list, answerZone(c, e, id))
	}
	return append(list, answerDucts(c, v)...)
}

func answer(space string, can, needs []string) Answerable {
	return Answerable{units.Sanitize(space), strings.Join(can, "; "), strings.Join(needs, "; ")}
}

// apartEnough is the ratio of two pressures from which they tell an exponent.
const apartEnough = 1.4

func answerHouse(c *survey.Case, out *slips) Answerable {
	low, high := math.Inf(1), 0.0
	for k := range c.Model.Holds {
		if plainFan(c, out, k) && c.Held[k].Hold.AsFound() {
			p := math.Abs(float64(c.Model.Holds[k].House))
			low, high = math.Min(low, p), math.Max(high, p)
		}
	}
	var can, needs []string
	switch {
	case high == 0:
		can, needs = []string{"no size: no fan flow was read as found"}, []string{"the fan flow of a hold as found"}
	case high < apartEnough*low:
		can, needs = []string{"its leakage at 50 Pa; its exponent is a guess"}, []string{"the fan flow at 25 Pa too"}
	default:
		can = []string{"its leakage at 50 Pa and its exponent"}
	}
	if !c.Sheet.House.Volume.Given && high > 0 {
		needs = append(needs, "the volume, for air changes")
	}
	if !c.Outdoor.Known && high > 0 {
		needs = append(needs, "temperatures indoors and outdoors, for the density of the air")
	}
	return answer(sheet.HouseName, can, needs)
}

// answerZone goes by what the estimate resolves.
func answerZone(c *survey.Case, e *zonal.Estimate, id zonal.SpaceID) Answerable {
	read, opened, fanned := reachOf(c, id)
	known, open := leaksOf(c, e, id)
	zone := c.Names[id]
	switch {
	case len(open) == 0 && len(known) > 0:
		return answer(zone, []string{"how it is joined, and the size of its leaks"}, nil)
	case len(known) > 0:
		return answer(zone, []string{"how it is joined; the size of its leaks to " + strings.Join(known, " and ")}, []string{"for its leaks to " + strings.Join(open, " and ") + ": " + changeFor(c, id, opened)})
	case read == 0:
		return answer(zone, []string{"nothing: no pressure of it was read as found"}, []string{"its pressure to the house, everything as found"})
	case opened && !fanned:
		return answer(zone, []string{ratioOnly(read)}, []string{"the fan flow, before and after it was opened"})
	}
	return answer(zone, []string{ratioOnly(read)}, []string{changeFor(c, id, opened)})
}

func ratioOnly(read int) string {
	if read == 1 {
		return "one pressure: it gives a ratio of its leaks, not a size"
	}
	return fmt.Sprintf("%d pressures that check each other: a ratio of its leaks, not a size", read)
}

// ways are the usual ways to open a zone to the house.
var ways = map[sheet.Kind]string{
	sheet.Attic: "prop its hatch open", sheet.Garage: "open the door to the garage", sheet.Basement: "open its door",
	sheet.Crawlspace: "open its hatch", sheet.DuctsKind: "cover the registers",
}

// changeFor is a change that sizes a zone's leaks.
func changeFor(c *survey.Case, id zonal.SpaceID, opened bool) string {
	way := ways[c.Kinds[id]]
	switch {
	case opened && c.Kinds[id] == sheet.DuctsKind:
		return "a fan on the ducts, house held at the same pressure"
	case opened:
		return "a larger opening, one to the other side, or a second fan: holdbook next ranks them"
	case way == "":
		way = "open it to the house"
	}
	return way + " with the fan running, and read the fan and the " + c.Names[id] + " again"
}

// leaksOf names the spaces to which a zone's leaks are resolved, and those to
// which they are not.
func leaksOf(c *survey.Case, e *zonal.Estimate, id zonal.SpaceID) (known, open []string) {
	for i, path := range e.Paths {
		p := c.Model.Paths[i]
		if p.Covered || p.A != id && p.B != id || p.A == zonal.House && c.Kinds[id] == sheet.DuctsKind {
			continue // open registers are no leak
		}
		other := c.Names[p.A+p.B-id]
		if path.Resolved && !survey.Untouched(p.Flow50, path.Flow50) {
			known = append(known, other)
		} else {
			open = append(open, other)
		}
	}
	return known, open
}

// reachOf counts the readings of a zone as found, and tells whether it was
// opened, sealed or blown in some hold, and whether the fan was read then.
func reachOf(c *survey.Case, id zonal.SpaceID) (read int, changed, fanned bool) {
	for k := range c.Model.Holds {
		m, here := &c.Model.Holds[k], c.Changed(k, id)
		if c.Held[k].Hold.AsFound() {
			for _, x := range m.Read {
				if x.Of == id || x.To == id {
					read++
				}
			}
		}
		changed, fanned = changed || here, fanned || here && m.Fan != nil
	}
	return read, changed, fanned
}

// answerDucts says what the tests of the ducts answer.
func answerDucts(c *survey.Case, v *visit) []Answerable {
	s := v.sheet
	var can, needs []string
	total, outside, covers := false, false, false
	for _, t := range s.DuctTests {
		total, outside = total || t.Method.Value == sheet.TotalMethod, outside || t.Method.Value == sheet.OutsideMethod
	}
	for _, r := range s.Registers {
		covers = covers || r.Cover.Given
	}
	if !total && !outside && !covers && len(s.OnOff) == 0 {
		return nil
	}
	if total {
		can = append(can, "total leakage")
	}
	if outside {
		can = append(can, "leakage to outside")
	}
	if covers {
		can = append(can, "which branch to look at first")
	}
	if len(s.OnOff) > 0 {
		can = append(can, "leakage while the air handler runs")
	}
	if !outside && !slices.Contains(c.Kinds, sheet.DuctsKind) {
		needs = append(needs, "for the leakage to outside: a fan on the ducts with the house at the same pressure, or a hold with the registers covered")
	}
	if len(s.OnOff) > 0 && len(s.OnOff) < 3 {
		needs = append(needs, "the on/off test at more pressures, on both sides of zero")
	}
	return []Answerable{answer("duct tests", can, needs)}
}
