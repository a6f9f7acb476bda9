package advise

import (
	"slices"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// The pressures (Pa) of the holds that are proposed, and how long each kind of
// action takes in minutes: judgement.
const (
	firstHold    = 50.0
	secondHold   = 25.0
	readMinutes  = 1.0
	holdMinutes  = 4.0
	openMinutes  = 5.0
	coverMinutes = 12.0
	fanMinutes   = 20.0
	expectedRead = 25.0 // Pa, for the error of a reading not yet taken
)

// kit is what a crew makes further holds with.
type kit struct {
	fan, second []int  // flow errors of the door fan and of a second one
	oneFan      bool   // there is no second
	doubt       string // of the readings that there are, where they do not fit each other
}

// hold is a hold not yet made, with the fan read.
func (k kit) hold(c *survey.Case, at units.Pressure) zonal.Hold {
	p := at
	if c.Below() {
		p = -at
	}
	return zonal.Hold{Name: "proposed", House: p, HouseSD: c.Gauge.PressureSD(p),
		Fan: &zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(1000)), SDLn: float64(c.Gauge.Repeat), Cal: k.fan, PerStack: perStack(c)}}
}

// perStack is how the fan's flow hangs on temperatures that were not typed, as in the holds
// that were made.
func perStack(c *survey.Case) float64 {
	for _, h := range c.Estimated.Holds {
		if h.Fan != nil {
			return h.Fan.PerStack
		}
	}
	return 0
}

// zoneRead is a pressure of a zone to be read.
func zoneRead(c *survey.Case, of, to zonal.SpaceID) zonal.PressureReading {
	return zonal.PressureReading{Of: of, To: to, SD: c.Gauge.PressureSD(expectedRead)}
}

// proposal is a candidate with its words.
type proposal struct {
	NextAction
	candidate zonal.Candidate
}

// propose is a proposal with the hold to fill in, under a name that the sheet does not have.
func propose(c *survey.Case, name string, a NextAction, of zonal.Candidate) []proposal {
	a.Hold = toFillIn(c, unusedName(c, name), of)
	return []proposal{{a, of}}
}

// proposals are all the actions that the sheet's spaces still allow. visit: nothing has been
// read yet.
func proposals(c *survey.Case, k kit, a aim, visit bool, post *zonal.Posterior) (list []proposal, err error) {
	if visit {
		list = append(list, proposeFirst(c, k)...)
	}
	for id := range c.Zones() {
		if !a.asks(id) {
			continue
		}
		list = append(list, proposeReferences(c, k, visit, id)...)
		if c.Kinds[id] == sheet.DuctsKind {
			list = append(list, proposeCover(c, k, id)...)
			continue
		}
		for _, to := range []zonal.SpaceID{zonal.House, zonal.Outside} {
			list = append(list, proposeOpening(c, k, id, to)...)
			holes, err := proposeHole(c, k, post, id, to)
			if err != nil {
				return nil, err
			}
			list = append(list, holes...)
		}
		list = append(list, proposeFan(c, k, id)...)
	}
	list = append(list, proposeSecond(c, k)...)
	if !visit {
		list = append(list, proposeRepeat(c, k, a)...)
		list = append(list, proposeSameRange(c, k)...)
		list = append(list, proposeWeather(c, a)...)
	}
	return list, nil
}

// nameOf is a space's name as a reader sees it.
func nameOf(c *survey.Case, z zonal.SpaceID) string { return units.Sanitize(c.Names[z]) }

// asFoundRead tells whether a zone was read to a space in a hold as found.
func asFoundRead(c *survey.Case, z, to zonal.SpaceID) bool {
	for k := range c.Model.Holds {
		if !c.Held[k].Hold.AsFound() {
			continue
		}
		for _, x := range c.Model.Holds[k].Read {
			if x.Of == z && x.To == to || x.Of == to && x.To == z {
				return true
			}
		}
	}
	return false
}

// proposeFirst is the hold that starts a visit: as found, everything read. A hold that was
// begun keeps its name: this one stands in its place.
func proposeFirst(c *survey.Case, k kit) []proposal {
	h := k.hold(c, firstHold)
	for id := range c.Zones() {
		h.Read = append(h.Read, zoneRead(c, id, zonal.House))
	}
	list := propose(c, "as found", NextAction{What: "hold as found at 50 Pa, every space read to the house",
		How:     "baseline first (fan covered, about 20 s), then 25 Pa and a walk through the house, then 50 Pa; a hose into each space",
		Minutes: holdMinutes + readMinutes*float64(len(h.Read))}, zonal.Candidate{Holds: []zonal.Hold{h}})
	first := &list[0]
	first.Hold.Baseline = toRead[units.Pressure](units.Pascal) // later holds take it over
	if begun := started(c); begun != nil {
		first.How += "; fill in the hold that the sheet has begun"
		if begun.Name.Given() {
			first.Hold.Name = begun.Name
		}
	}
	return list
}

// started is the hold as found that the sheet has, still without a house pressure.
func started(c *survey.Case) *sheet.Hold {
	for i := range c.Sheet.Holds {
		if h := &c.Sheet.Holds[i]; h.AsFound() && !h.Finished() {
			return h
		}
	}
	return nil
}

// proposeReferences reads a zone to where it has not been read as found.
func proposeReferences(c *survey.Case, k kit, visit bool, z zonal.SpaceID) (list []proposal) {
	for _, to := range []zonal.SpaceID{zonal.House, zonal.Outside} {
		if asFoundRead(c, z, to) || visit && to == zonal.House {
			continue
		}
		h := k.hold(c, firstHold)
		h.Fan = nil
		h.Read = []zonal.PressureReading{zoneRead(c, z, to)}
		list = append(list, propose(c, "as found, "+c.Names[z]+" to "+c.Names[to], NextAction{What: "read the " + nameOf(c, z) + " to " + survey.TheName(c, to) + fanOff(c, z),
			How:     "everything as found, fan running; the input hose in the " + nameOf(c, z) + ", the other tap open to " + survey.TheName(c, to),
			Minutes: readMinutes}, zonal.Candidate{Holds: []zonal.Hold{h}})...)
	}
	return list
}

// fanOff says of a neighbour that has been held level that its own fan is off in this hold.
func fanOff(c *survey.Case, z zonal.SpaceID) string {
	for _, h := range c.Sheet.Holds {
		if slices.ContainsFunc(h.Guards, func(g sheet.SpaceRef) bool { return g.Name == c.Names[z] }) {
			return ", its own fan off"
		}
	}
	return ""
}

// proposeCover covers the registers of a duct zone.
func proposeCover(c *survey.Case, k kit, z zonal.SpaceID) []proposal {
	main := c.Model.PathBetween(z, zonal.House)
	if main < 0 || c.CoveredPath(z) >= 0 {
		return nil
	}
	h := k.hold(c, firstHold)
	h.Read = []zonal.PressureReading{zoneRead(c, z, zonal.House)}
	h.Sealed, h.Covered = []int{main}, []int{len(c.Model.Paths)}
	return propose(c, "registers covered", NextAction{What: "cover the registers and read the " + nameOf(c, z) + " to the house", Minutes: coverMinutes,
		How:     "air handler off; cover every register and return, hold again, a hose through one cover",
		Caution: "the air handler must not start while its registers are covered; take every cover off afterwards"},
		zonal.Candidate{Holds: []zonal.Hold{h}, Paths: []zonal.Path{zonal.CoveredRegisters(z)}})
}

// fanKinds are the zones that a second fan can be set up in.
var fanKinds = []sheet.Kind{sheet.Garage, sheet.Basement, sheet.Crawlspace, sheet.Porch, sheet.Neighbour}

// secondFan is the name of a second fan on the sheet.
const secondFan = "second fan"

// TakesFan tells whether a second fan can be set up in a zone of a kind.
func TakesFan(k sheet.Kind) bool { return slices.Contains(fanKinds, k) }

// takesFan tells whether a second fan could still be set up in a zone.
func takesFan(c *survey.Case, z zonal.SpaceID) bool {
	used := slices.ContainsFunc(c.Model.Holds, func(h zonal.Hold) bool {
		return slices.ContainsFunc(h.Fans, func(f zonal.FanSource) bool { return f.From == z || f.To == z })
	})
	return !used && TakesFan(c.Kinds[z]) && c.Model.PathBetween(z, zonal.House) >= 0 && c.Model.PathBetween(z, zonal.Outside) >= 0
}

// proposeFan holds a zone level with the house by a fan of its own.
func proposeFan(c *survey.Case, k kit, z zonal.SpaceID) []proposal {
	if k.oneFan || !takesFan(c, z) {
		return nil
	}
	f := zonal.FanSource{From: z, To: zonal.Outside}
	if !c.Below() {
		f.From, f.To = f.To, f.From
	}
	f.FlowReading = zonal.FlowReading{Flow: units.Flow(units.CFM.ToSI(400)), SDLn: float64(c.Gauge.Repeat), Cal: k.second}
	h := k.hold(c, firstHold)
	h.Read, h.Fans = []zonal.PressureReading{zoneRead(c, z, zonal.House)}, []zonal.FanSource{f}
	return propose(c, "second fan, "+c.Names[z], NextAction{What: "hold the " + nameOf(c, z) + " level with the house by a second fan", Minutes: fanMinutes,
		How:     "the fan stands between the " + nameOf(c, z) + " and outside; both fans by hand, house at 50 Pa: change one a little, then the other, until the zone reads 0 Pa to the house; read both fans and what is left between the two",
		Caution: "combustion appliances in the " + nameOf(c, z) + " off as well; both fans off before any door between them is moved"},
		zonal.Candidate{Holds: []zonal.Hold{h}, Trimmed: true})
}

// proposeSecond holds the house as found at a second pressure.
func proposeSecond(c *survey.Case, k kit) []proposal {
	for i := range c.Model.Holds {
		if c.Held[i].Hold.AsFound() && c.Model.Holds[i].Fan != nil && units.Abs(c.Model.Holds[i].House) < survey.SecondHold {
			return nil
		}
	}
	return propose(c, "as found, 25 Pa", NextAction{What: "hold at 25 Pa as found, fan read", Minutes: holdMinutes, How: "everything as found; two pressures give the exponent"},
		zonal.Candidate{Holds: []zonal.Hold{k.hold(c, secondHold)}})
}

// proposeRepeat reads the fan and the zones as found once more.
func proposeRepeat(c *survey.Case, k kit, a aim) []proposal {
	h := k.hold(c, firstHold)
	for id := range c.Zones() {
		if a.asks(id) {
			h.Read = append(h.Read, zoneRead(c, id, zonal.House))
		}
	}
	what, how := "repeat the hold as found", "everything as found; let the gauge average for longer"
	if !c.FanRead() {
		what, how = "hold as found again and read the fan", "everything as found; the flow that the fan's gauge shows sizes the house"
	}
	return propose(c, "as found again", NextAction{What: what, Minutes: holdMinutes, How: how}, zonal.Candidate{Holds: []zonal.Hold{h}})
}

// proposeSameRange reads the fan as found once more in a flow range that it was read in
// with something open or covered, and never as found: the errors of two ranges do not cancel.
func proposeSameRange(c *survey.Case, k kit) (list []proposal) {
	found, other := map[string]bool{}, []string{}
	for i := range c.Model.Holds {
		if h := c.Held[i].Hold; c.Model.Holds[i].Fan != nil && h.AsFound() {
			found[h.Range.Value] = true
		}
	}
	for i := range c.Model.Holds {
		if h := c.Held[i].Hold; c.Model.Holds[i].Fan != nil && !h.AsFound() && !found[h.Range.Value] && h.Range.Given() && !slices.Contains(other, h.Range.Value) {
			other = append(other, h.Range.Value)
		}
	}
	if len(found) == 0 {
		return nil
	}
	for _, label := range other {
		k.fan = k.inRange(c, label)
		x := propose(c, "as found, range "+label, NextAction{What: "read the fan as found once more in the range used open (" + units.Sanitize(label) + ")", Minutes: holdMinutes,
			How: "everything as found; the flow range that was fitted with something open or covered: its error then cancels"},
			zonal.Candidate{Holds: []zonal.Hold{k.hold(c, firstHold)}})
		x[0].Hold.Range = sheet.Word(label)
		list = append(list, x...)
	}
	return list
}

// inRange are the flow errors of the door fan in a range that it has been read in.
func (k kit) inRange(c *survey.Case, label string) []int {
	m := zonal.Model{Calibrations: slices.Clone(c.Model.Calibrations)}
	return survey.AddFanErrors(&m, c.Gauge, "fan", label)
}
