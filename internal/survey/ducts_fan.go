package survey

import (
	"fmt"
	"math"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// fanMethod is a way to test with a fan on the ducts.
type fanMethod struct {
	called string // where the sheet gives no name
	work   func(c *Case, log *Log, w *ductWork, name string, t sheet.DuctTest, n units.Measured[units.Ratio])
}

// What the tests with a fan on the ducts are called.
const (
	DuctFanTest     = "fan on the ducts"
	OnePressureTest = "house and ducts at one pressure"
)

// methodsOnDucts are the methods by the words of the sheet.
var methodsOnDucts = map[string]fanMethod{
	sheet.TotalMethod:   {DuctFanTest, totalTest},
	sheet.OutsideMethod: {OnePressureTest, outsideTest},
}

// fanMethodOf is what a duct test's method asks for. A method that nothing works
// is an error: its answer would stand for a quantity it is not.
func fanMethodOf(c *Case, t sheet.DuctTest) (fanMethod, error) {
	if m, known := methodsOnDucts[t.Method.Value]; known {
		return m, nil
	}
	return fanMethod{}, c.ErrorAt(t.Method.Pos, fmt.Sprintf("a duct test by method %q cannot be worked; write %s",
		units.Sanitize(t.Method.Value), `"`+strings.Join(sheet.LookUp("duct_test.method").Words, `" or "`)+`"`))
}

// fanMethods refuses a sheet with a duct test by a method that nothing works.
func fanMethods(c *Case) error {
	for _, t := range c.Sheet.DuctTests {
		if _, err := fanMethodOf(c, t); err != nil {
			return err
		}
	}
	return nil
}

// fanTests works the tests with a fan on the ducts: those of total leakage
// first, which the others look to.
func fanTests(c *Case, log *Log, w *ductWork) {
	scaling := units.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	names := testNames(c)
	for _, total := range []bool{true, false} {
		for i, t := range c.Sheet.DuctTests {
			if m, err := fanMethodOf(c, t); err == nil && (t.Method.Value == sheet.TotalMethod) == total {
				m.work(c, log, w, names[i], t, scaling)
			}
		}
	}
	addSides(c, w, total25)
	addSides(c, w, outside25)
}

// testNames are the names of the duct tests: the sheet's, else what each is,
// with its number where several are alike.
func testNames(c *Case) []string {
	names, count := make([]string, len(c.Sheet.DuctTests)), map[string]int{}
	for i, t := range c.Sheet.DuctTests {
		names[i] = testName(c, t)
		count[names[i]]++
	}
	for i, t := range c.Sheet.DuctTests {
		if !t.Name.Given() && count[names[i]] > 1 {
			names[i] = fmt.Sprintf("%s, duct test %d", names[i], i+1)
		}
	}
	return names
}

func testName(c *Case, t sheet.DuctTest) string {
	if t.Name.Given() {
		return units.Sanitize(t.Name.Value)
	}
	m, _ := fanMethodOf(c, t)
	if side := t.TestSide(); side != sheet.BothSides {
		return m.called + ", " + side
	}
	return m.called
}

// sided is the quantity that a test of one side measures.
func sided(quantity, side string) string {
	if side == sheet.BothSides {
		return quantity
	}
	return quantity + ", " + side
}

func totalTest(c *Case, log *Log, w *ductWork, name string, t sheet.DuctTest, n units.Measured[units.Ratio]) {
	quantity := sided(total25, t.TestSide())
	r, err := ductleak.TotalTest{Flow: ductFan(c, t), Pressure: c.pressureWithin(units.Abs(t.Pressure.Value)), Scaling: n}.Evaluate()
	if err != nil {
		w.refused(name, quantity, err)
		return
	}
	log.worked("ducts, "+name, r.Working(c.System)...)
	w.add(quantity, ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Total25, Resolved: ductleak.Resolved(r.Total25), Meter: c.meterNamed(ductFanMeter)}, method: DuctFanTest})
}

// ductFan is the flow of the fan on the ducts with all of its own error.
func ductFan(c *Case, t sheet.DuctTest) units.Measured[units.Flow] {
	return units.Within(t.Flow.Value, c.meterSD())
}

func outsideTest(c *Case, log *Log, w *ductWork, name string, t sheet.DuctTest, n units.Measured[units.Ratio]) {
	quantity := sided(outside25, t.TestSide())
	test := ductleak.OnePressureTest{Flow: ductFan(c, t), Pressure: c.pressureWithin(units.Abs(t.Pressure.Value)), Scaling: n}
	// Without a word of it the ducts were trimmed until the gauge showed nothing, which is as
	// uncertain as any other difference across one wall; there is no wind in that.
	test.Residual.Value = units.Pressure(math.Copysign(1, float64(t.Pressure.Value))) * t.Residual.Value
	test.Residual.SD = units.Pressure(float64(c.Gauge.Floor) / 2)
	test.Inside25 = insideOf(w, t.TestSide(), test)
	r, err := test.Evaluate()
	if err != nil {
		w.refused(name, quantity, err)
		return
	}
	log.worked("ducts, "+name, r.Working(c.System)...)
	a := ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Outside25, Resolved: r.Resolved, Meter: c.meterNamed(ductFanMeter)}, method: OnePressureTest}
	switch {
	case r.Trim:
		a.note = apartText(c, t, r)
	case t.Residual.Given && r.InsideAssumed:
		a.note = "the leaks between ducts and house were not measured; half of the total was taken, within a factor of five"
	case aroundNotOutdoors(c, w):
		a.note = "holds if the space around the ducts stood open to outdoors"
	}
	w.add(quantity, a)
}

// apartText says what it costs that the ducts did not stand at the house's pressure.
func apartText(c *Case, t sheet.DuctTest, r ductleak.OnePressureResult) string {
	low, high := math.Abs(float64(r.Residual.Low)), math.Abs(float64(r.Residual.High))
	if low > high {
		low, high = high, low
	}
	way := "from the house"
	if r.Residual.Value > 0 {
		way = "into the house"
	}
	flow := c.System.Flow()
	return fmt.Sprintf("ducts and house stood %s apart, so that %s to %s passed %s: trim the fan on the ducts and read again",
		units.Abs(t.Residual.Value).Text(units.Pascal, 1), units.Fixed(flow.FromSI(low), 0), units.Flow(high).Text(flow, 0), way)
}

// aroundNotOutdoors tells whether the ducts run through a zone that need not be
// at outdoor pressure during the test.
func aroundNotOutdoors(c *Case, w *ductWork) bool {
	return len(w.zones) == 1 && spaceAround(c, w.zones[0]) > zonal.Outside
}

// insideOf is leakage between ducts and house from a total test of the same
// side; zero where there was none.
func insideOf(w *ductWork, side string, t ductleak.OnePressureTest) units.Estimate[units.Flow] {
	list := w.tests[sided(total25, side)]
	t.Residual = units.Measured[units.Pressure]{}
	out, err := t.Evaluate()
	if len(list) == 0 || err != nil {
		return units.Estimate[units.Flow]{}
	}
	return ductleak.InsideFrom(list[0].Result, out.Outside25)
}

// addSides makes the leakage of the whole system of those of its two sides,
// where both were tested. The errors of one fan do not cancel: the ends add.
func addSides(c *Case, w *ductWork, quantity string) {
	s, r := w.tests[sided(quantity, sheet.SupplySide)], w.tests[sided(quantity, sheet.ReturnSide)]
	for _, list := range [][]ductAnswer{s, r} {
		for _, a := range list {
			w.d.Tests = append(w.d.Tests, DuctTest{Name: a.Name, Method: a.method, Quantity: quantity, Result: Flow(a.Result), Resolved: a.Resolved, Note: a.note})
		}
	}
	if len(s) == 0 || len(r) == 0 {
		return
	}
	a, b := s[0].Result, r[0].Result
	sum := units.Estimate[units.Flow]{Value: a.Value + b.Value, Low: a.Low + b.Low, High: a.High + b.High}
	w.add(quantity, ductAnswer{Answer: ductleak.Answer{Name: "both sides, tested apart", Result: sum, Resolved: s[0].Resolved && r[0].Resolved, Meter: c.meterNamed(ductFanMeter)}})
}

// coverReadings ranks the branches by the pressure across covered registers.
func coverReadings(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	var list []ductleak.CoverReading
	for _, x := range c.Sheet.Registers {
		if x.Cover.Given {
			if cover, ok := coverReading(c, e, log, x); ok {
				list = append(list, cover)
			}
		}
	}
	w.covers = map[string]ductleak.Cover{}
	covers := ranked(log, list)
	for i := range covers.Each {
		w.covers[covers.Each[i].Reading.Name] = covers.Each[i]
		log.worked("register "+covers.Each[i].Reading.Name, covers.Each[i].Working(c.System)...)
	}
	listRegisters(c, w)
	if len(covers.Each) == 0 {
		return
	}
	median, low, high := covers.Median.Format(units.Pascal)
	w.d.Notes = append(w.d.Notes,
		fmt.Sprintf("Covered registers at 50 Pa: median %s Pa (%s–%s), highest at %s.", median, low, high, covers.Each[covers.Worst].Reading.Name))
	w.d.Basis = append(w.d.Basis, "A"+ductleak.CoverSays[1:]+".")
	weakZone(log, covers)
}

// ranked ranks the readings; those that cannot be corrected are left out, and
// it says so.
func ranked(log *Log, list []ductleak.CoverReading) ductleak.Covers {
	if len(list) == 0 {
		return ductleak.Covers{}
	}
	if c, err := ductleak.RankCovers(list); err == nil {
		return c
	}
	var usable []ductleak.CoverReading
	for _, x := range list {
		if _, err := ductleak.RankCovers([]ductleak.CoverReading{x}); err != nil {
			log.Notice(Warning, x.Name, "the reading across its cover was not used: %s", readingFault(err))
			continue
		}
		usable = append(usable, x)
	}
	if len(usable) == len(list) {
		return ductleak.Covers{} // each serves alone, yet not together: nothing to name
	}
	return ranked(log, usable)
}

func weakZone(log *Log, c ductleak.Covers) {
	for _, x := range c.Each {
		if x.WeakZone {
			log.Notice(Warning, "ducts", "the space around the ducts stood less than 15 Pa from the house, so the corrected cover readings are weak; open it to outdoors and read again")
			return
		}
	}
}

func coverReading(c *Case, e *zonal.Estimate, log *Log, x sheet.Register) (ductleak.CoverReading, bool) {
	name := units.Sanitize(x.Name.Value)
	k := c.holdNamed(x.Hold.Value)
	if k < 0 {
		log.Notice(Note, name, "the pressure across its cover cannot be corrected: no finished hold says what the house pressure was")
		return ductleak.CoverReading{}, false
	}
	h := &c.Model.Holds[k]
	cover := ductleak.CoverReading{Name: name, Cover: c.pressureWithin(units.Abs(x.Cover.Value)),
		House: units.Measured[units.Pressure]{Value: units.Abs(h.House), SD: h.HouseSD}}
	if z := surrounding(c, x); z > zonal.Outside {
		cover.Zone = houseToZone(c, e, k, z)
	}
	return cover, true
}

// surrounding is the zone that a register's ducts run through, as the sheet
// declares it; outside where that is among their neighbours or where there are
// several, house where nothing is said.
func surrounding(c *Case, x sheet.Register) zonal.SpaceID {
	ducts := ductZoneName(c, x)
	var found []zonal.SpaceID
	for _, p := range c.Sheet.Touching() {
		other := p[0]
		switch ducts {
		case p[0]:
			other = p[1]
		case p[1]:
		default:
			continue
		}
		id, ok := c.Spaces[other]
		if ok && !insideOfDucts(c, id) {
			found = append(found, id)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return zonal.Outside
}

func ductZoneName(c *Case, x sheet.Register) string {
	if x.Ducts.Given() {
		return x.Ducts.Name
	}
	for _, z := range c.Sheet.Zones {
		if z.Kind == sheet.DuctsKind {
			return z.Name.Value
		}
	}
	return ""
}

// listRegisters lists every register with what was read at it.
func listRegisters(c *Case, w *ductWork) {
	for _, x := range c.Sheet.Registers {
		out := Register{Name: units.Sanitize(x.Name.Value), Side: x.Side.Value}
		if x.Cover.Given {
			out.Cover = pascals(pressure.Interval90(c.pressureWithin(units.Abs(x.Cover.Value))).NotBelowZero())
		}
		if x.Held.Given {
			out.Held = Flow(pressure.Interval90(units.Within(units.Abs(x.Held.Value), c.meterSD())).NotBelowZero())
		}
		if x.Flow.Given {
			out.Flow = Flow(pressure.Interval90(units.Within(x.Flow.Value, ductleak.OrdinaryHood.SD())).NotBelowZero())
		}
		if x.Design.Given {
			out.Design = Flow(ductleak.Exactly(x.Design.Value))
			if x.Flow.Given {
				share := float64(x.Flow.Value / x.Design.Value)
				out.ShareDesign = &share
			}
		}
		if cover, ok := w.covers[out.Name]; ok {
			out.Cover50, out.Rank, out.Verdict = pascals(cover.At50), cover.Rank, coverVerdict(cover)
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
	return "leaks, after the big ones"
}
