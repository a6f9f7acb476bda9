package survey

import (
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// handlerSD is the relative standard deviation of an air handler's flow where
// the sheet says nothing: judgement, no source.
const handlerSD = 0.05

// handlerFlow is the air handler's flow; zero where it was not read.
func handlerFlow(c *Case) units.Measured[units.Flow] {
	return units.Within(c.airHandler().Flow.Or(0), handlerSD)
}

// handlerShare is a leakage as a share of the air handler's flow; nil where either is
// not known.
func handlerShare(c *Case, leakage *units.Estimate[units.Flow]) *Q {
	handler := handlerFlow(c)
	if leakage == nil || handler.Value == 0 {
		return nil
	}
	share, err := ductleak.ShareOf(*leakage, pressure.Interval90(handler))
	if err != nil {
		return nil
	}
	return percentOf(share)
}

// registerFlows sets the registers' flows in operation against the air handler.
func registerFlows(c *Case, log *Log, w *ductWork) {
	handler := handlerFlow(c)
	if handler.Value == 0 {
		return
	}
	for _, side := range []string{sheet.SupplySide, sheet.ReturnSide} {
		list := runningRegisters(c, side)
		if len(list) == 0 {
			continue
		}
		name := side + " registers against air handler"
		if sumOf(list) < handler.Value/2 {
			log.Notice(Note, "ducts", "the %s registers read pass less than half of the air handler's flow: some are missing, so their sum says nothing of leakage", side)
			continue
		}
		r, err := ductleak.RunningTest{AirHandler: handler, Registers: list, Hood: ductleak.OrdinaryHood}.Evaluate()
		if err != nil {
			w.refused(name, side+" leakage, to the house too", err)
			continue
		}
		log.worked("ducts, "+name, r.Working(c.System)...)
		t := DuctTest{Name: name, Quantity: side + " leakage, to the house too", Result: Flow(r.Leakage), Resolved: r.Resolved}
		if !r.Resolved {
			t.Note = "the hood's own errors are as large as the difference"
		}
		if r.Contradiction {
			t.Note = "the registers pass more than the air handler by more than their errors; check the hood, or the air-handler flow"
			log.Notice(Warning, "ducts", "%s: %s", name, t.Note)
		}
		w.d.Tests = append(w.d.Tests, t)
	}
}

func sumOf(list []ductleak.RunningRegister) (sum units.Flow) {
	for _, x := range list {
		sum += x.Flow
	}
	return sum
}

// runningRegisters are one side's registers with a flow. Registers without a side count
// as supply where no register has one.
func runningRegisters(c *Case, side string) []ductleak.RunningRegister {
	var list []ductleak.RunningRegister
	sides := false
	for _, x := range c.Sheet.Registers {
		sides = sides || x.Side.Given()
	}
	for _, x := range c.Sheet.Registers {
		if x.Flow.Given && (x.Side.Value == side || !sides && side == sheet.SupplySide) {
			list = append(list, ductleak.RunningRegister{Name: units.Sanitize(x.Name.Value), Flow: x.Flow.Value, Design: x.Design.Or(0)})
		}
	}
	return list
}

// houseShift tells from the house pressure which side leaks more.
func houseShift(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	a := c.airHandler()
	if !a.HousePressure.Given || e == nil || !c.FanRead() {
		return
	}
	const name = "house pressure, air handler on"
	sd := c.Gauge.PressureSD(a.HousePressure.Value)
	n := e.Exponent
	r, err := ductleak.HouseShift{
		On:     units.Measured[units.Pressure]{Value: a.HousePressure.Value, SD: sd},
		Off:    units.Measured[units.Pressure]{SD: sd},
		Flow50: e.Flow50, Exponent: units.Measured[units.Ratio]{Value: n.Value, SD: pressure.SD(n)},
	}.Evaluate()
	if err != nil {
		w.refused(name, netOfLeaks, err)
		return
	}
	log.worked("ducts, "+name, r.Working(c.System)...)
	w.add(netOfLeaks, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Net, Resolved: r.Resolved}, compared: true,
		note: string(r.Dominant) + "; a size without its sign, an order of magnitude only where there is wind or stack effect"})
}

// addOnOff reports the on/off test, one joint fit of all its stations.
func addOnOff(c *Case, log *Log, w *ductWork) {
	if len(c.Sheet.OnOff) == 0 {
		return
	}
	const name = onOffTest
	t := ductleak.OnOffTest{AirHandler: handlerFlow(c), Repeat: float64(c.Gauge.Repeat), Wobble: c.Gauge.Wobble, Seed: 1, Systematic: ductleak.OnOffSystematic}
	for _, x := range c.Sheet.OnOff {
		t.Differences = append(t.Differences, onOffDifference(c, log, x))
	}
	t.SupplyPressure, t.ReturnPressure = plenumPressure(c, sheet.SupplySide), plenumPressure(c, sheet.ReturnSide)
	r, err := t.Evaluate()
	if err != nil {
		w.refused(name, netOfLeaks, err)
		return
	}
	onOffResult(c, log, w, name, r)
}

// onOffDifference is one station: the flow through the envelope with the air handler
// on less off, signed like the house pressure.
func onOffDifference(c *Case, log *Log, x sheet.OnOff) ductleak.Difference {
	sign := units.Flow(math.Copysign(1, float64(x.House.Value)))
	read := func(q sheet.Flow) units.Flow { return sign * envelopeFlow(c, log, q.Value, x.House.Value) }
	off, on := read(x.Off), read(x.On)
	return ductleak.Difference{House: x.House.Value, Flow: on - off, Envelope: off}
}

// envelopeFlow is what passes the envelope when the fan shows q.
func envelopeFlow(c *Case, log *Log, q units.Flow, house units.Pressure) units.Flow {
	air, d := c.Outdoor, pressure.DirectionOf(house)
	q, err := unscaledFlow(c, log, q, carriedTo(c.Sheet), house, "on/off test")
	if err != nil {
		return q
	}
	q, err = trueFlow(c, log, q, d.FanAir(air.house.density, air.outdoor.density), "on/off test")
	if err != nil || !air.Known {
		return q
	}
	got, err := pressure.EnvelopeFlow(q, d, air.house.density, air.outdoor.density)
	if err != nil {
		return q
	}
	return got.Value
}

// plenumPressure is the operating pressure across a side's leaks, guessed from its
// plenum; zero where that was not read.
func plenumPressure(c *Case, side string) units.Measured[units.Pressure] {
	p := c.airHandler().SupplyPressure
	if side == sheet.ReturnSide {
		p = c.airHandler().ReturnPressure
	}
	if !p.Given || p.Value == 0 {
		return units.Measured[units.Pressure]{}
	}
	return ductleak.HalfPlenum(c.pressureWithin(units.Abs(p.Value)))
}

func onOffResult(c *Case, log *Log, w *ductWork, name string, r ductleak.OnOffResult) {
	out := &OnOff{}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range r.Points {
		out.Points = append(out.Points, OnOffPoint{float64(p.House), float64(p.Difference), float64(p.Fitted), units.CubicMetrePerSecond})
		low, high = math.Min(low, float64(p.House)), math.Max(high, float64(p.House))
	}
	for _, p := range curvePressures(low, high) {
		q := float64(r.Curve(units.Pressure(p)))
		out.Curve = append(out.Curve, OnOffPoint{p, q, q, units.CubicMetrePerSecond})
	}
	note := "operating, to outside"
	if r.OneSided {
		note = "the stations lie on one side of zero, which gives the net alone; hold the house on the other side too"
	} else {
		out.Correlation, w.correlation = r.Correlation, r.Correlation
	}
	if r.AirHandlerAssumed {
		note += "; the air-handler flow was not given, 1000 cfm was taken for the prior"
	}
	if r.Unreliable != "" {
		log.Notice(Warning, "on/off test", "the fit did not settle: %s", r.Unreliable)
	}
	if k := r.Scatter; k.Widened > 1 {
		out.Widened = k.Widened
		log.Notice(Warning, name, "the stations scatter %s times as much as the stated errors: wind or a change between readings is in them; their errors are counted %s times, since so few stations tell the scatter only roughly; repeat the test in calm weather, or state a larger gauge.wobble",
			units.Fixed(k.Excess, 1), units.Fixed(k.Widened, 1))
	}
	w.d.OnOff = out
	w.add(supplyLeaks, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Supply, Resolved: r.SupplyResolved}, note: note})
	w.add(returnLeaks, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Return, Resolved: r.ReturnResolved}})
	w.add(netOfLeaks, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Net, Resolved: r.NetResolved}, note: "supply less return"})
	log.worked("ducts, "+name, r.Working(c.System)...)
}

// addOperating carries leakage at 25 Pa of each side to its operating pressure.
// Where the on/off test has resolved the side it stands for comparison only.
func addOperating(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	for _, of := range [][2]string{{sheet.SupplySide, supplyLeaks}, {sheet.ReturnSide, returnLeaks}} {
		side, quantity := of[0], of[1]
		q25, name, guessed := sideAt25(c, e, w, side)
		p := plenumPressure(c, side)
		if q25 == nil || p.Value == 0 {
			continue
		}
		o, err := ductleak.OperatingLeakage(*q25, p, units.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD})
		if err != nil {
			w.refused(name, quantity, err)
			continue
		}
		log.worked("ducts, "+side, o.Working(c.System)...)
		measured := len(w.tests[quantity]) > 0 && w.tests[quantity][0].Resolved
		w.add(quantity, ductAnswer{Answer: ductleak.Answer{Name: name, Result: o.Leakage, Resolved: ductleak.Resolved(o.Leakage)}, compared: measured || guessed, note: sideNote(guessed, side)})
	}
}

func sideNote(guessed bool, side string) string {
	if side == sheet.ReturnSide {
		return "" // said of the supply side already
	}
	if guessed {
		return "half of the leakage was taken for each side, a fifth to four fifths; half of the plenum pressure for the leaks'"
	}
	return "half of the plenum pressure was taken for the leaks'"
}

// CarriedTest is what a leakage at 25 Pa carried to the operating pressure is called.
const CarriedTest = "25 Pa leakage at its operating pressure"

// sideAt25 is one side's leakage to outside at 25 Pa: from a test of that side,
// or guessed from the whole system's.
func sideAt25(c *Case, e *zonal.Estimate, w *ductWork, side string) (est *units.Estimate[units.Flow], name string, guessed bool) {
	if list := w.tests[sided(outside25, side)]; len(list) > 0 && list[0].Resolved {
		return &list[0].Result, CarriedTest, false
	}
	if zones := sideZones(c, w, side); len(zones) > 0 && e != nil {
		if q, doubt, err := e.Posterior.SumAt(leakPaths(c, zones...), 25); err == nil && doubt.Resolved {
			return &q, CarriedTest, false
		}
	}
	all := w.combined(outside25)
	if all == nil {
		return nil, "", false
	}
	return &units.Estimate[units.Flow]{Value: all.Value / 2, Low: all.Low / 5, High: all.High * 4 / 5}, CarriedTest, true
}

// sideZones are the duct zones that only one side's registers belong to.
func sideZones(c *Case, w *ductWork, side string) []zonal.SpaceID {
	var list []zonal.SpaceID
	for _, z := range w.zones {
		own, other := false, false
		for _, x := range c.Sheet.Registers {
			if x.Ducts.Name == c.Names[z] && x.Side.Given() {
				own, other = own || x.Side.Value == side, other || x.Side.Value != side
			}
		}
		if own && !other {
			list = append(list, z)
		}
	}
	return list
}

// curvePressures are the pressures that a fitted on/off curve is drawn at: it is steepest
// about zero, where they lie closest.
func curvePressures(low, high float64) (list []float64) {
	const steps, closer = 60, 1.6
	for i := range steps + 1 {
		at := float64(i) / steps
		switch u := 2*at - 1; {
		case low >= 0 || high <= 0:
			list = append(list, low+(high-low)*at)
		case u < 0:
			list = append(list, low*math.Pow(-u, closer))
		default:
			list = append(list, high*math.Pow(u, closer))
		}
	}
	return list
}
