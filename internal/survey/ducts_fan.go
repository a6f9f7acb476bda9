package survey

import (
	"fmt"
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// The sides of a duct system, as the sheet writes them.
const (
	bothSides  = "both"
	supplySide = "supply"
	returnSide = "return"
)

// fanMethod is a way to test with a fan on the ducts.
type fanMethod struct {
	called string // where the sheet gives no name
	work   func(w *ductWork, name string, t sheet.DuctTest, n ductleak.Measured[units.Ratio])
}

// The methods of the sheet.
const (
	totalMethod   = "total"
	outsideMethod = "outside"
)

// fanMethodOf is what a duct test's method asks for. A method that nothing works
// is an error: its answer would stand for a quantity it is not.
func (r *run) fanMethodOf(t sheet.DuctTest) (fanMethod, error) {
	switch t.Method.Value {
	case totalMethod:
		return fanMethod{"fan on the ducts", (*ductWork).totalTest}, nil
	case outsideMethod:
		return fanMethod{"house and ducts at one pressure", (*ductWork).outsideTest}, nil
	}
	return fanMethod{}, r.place(t.Pos, fmt.Sprintf("a duct test by method %q cannot be worked; write %q or %q", units.Sanitize(t.Method.Value), totalMethod, outsideMethod))
}

// fanMethods refuses a sheet with a duct test by a method that nothing works.
func (r *run) fanMethods() error {
	for _, t := range r.sheet.DuctTests {
		if _, err := r.fanMethodOf(t); err != nil {
			return err
		}
	}
	return nil
}

// fanTests works the tests with a fan on the ducts: those of total leakage
// first, which the others look to.
func (w *ductWork) fanTests() {
	scaling := ductleak.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	names := w.testNames()
	for _, total := range []bool{true, false} {
		for i, t := range w.sheet.DuctTests {
			if m, err := w.fanMethodOf(t); err == nil && (t.Method.Value == totalMethod) == total {
				m.work(w, names[i], t, scaling)
			}
		}
	}
	w.addSides(total25)
	w.addSides(outside25)
}

// testNames are the names of the duct tests: the sheet's, else what each is,
// with its number where several are alike.
func (w *ductWork) testNames() []string {
	names, count := make([]string, len(w.sheet.DuctTests)), map[string]int{}
	for i, t := range w.sheet.DuctTests {
		names[i] = w.testName(t)
		count[names[i]]++
	}
	for i, t := range w.sheet.DuctTests {
		if !t.Name.Given() && count[names[i]] > 1 {
			names[i] = fmt.Sprintf("%s, duct test %d", names[i], i+1)
		}
	}
	return names
}

func (w *ductWork) testName(t sheet.DuctTest) string {
	if t.Name.Given() {
		return units.Sanitize(t.Name.Value)
	}
	m, _ := w.fanMethodOf(t)
	if side := t.TestSide(); side != bothSides {
		return m.called + ", " + side
	}
	return m.called
}

// sided is the quantity that a test of one side measures.
func sided(quantity, side string) string {
	if side == bothSides {
		return quantity
	}
	return quantity + ", " + side
}

func (w *ductWork) totalTest(name string, t sheet.DuctTest, n ductleak.Measured[units.Ratio]) {
	quantity := sided(total25, t.TestSide())
	r, err := ductleak.TotalTest{Flow: w.ductFan(t), Pressure: w.within(abs(t.Pressure.Value)), Scaling: n}.Evaluate()
	if err != nil {
		w.refused(name, quantity, err)
		return
	}
	w.workedAll("ducts, "+name, r.Working(w.system))
	w.add(quantity, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Total25, Resolved: ductleak.Resolved(r.Total25), Meter: w.meter(ductFanMeter)}})
}

// ductFan is the flow of the fan on the ducts with all of its own error.
func (w *ductWork) ductFan(t sheet.DuctTest) ductleak.Measured[units.Flow] {
	return flowWithin(t.Flow.Value, w.meterSD())
}

func (w *ductWork) outsideTest(name string, t sheet.DuctTest, n ductleak.Measured[units.Ratio]) {
	quantity := sided(outside25, t.TestSide())
	test := ductleak.OnePressureTest{Flow: w.ductFan(t), Pressure: w.within(abs(t.Pressure.Value)), Scaling: n}
	if t.Residual.Given {
		test.Residual = w.within(units.Pressure(math.Copysign(1, float64(t.Pressure.Value))) * t.Residual.Value)
		test.Residual.SD = units.Pressure(float64(w.gauge.Floor) / 2) // a difference across one wall: no wind in it
		test.Inside25 = w.insideOf(t.TestSide(), test)
	}
	r, err := test.Evaluate()
	if err != nil {
		w.refused(name, quantity, err)
		return
	}
	w.workedAll("ducts, "+name, r.Working(w.system))
	a := ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Outside25, Resolved: r.Resolved, Meter: w.meter(ductFanMeter)}}
	switch {
	case r.Trim:
		a.note = "ducts and house were more than 0.2 Pa apart; trim the fan on the ducts and read again"
	case t.Residual.Given && r.InsideAssumed:
		a.note = "the leaks between ducts and house were not measured; half of the total was taken, within a factor of five"
	case w.aroundNotOutdoors():
		a.note = "holds if the space around the ducts stood open to outdoors"
	}
	w.add(quantity, a)
}

// aroundNotOutdoors tells whether the ducts run through a zone that need not be
// at outdoor pressure during the test.
func (w *ductWork) aroundNotOutdoors() bool {
	return len(w.zones) == 1 && w.around(w.zones[0]) > zonal.Outside
}

// insideOf is leakage between ducts and house from a total test of the same
// side; zero where there was none.
func (w *ductWork) insideOf(side string, t ductleak.OnePressureTest) units.Estimate[units.Flow] {
	list := w.tests[sided(total25, side)]
	t.Residual = ductleak.Measured[units.Pressure]{}
	out, err := t.Evaluate()
	if len(list) == 0 || err != nil {
		return units.Estimate[units.Flow]{}
	}
	return ductleak.InsideFrom(list[0].Result, out.Outside25)
}

// addSides makes the leakage of the whole system of those of its two sides,
// where both were tested. The errors of one fan do not cancel: the ends add.
func (w *ductWork) addSides(quantity string) {
	s, r := w.tests[sided(quantity, supplySide)], w.tests[sided(quantity, returnSide)]
	for _, list := range [][]ductAnswer{s, r} {
		for _, a := range list {
			w.d.Tests = append(w.d.Tests, DuctTest{Name: a.Name, Quantity: quantity, Result: w.flow(a.Result), Resolved: a.Resolved, Note: a.note})
		}
	}
	if len(s) == 0 || len(r) == 0 {
		return
	}
	a, b := s[0].Result, r[0].Result
	sum := units.Estimate[units.Flow]{Value: a.Value + b.Value, Low: a.Low + b.Low, High: a.High + b.High}
	w.add(quantity, ductAnswer{Answer: ductleak.Answer{Name: "both sides, tested apart", Result: sum, Resolved: s[0].Resolved && r[0].Resolved, Meter: w.meter(ductFanMeter)}})
}

// coverReadings ranks the branches by the pressure across covered registers.
func (w *ductWork) coverReadings() {
	var list []ductleak.CoverReading
	for _, x := range w.sheet.Registers {
		if x.Cover.Given {
			if c, ok := w.coverReading(x); ok {
				list = append(list, c)
			}
		}
	}
	w.covers = map[string]ductleak.Cover{}
	c := w.ranked(list)
	for i := range c.Each {
		w.covers[c.Each[i].Reading.Name] = c.Each[i]
		w.workedAll("register "+c.Each[i].Reading.Name, c.Each[i].Working(w.system))
	}
	w.registers()
	if len(c.Each) == 0 {
		return
	}
	median, low, high := c.Median.Format(units.Pascal)
	w.d.Notes = append(w.d.Notes,
		fmt.Sprintf("Covered registers at 50 Pa: median %s Pa (%s–%s), highest at %s.", median, low, high, c.Each[c.Worst].Reading.Name),
		"A"+ductleak.CoverSays[1:]+".")
	w.weakZone(c)
}

// ranked ranks the readings; those that cannot be corrected are left out, and
// it says so.
func (w *ductWork) ranked(list []ductleak.CoverReading) ductleak.Covers {
	if len(list) == 0 {
		return ductleak.Covers{}
	}
	if c, err := ductleak.RankCovers(list); err == nil {
		return c
	}
	var usable []ductleak.CoverReading
	for _, x := range list {
		if _, err := ductleak.RankCovers([]ductleak.CoverReading{x}); err != nil {
			w.notice(Warning, x.Name, "the reading across its cover was not used: %s", readingFault(err))
			continue
		}
		usable = append(usable, x)
	}
	if len(usable) == len(list) {
		return ductleak.Covers{} // each serves alone, yet not together: nothing to name
	}
	return w.ranked(usable)
}

func (w *ductWork) weakZone(c ductleak.Covers) {
	for _, x := range c.Each {
		if x.WeakZone {
			w.notice(Warning, "ducts", "the space around the ducts stood less than 15 Pa from the house, so the corrected cover readings are weak; open it to outdoors and read again")
			return
		}
	}
}

func (w *ductWork) coverReading(x sheet.Register) (ductleak.CoverReading, bool) {
	name := units.Sanitize(x.Name.Value)
	k := w.holdNamed(x.Hold.Value)
	if k < 0 {
		w.notice(Note, name, "the pressure across its cover cannot be corrected: no finished hold says what the house pressure was")
		return ductleak.CoverReading{}, false
	}
	h := &w.model.Holds[k]
	c := ductleak.CoverReading{Name: name, Cover: w.within(abs(x.Cover.Value)),
		House: ductleak.Measured[units.Pressure]{Value: abs(h.House), SD: h.HouseSD}}
	if z := w.surrounding(x); z > zonal.Outside {
		c.Zone = w.houseToZone(k, z)
	}
	return c, true
}

// surrounding is the zone that a register's ducts run through, as the sheet
// declares it; outside where that is among their neighbours or where there are
// several, house where nothing is said.
func (w *ductWork) surrounding(x sheet.Register) zonal.SpaceID {
	ducts := w.ductZoneName(x)
	var found []zonal.SpaceID
	for _, p := range w.sheet.Touching() {
		other := p[0]
		switch ducts {
		case p[0]:
			other = p[1]
		case p[1]:
		default:
			continue
		}
		id, ok := w.spaces[other]
		if ok && !w.insideOfDucts(id) {
			found = append(found, id)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return zonal.Outside
}

func (w *ductWork) ductZoneName(x sheet.Register) string {
	if x.Ducts.Given() {
		return x.Ducts.Name
	}
	for _, z := range w.sheet.Zones {
		if z.Kind == sheet.DuctsKind {
			return z.Name.Value
		}
	}
	return ""
}

// registers lists every register with what was read at it.
func (w *ductWork) registers() {
	for _, x := range w.sheet.Registers {
		out := Register{Name: units.Sanitize(x.Name.Value), Side: x.Side.Value}
		if x.Cover.Given {
			out.Cover = w.pascals(asWithin(w.within(abs(x.Cover.Value))))
		}
		if x.Held.Given {
			out.Held = w.flow(asWithin(flowWithin(abs(x.Held.Value), w.meterSD())))
		}
		if x.Flow.Given {
			hood := math.Hypot(ductleak.OrdinaryHood.Common, ductleak.OrdinaryHood.Each)
			out.Flow = w.flow(asWithin(flowWithin(x.Flow.Value, hood)))
		}
		if x.Design.Given {
			out.Design = w.flow(ductleak.Exactly(x.Design.Value))
			if x.Flow.Given {
				share := float64(x.Flow.Value / x.Design.Value)
				out.ShareDesign = &share
			}
		}
		if c, ok := w.covers[out.Name]; ok {
			out.Cover50, out.Rank, out.Verdict = w.pascals(c.At50), c.Rank, coverVerdict(c)
		}
		w.d.Registers = append(w.d.Registers, out)
	}
}

// coverVerdict says what to look for in a branch.
func coverVerdict(c ductleak.Cover) string {
	switch {
	case c.Reading.Cover.Value > 0.9*c.Drive:
		return "a run that has come off"
	case c.Connected:
		return "a leak to outdoors"
	case c.Clear:
		return "nothing"
	}
	return ""
}

// asWithin is a reading as an estimate.
func asWithin[T ~float64](m ductleak.Measured[T]) units.Estimate[T] {
	reach := T(fit90) * m.SD
	return units.Estimate[T]{Value: m.Value, Low: max(0, m.Value-reach), High: m.Value + reach}
}
