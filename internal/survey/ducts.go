package survey

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// The quantities that duct tests measure, by their keys in the results.
const (
	outside25   = "leakage_outside_25"
	total25     = "leakage_total_25"
	supplyLeaks = "supply_leakage"
	returnLeaks = "return_leakage"
	netOfLeaks  = "net_imbalance"
)

// ductWork gathers what the tests of one duct system say.
type ductWork struct {
	d      *Ducts
	zones  []zonal.SpaceID // duct zones of the model
	tests  map[string][]ductAnswer
	covers map[string]ductleak.Cover // by register

	correlation float64 // of supply and return leakage, from the on/off test
}

// ductAnswer is one test's answer to a quantity. Of several that rest on the
// same readings only one counts in the combination: the others stand for
// comparison.
type ductAnswer struct {
	ductleak.Answer
	method   string // where its name may be the sheet's
	note     string
	bound    Bound // where it is not resolved, the end that it tells
	compared bool
}

// ductFindings is everything the sheet knows of the duct system; nil where that is nothing.
func ductFindings(c *Case, e *zonal.Estimate, log *Log) *Ducts {
	w := &ductWork{d: &Ducts{Registers: []Register{}, Tests: []DuctTest{}}, tests: map[string][]ductAnswer{}}
	for id := range c.Zones() {
		if c.Kinds[id] == sheet.DuctsKind {
			w.zones = append(w.zones, id)
		}
	}
	s := c.Sheet
	if len(w.zones)+len(s.Registers)+len(s.DuctTests)+len(s.OnOff)+len(s.Nulling)+len(s.Ducts) == 0 && s.AirHandler == nil {
		return nil
	}
	heldTests(c, e, log, w)
	fanTests(c, log, w)
	coverReadings(c, e, log, w)
	registerFlows(c, log, w)
	houseShift(c, e, log, w)
	nullingTests(c, e, log, w)
	addOnOff(c, log, w)
	concludeDucts(c, e, log, w)
	addLosses(c, e, log, w)
	return w.d
}

// add notes one test's answer.
func (w *ductWork) add(quantity string, a ductAnswer) {
	a.method = cmp.Or(a.method, a.Name)
	w.tests[quantity] = append(w.tests[quantity], a)
}

// refused tells why a test gave no answer.
func (w *ductWork) refused(name, quantity string, err error) {
	if err == nil {
		return
	}
	w.d.Tests = append(w.d.Tests, DuctTest{Name: name, Quantity: quantity, Note: readingFault(err)})
}

// concludeDucts sets the answers to each quantity side by side and combines them.
func concludeDucts(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	w.d.LeakageOutside25 = flowOrNil(c, w.combined(outside25))
	w.d.LeakageTotal25 = flowOrNil(c, w.combined(total25))
	addOperating(c, e, log, w)
	w.d.SupplyLeakage = flowOrNil(c, w.combined(supplyLeaks))
	w.d.ReturnLeakage = flowOrNil(c, w.combined(returnLeaks))
	w.d.NetImbalance = flowOrNil(c, w.resolvedFirst(netOfLeaks))
	w.d.SupplyShare, w.d.ReturnShare, w.d.OutsideShare = handlerShare(c, w.combined(supplyLeaks)), handlerShare(c, w.combined(returnLeaks)), handlerShare(c, w.combined(outside25))
	for _, q := range []string{outside25, total25, supplyLeaks, returnLeaks, netOfLeaks} {
		listAnswers(c, log, w, q)
	}
	totalCheck(log, w)
}

func flowOrNil(c *Case, e *units.Estimate[units.Flow]) *Q {
	if e == nil {
		return nil
	}
	return Flow(*e)
}

// combined is what the independent answers to a quantity say together; nil
// where none resolves it.
func (w *ductWork) combined(quantity string) *units.Estimate[units.Flow] {
	c, ok := w.combination(quantity)
	if !ok {
		return nil
	}
	return &c.Combined
}

func (w *ductWork) combination(quantity string) (ductleak.Combination, bool) {
	var list []ductleak.Answer
	for _, a := range w.tests[quantity] {
		if !a.compared {
			list = append(list, a.Answer)
		}
	}
	if len(list) == 0 {
		return ductleak.Combination{}, false
	}
	c, err := ductleak.Combine(list)
	return c, err == nil
}

// resolvedFirst is the first answer that resolves a quantity that may have
// either sign, which a mean of logarithms cannot take.
func (w *ductWork) resolvedFirst(quantity string) *units.Estimate[units.Flow] {
	for _, a := range w.tests[quantity] {
		if a.Resolved && !a.compared {
			return &a.Result
		}
	}
	return nil
}

// listAnswers puts the answers to a quantity into the findings.
func listAnswers(c *Case, log *Log, w *ductWork, quantity string) {
	all := w.tests[quantity]
	joint, combined := w.combination(quantity)
	k := 0
	for _, a := range all {
		t := DuctTest{Name: a.Name, Method: a.method, Quantity: quantity, Result: Flow(a.Result), Resolved: a.Resolved, Bound: a.bound, Note: a.note}
		switch {
		case len(all) < 2 || !a.Resolved || quantity == netOfLeaks:
		case a.compared && combined:
			t.Agrees = agreement(overlap(a.Result, joint.Combined))
		case combined && len(joint.Used) > 1:
			t.Agrees = agreement(joint.Agrees[k])
		}
		if !a.compared {
			k++
		}
		w.d.Tests = append(w.d.Tests, t)
	}
	if combined && !joint.Agree {
		log.Notice(Warning, "ducts", "the tests of %s disagree; the interval of their combination was widened for it, and one of them should be repeated", quantityWords[quantity])
	}
}

var quantityWords = map[string]string{outside25: "leakage to outside", total25: "total leakage",
	supplyLeaks: "supply leakage", returnLeaks: "return leakage", netOfLeaks: "the net imbalance"}

func agreement(yes bool) string {
	if yes {
		return "agrees"
	}
	return "disagrees"
}

func overlap[T ~float64](a, b units.Estimate[T]) bool { return a.Low <= b.High && b.Low <= a.High }

// totalCheck sets total leakage against leakage to outside.
func totalCheck(log *Log, w *ductWork) {
	total, out := w.combined(total25), w.combined(outside25)
	if total == nil || out == nil {
		return
	}
	if err := ductleak.TotalCheck(*total, *out); err != nil {
		log.Notice(Warning, "ducts", "%s", err.Error())
	}
}

// leakPaths are the paths by which ducts leak: to anything but the house and
// other ducts.
func leakPaths(c *Case, zones ...zonal.SpaceID) []int {
	var list []int
	for i, p := range c.Model.Paths {
		a, b := slices.Contains(zones, p.A), slices.Contains(zones, p.B)
		if a != b && !(a && insideOfDucts(c, p.B)) && !(b && insideOfDucts(c, p.A)) {
			list = append(list, i)
		}
	}
	return list
}

func insideOfDucts(c *Case, id zonal.SpaceID) bool {
	return id == zonal.House || c.Kinds[id] == sheet.DuctsKind
}

// pressureWithin is a reading of a pressure with its standard deviation.
func (c *Case) pressureWithin(p units.Pressure) units.Measured[units.Pressure] {
	return units.Measured[units.Pressure]{Value: p, SD: c.Gauge.PressureSD(p)}
}

// meterSD is the relative standard deviation of one flow on its own:
// repeatability and calibration.
func (c *Case) meterSD() float64 {
	return math.Hypot(float64(c.Gauge.Repeat), float64(c.Gauge.Calibration)/2)
}

// The meters that several duct tests of a visit are made with.
const (
	ductFanMeter = "fan on the ducts"
	hoodMeter    = "flow hood"
)

// meterNamed is an instrument whose calibration, the part of meterSD that does not
// change from reading to reading, its tests have in common.
func (c *Case) meterNamed(name string) ductleak.Meter {
	return ductleak.Meter{Name: name, SDLn: float64(c.Gauge.Calibration) / 2}
}

// readingFault puts what is wrong with a reading in short.
func readingFault(err error) string {
	var e *pressure.Fault
	if errors.As(err, &e) {
		return e.What + "; " + e.Do
	}
	return err.Error()
}
