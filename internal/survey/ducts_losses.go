package survey

import (
	"math"
	"slices"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// Judgement, no source, where the sheet cannot say.
const (
	outputSD  = 0.05                  // relative sd of the equipment's output
	surfaceSD = 0.10                  // relative sd of a duct surface
	ambientSD = 3.0                   // K, of the air around the ducts
	bestDucts = 8 * hourSquareFootF   // insulation that repair would bring the ducts to
	openDucts = 0.7 * hourSquareFootF // air films alone, where a run states no insulation
)

// hourSquareFootF is 1 h·ft²·°F/Btu in m²·K/W.
const hourSquareFootF = units.ThermalResistance(0.1761101838)

// addLosses works out where the heating or cooling goes on its way.
func addLosses(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	if len(c.Sheet.Ducts) == 0 {
		return
	}
	in, missing := lossInput(c, e, log, w)
	if len(missing) > 0 {
		log.Notice(Note, "ducts", "losses on the way were not worked out; still needed: %s", strings.Join(missing, ", "))
		return
	}
	r, err := ductleak.DistributionEfficiency(in)
	if err != nil {
		log.Notice(Warning, "ducts", "losses on the way were not worked out: %s", err.Error())
		return
	}
	log.worked("ducts, losses", r.Working(c.System)...)
	w.d.Mode = "heating"
	if in.Output.Value < 0 {
		w.d.Mode = "cooling"
	}
	w.d.DeliveryEffectiveness, w.d.DistributionEfficiency = percentOf(r.Effectiveness), percentOf(r.Efficiency)
	for _, t := range r.Doubts {
		log.Notice(Warning, "ducts", "%s", t)
	}
	for _, l := range r.Losses {
		w.d.Losses = append(w.d.Losses, Loss{Cause: string(l.Cause), Share: percentOf(l.Share)})
	}
	for _, g := range r.Gains {
		w.d.Losses = append(w.d.Losses, Loss{Cause: "gain of " + string(g.Repair), Share: percentOf(g.Saving)})
	}
	addYear(c, log, w, r, in)
	lossNotes(c, w, in)
}

// lossInput gathers what the loss model needs and names what is missing.
func lossInput(c *Case, e *zonal.Estimate, log *Log, w *ductWork) (in ductleak.LossInput, missing []string) {
	need := func(ok bool, what string) {
		if !ok {
			missing = append(missing, what)
		}
	}
	a := c.airHandler()
	indoor, haveIn := firstGiven(c.climate().Indoor, c.Sheet.House.Indoor)
	outdoor, haveOut := firstGiven(c.climate().Outdoor, c.Sheet.House.Outdoor)
	need(a.Output.Given, "air_handler.output")
	flow, haveFlow := lossFlow(c, log, w)
	need(haveFlow, "air_handler.flow")
	need(haveIn, "house.indoor or climate.indoor")
	need(haveOut, "house.outdoor or climate.outdoor")
	supply, return_ := w.leakageOf(supplyLeaks), w.leakageOf(returnLeaks)
	need(supply != nil, "supply leakage (an on/off test, or a leakage test with air_handler.supply_pressure)")
	need(return_ != nil, "return leakage (an on/off test, or a leakage test with air_handler.return_pressure)")
	if len(missing) > 0 {
		return in, missing
	}
	in = ductleak.LossInput{Flow: flow, Output: pressure.Interval90(units.Within(a.Output.Value, outputSD)), Indoor: ductleak.Exactly(indoor), Outdoor: ductleak.Exactly(outdoor),
		LeakageCorrelation: w.correlation, Sensible: a.Sensible.Or(1), Natural: naturalExchange(c, e), Cycling: cyclingLoss(c), Air: c.houseAir(), Insulated: bestDucts}
	in.Supply, in.Return = lossSide(c, sheet.SupplySide, indoor, outdoor), lossSide(c, sheet.ReturnSide, indoor, outdoor)
	in.Supply.Leakage, in.Return.Leakage = supply.NotBelowZero(), return_.NotBelowZero()
	return in, nil
}

// airHandler is what the sheet says of it; nothing where it says nothing.
func (c *Case) airHandler() sheet.AirHandler {
	if c.Sheet.AirHandler == nil {
		return sheet.AirHandler{}
	}
	return *c.Sheet.AirHandler
}

func (c *Case) climate() sheet.Climate {
	if c.Sheet.Climate == nil {
		return sheet.Climate{}
	}
	return *c.Sheet.Climate
}

// lossFlow is the air handler's flow: read, or from output and temperature rise.
func lossFlow(c *Case, log *Log, w *ductWork) (units.Estimate[units.Flow], bool) {
	a := c.airHandler()
	if a.Flow.Given {
		return pressure.Interval90(handlerFlow(c)), true
	}
	if !a.Output.Given || !a.SupplyTemperature.Given || !a.ReturnTemperature.Given {
		return units.Estimate[units.Flow]{}, false
	}
	rise := units.TemperatureDifference(a.SupplyTemperature.Value - a.ReturnTemperature.Value)
	q, err := ductleak.FlowFromRise(a.Output.Value, rise, c.houseAir())
	if err != nil {
		log.Notice(Warning, "air handler", "%s", readingFault(err))
		return units.Estimate[units.Flow]{}, false
	}
	w.d.Notes = append(w.d.Notes, "Air-handler flow from its output and temperature rise: "+inWords(c, pressure.Interval90(units.Within(q, 2*handlerSD)))+".")
	return pressure.Interval90(units.Within(q, 2*handlerSD)), true
}

// leakageOf is one side's operating leakage: what its tests resolve, else the
// best guess that any of them gives; nil where there is none.
func (w *ductWork) leakageOf(quantity string) *units.Estimate[units.Flow] {
	if e := w.combined(quantity); e != nil {
		return e
	}
	list := w.tests[quantity]
	i := slices.IndexFunc(list, func(a ductAnswer) bool { return a.compared })
	switch {
	case i >= 0:
		return &list[i].Result
	case len(list) > 0:
		return &list[0].Result
	}
	return nil
}

// naturalExchange is the house's air exchange by itself, a twentieth of its flow at
// 50 Pa; zero where that is not known.
func naturalExchange(c *Case, e *zonal.Estimate) units.Estimate[units.Flow] {
	if e == nil || !c.FanRead() {
		return units.Estimate[units.Flow]{}
	}
	q := e.Flow50
	est, err := pressure.ModelEstimate(q.Value/20, pressure.SDLn(q))
	if err != nil {
		return units.Estimate[units.Flow]{}
	}
	return est
}

// cyclingLoss is the share lost to warming the ducts at each start, from memory:
// 5 % for sheet metal, 2 % for other ducts; nothing where the sheet is silent.
func cyclingLoss(c *Case) units.Ratio {
	area, lost := 0.0, 0.0
	for _, d := range c.Sheet.Ducts {
		a := float64(surface(d))
		switch d.Material.Value {
		case "metal":
			area, lost = area+a, lost+0.05*a
		case "other":
			area, lost = area+a, lost+0.02*a
		}
	}
	if area == 0 {
		return 0
	}
	return units.Ratio(lost / area)
}

// surface is the surface of a run of ducts.
func surface(d sheet.Duct) units.Area {
	if d.Area.Given {
		return d.Area.Value
	}
	return units.Area(math.Pi * float64(d.Length.Or(0)) * float64(d.Diameter.Or(0)))
}

// lossSide sums one side's runs: surfaces add, conductances add, what surrounds
// them and what comes back from there weigh by conductance and by surface.
func lossSide(c *Case, side string, indoor, outdoor units.Temperature) ductleak.LossSide {
	var area, conductance, warm, regain float64
	for _, d := range c.Sheet.Ducts {
		if d.Side.Value != side {
			continue
		}
		a := float64(surface(d))
		g := a / float64(insulationOf(d))
		area, conductance = area+a, conductance+g
		warm += g * float64(ambientOf(c, d, indoor, outdoor))
		regain += a * float64(regainOf(c, d))
	}
	out := ductleak.LossSide{Resistance: ductleak.Exactly(bestDucts), Ambient: ductleak.Exactly(outdoor)}
	if area == 0 {
		return out // nothing to lose through
	}
	out.Surface = pressure.Interval90(units.Within(units.Area(area), surfaceSD))
	out.Resistance = pressure.Interval90(units.Within(units.ThermalResistance(area/conductance), surfaceSD))
	out.Ambient = pressure.Interval90(units.Measured[units.Temperature]{Value: units.Temperature(warm / conductance), SD: ambientSD})
	out.Regain = ductleak.Exactly(units.Ratio(regain / area))
	return out
}

// insulationOf is a run's thermal resistance; the air films alone where it has none.
func insulationOf(d sheet.Duct) units.ThermalResistance {
	if d.Insulation.Given && d.Insulation.Value > 0 {
		return max(d.Insulation.Value, openDucts)
	}
	return openDucts
}

// ambientOf is the temperature around a run: stated, that of its space, indoors,
// or outdoors.
func ambientOf(c *Case, d sheet.Duct, indoor, outdoor units.Temperature) units.Temperature {
	z, ok := c.Sheet.Zone(d.Location.Name)
	switch {
	case d.Ambient.Given:
		return d.Ambient.Value
	case ok && z.Temperature.Given:
		return z.Temperature.Value
	case d.Location.Name == sheet.HouseName:
		return indoor
	}
	return outdoor
}

// locations are the regain locations of the kinds of zone.
var locations = map[sheet.Kind]ductleak.Location{
	sheet.Attic: ductleak.Attic, sheet.Kneewall: ductleak.Attic, sheet.Garage: ductleak.Garage, sheet.Porch: ductleak.Outdoors,
	sheet.Basement: ductleak.UnconditionedBasement, sheet.RoomKind: ductleak.ConditionedSpace, sheet.Neighbour: ductleak.ConditionedSpace,
}

// regainOf is the share of a run's losses that comes back to the house.
func regainOf(c *Case, d sheet.Duct) units.Ratio {
	z, ok := c.Sheet.Zone(d.Location.Name)
	where := ductleak.Outdoors
	if ok && z.MeantInside() {
		where = ductleak.ConditionedSpace
	}
	switch {
	case d.Location.Name == sheet.HouseName:
		where = ductleak.ConditionedSpace
	case ok && z.Kind == sheet.Crawlspace && z.IsVented():
		where = ductleak.VentedCrawlspace
	case ok && z.Kind == sheet.Crawlspace:
		where = ductleak.UnventedCrawlspace
	case ok && locations[z.Kind] != "":
		where = locations[z.Kind]
	}
	f, err := ductleak.RegainFactor(where, insulated(z))
	if err != nil {
		return 0
	}
	return f
}

func insulated(z sheet.Zone) (i ductleak.Insulation) {
	for _, t := range z.Insulated {
		i.Walls = i.Walls || t.Value == "walls"
		i.Ceiling = i.Ceiling || t.Value == "ceiling"
	}
	return i
}

// lossNotes say what the losses rest on.
func lossNotes(c *Case, w *ductWork, in ductleak.LossInput) {
	note := func(t string) { w.d.Basis = append(w.d.Basis, t) }
	note("Losses: the steady model of ASHRAE 152, with the temperatures of the sheet. Sealing is taken to close all leaks, insulating to bring the ducts to " +
		resistanceText(in.Insulated, c.System) + ".")
	if in.Output.Value < 0 {
		note("Cooling: no humidity was read, so what moist air drawn in by return leaks costs is left out.")
		if !c.airHandler().Sensible.Given {
			note("Cooling: all of the output counts as sensible, for air_handler.sensible does not say what share of it lowers the temperature.")
		}
	}
	if in.Cycling > 0 {
		note("Cycling: 5 % for sheet metal and 2 % for other ducts, from memory.")
	}
	if in.Natural.Value > 0 {
		note("Infiltration by unequal leaks: from a natural exchange of a twentieth of the flow at 50 Pa, 40 % either way.")
	}
	for _, d := range c.Sheet.Ducts {
		if !d.Insulation.Given {
			note("Runs without insulation count with their air films alone.")
			break
		}
	}
}

func resistanceText(r units.ThermalResistance, s units.System) string {
	u := units.HourSquareFootPerBtu
	decimals := 0
	if s == units.SI {
		u, decimals = units.SquareMetreKelvinPerWatt, 1
	}
	return units.Fixed(u.FromSI(float64(r)), decimals) + " " + u.Pretty()
}
