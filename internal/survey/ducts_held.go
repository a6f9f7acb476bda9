package survey

import (
	"fmt"
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// The names of the tests that a held house allows.
const (
	jointTest       = "joint estimate"
	SubtractionTest = "subtraction"
	registerTest    = "open register"
	onOffTest       = "on/off test"
)

// heldTests works out what the holds say of duct leakage: the joint estimate, and
// beside it the closed forms that rest on the same readings.
func heldTests(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	if e != nil && len(w.zones) > 0 {
		answerJointly(c, e, w)
	}
	if len(w.zones) == 1 {
		answerBySubtraction(c, e, log, w, w.zones[0])
		openRegisters(c, e, log, w, w.zones[0])
		addCoveredPressure(c, e, w, w.zones[0])
	}
	heldRegisters(c, e, log, w)
}

// answerJointly is leakage to outside from every reading at once.
func answerJointly(c *Case, e *zonal.Estimate, w *ductWork) {
	paths := leakPaths(c, w.zones...)
	if len(paths) == 0 {
		return
	}
	est, doubt, err := e.Posterior.SumAt(paths, 25)
	if err != nil {
		w.refused(jointTest, outside25, err)
		return
	}
	w.add(outside25, ductAnswer{Answer: ductleak.Answer{Name: jointTest, Result: est, Resolved: doubt.Resolved}})
}

// ductExponents are those of the duct-pressure correction and of the duct leak: the
// sheet's where it gives one, else the usual two.
func ductExponents(c *Case, ducts zonal.SpaceID) (correction, scaling units.Measured[units.Ratio]) {
	correction = units.Measured[units.Ratio]{Value: ductleak.CorrectionExponent, SD: ductleak.ExponentSD}
	scaling = units.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	for _, i := range leakPaths(c, ducts) {
		if s, ok := c.sheetPath(c.Model.Paths[i]); ok && s.Exponent.Given {
			n := c.Model.Paths[i].Exponent
			known := units.Measured[units.Ratio]{Value: units.Ratio(n.Mean), SD: units.Ratio(n.SD)}
			return known, known
		}
	}
	return correction, scaling
}

// toHouse is a zone's pressure to the house in a hold, a magnitude: read, or
// what its pressure to outside leaves of the house's.
func (c *Case) toHouse(hold int, zone zonal.SpaceID) (units.Measured[units.Pressure], bool) {
	h := &c.Model.Holds[hold]
	away := units.Pressure(1) // a zone lies above a depressurised house
	if h.House > 0 {
		away = -1
	}
	for _, x := range h.Read {
		v, of, to := x.Pressure, x.Of, x.To
		if to == zone {
			v, of, to = -v, to, of
		}
		switch {
		case of == zone && to == zonal.House:
			return units.Measured[units.Pressure]{Value: max(0, away*v), SD: x.SD}, true
		case of == zone && to == zonal.Outside:
			return units.Measured[units.Pressure]{Value: max(0, away*(v-h.House)),
				SD: units.Pressure(math.Hypot(float64(x.SD), float64(h.HouseSD)))}, true
		}
	}
	return units.Measured[units.Pressure]{}, false
}

// onlyCovers tells whether a hold differs from as found by covered registers alone.
func onlyCovers(c *Case, hold int, ducts zonal.SpaceID) bool {
	h := &c.Model.Holds[hold]
	return len(h.Opened)+len(h.Fans) == 0 && len(h.Sealed) == 1 && c.Model.Paths[h.Sealed[0]] == registerPath(c, ducts)
}

func registerPath(c *Case, ducts zonal.SpaceID) zonal.Path {
	if i := c.Model.PathBetween(zonal.House, ducts); i >= 0 {
		return c.Model.Paths[i]
	}
	return zonal.Path{}
}

// answerBySubtraction compares a hold as found with one whose registers are covered.
func answerBySubtraction(c *Case, e *zonal.Estimate, log *Log, w *ductWork, ducts zonal.SpaceID) {
	for _, k := range c.Order {
		if !onlyCovers(c, k, ducts) || c.Model.Holds[k].Fan == nil {
			continue
		}
		open := openHold(c, k)
		pressure, read := c.toHouse(k, ducts)
		if open < 0 || !read {
			continue
		}
		subtract(c, e, log, w, ducts, open, k, pressure)
		return
	}
}

// openHold is the hold as found to set against hold k: one with the same flow
// range and the nearest pressure; −1 if none has a fan reading.
func openHold(c *Case, k int) int {
	best, distance := -1, math.Inf(1)
	for _, i := range c.Order {
		h := &c.Model.Holds[i]
		if !sheetHold(c, i).AsFound() || h.Fan == nil || (h.House < 0) != (c.Model.Holds[k].House < 0) {
			continue
		}
		off := math.Abs(float64(h.House - c.Model.Holds[k].House))
		if sheetHold(c, i).Range.Value != sheetHold(c, k).Range.Value {
			off += 1000 // another range only where there is no other hold
		}
		if off < distance {
			best, distance = i, off
		}
	}
	return best
}

// sheetHold is the sheet's hold of a hold of the model.
func sheetHold(c *Case, k int) *sheet.Hold { return c.Held[k].Hold }

func subtract(c *Case, e *zonal.Estimate, log *Log, w *ductWork, ducts zonal.SpaceID, open, covered int, pressure units.Measured[units.Pressure]) {
	t := ductleak.Subtraction{Open: subtractionState(c, open), Covered: subtractionState(c, covered)}
	t.Correction, t.Scaling = ductExponents(c, ducts)
	t.Covered.Ducts, t.Zone = pressure, zoneAround(c, e, covered, ducts)
	if p, read := c.toHouse(open, ducts); read {
		t.Open.Ducts = p
	}
	cal := c.Gauge.FanCalibration()
	t.Calibration = float64(cal.Common)
	if sheetHold(c, open).Range.Value == sheetHold(c, covered).Range.Value {
		t.Calibration = cal.SD()
	} else {
		for _, s := range []*ductleak.HeldState{&t.Open, &t.Covered} {
			s.Fan.SD = units.Flow(math.Hypot(float64(s.Fan.SD), float64(cal.PerRange)*float64(s.Fan.Value)))
		}
	}
	r, err := t.Evaluate()
	if err != nil {
		w.refused(SubtractionTest, outside25, err)
		return
	}
	log.worked("ducts, subtraction", r.Working(c.System)...)
	a := ductAnswer{Answer: ductleak.Answer{Name: SubtractionTest, Result: r.Outside25, Resolved: r.Resolved}, compared: true,
		note: "the two fan readings by hand; its readings are in the joint estimate"}
	z := spaceAround(c, ducts)
	switch {
	case r.PoorZone:
		a.note = fmt.Sprintf("the %s around the ducts, which by hand counts as outdoors, may stand more than a tenth of the hold from it; open it to outdoors and read both again", c.Names[z])
	case len(leakPaths(c, ducts)) == 0:
		a.Resolved, a.note = false, "nothing was read in the space around the ducts, which by hand counts as outdoors; read it in the same holds"
	case !r.Resolved:
		a.note = "the fan fell by less than its own errors carry; cover better, or repeat both readings back to back"
	}
	if z > zonal.Outside && !r.PoorZone {
		a.note += fmt.Sprintf("; by hand the %s around the ducts counts as outdoors", c.Names[z])
	}
	w.add(outside25, a)
	if r.Resolved && ductleak.Resolved(r.Inside50) && z == zonal.Outside {
		w.d.Notes = append(w.d.Notes, "Leaks between ducts and house at 50 Pa, by subtraction: "+inWords(c, r.Inside50)+".")
	}
}

// subtractionState is what a hold says for the subtraction.
func subtractionState(c *Case, k int) ductleak.HeldState {
	h := &c.Model.Holds[k]
	return ductleak.HeldState{House: units.Measured[units.Pressure]{Value: units.Abs(h.House), SD: h.HouseSD},
		Fan: units.Within(h.Fan.Flow, h.Fan.SDLn)}
}

// inWords writes an estimate with its interval.
func inWords(c *Case, e units.Estimate[units.Flow]) string {
	u := c.System.Flow()
	v, low, high := e.Format(u)
	return fmt.Sprintf("%s %s (%s–%s)", v, u.Pretty(), low, high)
}

// spaceAround is the one space the ducts run through: a zone, outside, or House
// where they touch several or none.
func spaceAround(c *Case, ducts zonal.SpaceID) zonal.SpaceID {
	paths := leakPaths(c, ducts)
	if len(paths) != 1 {
		return zonal.House
	}
	if p := c.Model.Paths[paths[0]]; p.A != ducts {
		return p.A
	} else {
		return p.B
	}
}

// openRegisters is the closed form of a hood at one register, the others covered.
func openRegisters(c *Case, e *zonal.Estimate, log *Log, w *ductWork, ducts zonal.SpaceID) {
	for _, k := range c.Order {
		h := &c.Model.Holds[k]
		if len(h.Sealed) != 1 || len(h.Opened) != 1 || c.Model.Paths[h.Sealed[0]] != registerPath(c, ducts) {
			continue
		}
		for _, f := range h.Flows {
			if f.Of != ducts && f.To != ducts || f.Of+f.To != ducts+zonal.House {
				continue
			}
			sd := f.SDLn
			for _, cover := range f.Cal {
				sd = math.Hypot(sd, c.Model.Calibrations[cover].SDLn)
			}
			answerByRegister(c, e, log, w, registerTest, ducts, k, units.Within(f.Flow, sd), true)
		}
	}
}

// answerByRegister works one open register. inJoint says that the joint estimate has
// the reading already.
func answerByRegister(c *Case, e *zonal.Estimate, log *Log, w *ductWork, name string, ducts zonal.SpaceID, k int, q units.Measured[units.Flow], inJoint bool) {
	h := &c.Model.Holds[k]
	t := ductleak.OpenRegister{Flow: q, House: units.Measured[units.Pressure]{Value: units.Abs(h.House), SD: h.HouseSD}}
	t.Scaling = units.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	read := false
	if ducts > zonal.Outside {
		_, t.Scaling = ductExponents(c, ducts)
		t.Ducts, read = c.toHouse(k, ducts)
		t.Zone = zoneAround(c, e, k, ducts)
	}
	r, err := t.Evaluate()
	if err != nil {
		w.refused(name, outside25, err)
		return
	}
	log.worked("ducts, "+name, r.Working(c.System)...)
	a := ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Outside25, Resolved: r.Resolved, Meter: c.meterNamed(hoodMeter)}, method: registerTest, compared: inJoint}
	switch {
	case !read:
		a.Resolved, a.bound, a.note = false, AtLeast, "a lower bound: the ducts' own pressure was not read"
	case r.LowerBound:
		a.note = "a lower bound: the ducts stood more than 1 Pa from the room, so leaks from the house fed them too"
		a.Resolved, a.bound = false, AtLeast
	case inJoint:
		a.note = "the hood by hand; its reading is in the joint estimate"
	}
	w.add(outside25, a)
}

// zoneAround is the house-to-zone pressure of the space around the ducts, where
// that is a zone: read in the hold, or as estimated. Zero stands for outdoors.
func zoneAround(c *Case, e *zonal.Estimate, k int, ducts zonal.SpaceID) units.Measured[units.Pressure] {
	z := spaceAround(c, ducts)
	if z <= zonal.Outside {
		return units.Measured[units.Pressure]{}
	}
	return houseToZone(c, e, k, z)
}

// houseToZone never gives zero, which would stand for a zone at outdoor pressure.
func houseToZone(c *Case, e *zonal.Estimate, k int, z zonal.SpaceID) units.Measured[units.Pressure] {
	const least = 0.1 // Pa
	if p, read := c.toHouse(k, z); read {
		p.Value = max(p.Value, least)
		return p
	}
	share := units.Pressure(math.Abs(float64(c.Model.Holds[k].House)) / zonal.Reference)
	for _, zone := range e.Zones {
		if zone.Space == z {
			return units.Measured[units.Pressure]{Value: max(zone.ToHouse.Value*share, least),
				SD: pressure.SD(zone.ToHouse) * share}
		}
	}
	return units.Measured[units.Pressure]{}
}

// addCoveredPressure is what the ducts show to the house with the registers
// covered, brought to a hold of 50 Pa.
func addCoveredPressure(c *Case, e *zonal.Estimate, w *ductWork, ducts zonal.SpaceID) {
	for _, k := range c.Order {
		p, read := c.toHouse(k, ducts)
		if !onlyCovers(c, k, ducts) || !read {
			continue
		}
		h := &c.Model.Holds[k]
		to50 := units.Pressure(zonal.Reference) / units.Abs(h.House)
		w.d.CoveredPressure = pascals(Scale[units.Pressure](pressure.Interval90(p).NotBelowZero(), float64(to50)))
		hold := units.Measured[units.Pressure]{Value: units.Abs(h.House), SD: h.HouseSD}
		if z := zoneAround(c, e, k, ducts); z.Value > 0 {
			hold = z
		}
		_, n := ductExponents(c, ducts)
		if ratio, err := ductleak.SystemRatio(p, hold, n); err == nil {
			w.d.Tests = append(w.d.Tests, DuctTest{Name: "covered registers", Quantity: "leaks to outside over leaks to the house",
				Result: Ratio(ratio), Resolved: ductleak.Resolved(ratio), Note: "a ratio, not a size"})
		}
		return
	}
}

// heldRegisters are flows read at single registers during a hold.
func heldRegisters(c *Case, e *zonal.Estimate, log *Log, w *ductWork) {
	for _, x := range c.Sheet.Registers {
		if !x.Held.Given || x.Held.Value == 0 {
			continue
		}
		k := c.holdNamed(x.Hold.Value)
		if k < 0 {
			log.Notice(Note, units.Sanitize(x.Name.Value), "its flow was read while the house was held, but no finished hold is there to say at what pressure")
			continue
		}
		answerByRegister(c, e, log, w, registerTest+", "+units.Sanitize(x.Name.Value), ductsOf(c, w, x), k, units.Within(units.Abs(x.Held.Value), c.meterSD()), false)
	}
}

// ductsOf is the duct zone a register belongs to; Outside where the model has none.
func ductsOf(c *Case, w *ductWork, x sheet.Register) zonal.SpaceID {
	if id, ok := c.Spaces[x.Ducts.Name]; ok && x.Ducts.Given() {
		return id
	}
	if len(w.zones) == 1 {
		return w.zones[0]
	}
	return zonal.Outside
}

// holdNamed is the hold of the model of that name; without a name the first as
// found, else the first; −1 if there is none.
func (c *Case) holdNamed(name string) int {
	for _, k := range c.Order {
		if name != "" && c.Held[k].Hold.Name.Value == name {
			return k
		}
	}
	if name != "" {
		return -1
	}
	for _, k := range c.Order {
		if c.Held[k].Hold.AsFound() {
			return k
		}
	}
	return min(len(c.Model.Holds), 1) - 1
}
