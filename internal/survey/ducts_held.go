package survey

import (
	"fmt"
	"math"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// The names of the tests that a held house allows.
const (
	jointTest       = "joint estimate"
	subtractionTest = "subtraction"
	registerTest    = "open register"
)

// held works out what the holds say of duct leakage: the joint estimate, and
// beside it the closed forms that rest on the same readings.
func (w *ductWork) held() {
	if w.estimate != nil && len(w.zones) > 0 {
		w.joint()
	}
	if len(w.zones) == 1 {
		w.subtraction(w.zones[0])
		w.openRegister(w.zones[0])
		w.coveredPressure(w.zones[0])
	}
	w.heldRegisters()
}

// joint is leakage to outside from every reading at once.
func (w *ductWork) joint() {
	paths := w.leakPaths(w.zones...)
	if len(paths) == 0 {
		return
	}
	e, doubt, err := w.estimate.Posterior.SumAt(paths, 25)
	if err != nil {
		w.refused(jointTest, outside25, err)
		return
	}
	w.add(outside25, ductAnswer{Answer: ductleak.Answer{Name: jointTest, Result: e, Resolved: doubt.Resolved}})
}

// exponents are those of the duct-pressure correction and of the duct leak: the
// sheet's where it gives one, else the usual two.
func (w *ductWork) exponents(ducts zonal.SpaceID) (correction, scaling ductleak.Measured[units.Ratio]) {
	correction = ductleak.Measured[units.Ratio]{Value: ductleak.CorrectionExponent, SD: ductleak.ExponentSD}
	scaling = ductleak.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	for _, i := range w.leakPaths(ducts) {
		if s, ok := w.sheetPath(w.model.Paths[i]); ok && s.Exponent.Given {
			n := w.model.Paths[i].Exponent
			known := ductleak.Measured[units.Ratio]{Value: units.Ratio(n.Mean), SD: units.Ratio(n.SD)}
			return known, known
		}
	}
	return correction, scaling
}

// toHouse is a zone's pressure to the house in a hold, a magnitude: read, or
// what its pressure to outside leaves of the house's.
func (r *run) toHouse(hold int, zone zonal.SpaceID) (ductleak.Measured[units.Pressure], bool) {
	h := &r.model.Holds[hold]
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
			return ductleak.Measured[units.Pressure]{Value: max(0, away*v), SD: x.SD}, true
		case of == zone && to == zonal.Outside:
			return ductleak.Measured[units.Pressure]{Value: max(0, away*(v-h.House)),
				SD: units.Pressure(math.Hypot(float64(x.SD), float64(h.HouseSD)))}, true
		}
	}
	return ductleak.Measured[units.Pressure]{}, false
}

// covered tells whether a hold differs from as found by covered registers alone.
func (r *run) covered(hold int, ducts zonal.SpaceID) bool {
	h := &r.model.Holds[hold]
	return len(h.Opened)+len(h.Fans) == 0 && len(h.Sealed) == 1 && r.model.Paths[h.Sealed[0]] == r.registerPath(ducts)
}

func (r *run) registerPath(ducts zonal.SpaceID) zonal.Path {
	if i := r.pathBetween(zonal.House, ducts, false); i >= 0 {
		return r.model.Paths[i]
	}
	return zonal.Path{}
}

// subtraction compares a hold as found with one whose registers are covered.
func (w *ductWork) subtraction(ducts zonal.SpaceID) {
	for _, k := range w.order {
		if !w.covered(k, ducts) || w.model.Holds[k].Fan == nil {
			continue
		}
		open := w.openHold(k)
		pressure, read := w.toHouse(k, ducts)
		if open < 0 || !read {
			continue
		}
		w.subtract(ducts, open, k, pressure)
		return
	}
}

// openHold is the hold as found to set against hold k: one with the same flow
// range and the nearest pressure; −1 if none has a fan reading.
func (w *ductWork) openHold(k int) int {
	best, distance := -1, math.Inf(1)
	for _, i := range w.order {
		h := &w.model.Holds[i]
		if !w.sheetHold(i).AsFound() || h.Fan == nil || (h.House < 0) != (w.model.Holds[k].House < 0) {
			continue
		}
		off := math.Abs(float64(h.House - w.model.Holds[k].House))
		if w.sheetHold(i).Range.Value != w.sheetHold(k).Range.Value {
			off += 1000 // another range only where there is no other hold
		}
		if off < distance {
			best, distance = i, off
		}
	}
	return best
}

// sheetHold is the sheet's hold of a hold of the model.
func (r *run) sheetHold(k int) *sheet.Hold { return r.held[k].hold }

func (w *ductWork) subtract(ducts zonal.SpaceID, open, covered int, pressure ductleak.Measured[units.Pressure]) {
	t := ductleak.Subtraction{Open: w.state(open), Covered: w.state(covered)}
	t.Correction, t.Scaling = w.exponents(ducts)
	t.Covered.Ducts, t.Zone = pressure, w.zoneAround(covered, ducts)
	if p, read := w.toHouse(open, ducts); read {
		t.Open.Ducts = p
	}
	c := w.gauge.FanCalibration()
	t.Calibration = float64(c.Common)
	if w.sheetHold(open).Range.Value == w.sheetHold(covered).Range.Value {
		t.Calibration = math.Hypot(float64(c.Common), float64(c.PerRange))
	} else {
		for _, s := range []*ductleak.HeldState{&t.Open, &t.Covered} {
			s.Fan.SD = units.Flow(math.Hypot(float64(s.Fan.SD), float64(c.PerRange)*float64(s.Fan.Value)))
		}
	}
	r, err := t.Evaluate()
	if err != nil {
		w.refused(subtractionTest, outside25, err)
		return
	}
	w.workedAll("ducts, subtraction", r.Working(w.system))
	a := ductAnswer{Answer: ductleak.Answer{Name: subtractionTest, Result: r.Outside25, Resolved: r.Resolved}, compared: true,
		note: "the two fan readings by hand; its readings are in the joint estimate"}
	z := w.around(ducts)
	switch {
	case r.PoorZone:
		a.note = fmt.Sprintf("the %s around the ducts, which by hand counts as outdoors, may stand more than a tenth of the hold from it; open it to outdoors and read both again", w.names[z])
	case len(w.leakPaths(ducts)) == 0:
		a.Resolved, a.note = false, "nothing was read in the space around the ducts, which by hand counts as outdoors; read it in the same holds"
	case !r.Resolved:
		a.note = "the fan fell by less than its own errors carry; cover better, or repeat both readings back to back"
	}
	if z > zonal.Outside && !r.PoorZone {
		a.note += fmt.Sprintf("; by hand the %s around the ducts counts as outdoors", w.names[z])
	}
	w.add(outside25, a)
	if r.Resolved && ductleak.Resolved(r.Inside50) && z == zonal.Outside {
		w.d.Notes = append(w.d.Notes, "Leaks between ducts and house at 50 Pa, by subtraction: "+w.inWords(r.Inside50)+".")
	}
}

// state is what a hold says for the subtraction.
func (w *ductWork) state(k int) ductleak.HeldState {
	h := &w.model.Holds[k]
	return ductleak.HeldState{House: ductleak.Measured[units.Pressure]{Value: abs(h.House), SD: h.HouseSD},
		Fan: flowWithin(h.Fan.Flow, h.Fan.SDLn)}
}

// inWords writes an estimate with its interval.
func (r *run) inWords(e units.Estimate[units.Flow]) string {
	u := r.system.Flow()
	v, low, high := e.Format(u)
	return fmt.Sprintf("%s %s (%s–%s)", v, u.Pretty(), low, high)
}

// around is the one space the ducts run through: a zone, outside, or House
// where they touch several or none.
func (w *ductWork) around(ducts zonal.SpaceID) zonal.SpaceID {
	paths := w.leakPaths(ducts)
	if len(paths) != 1 {
		return zonal.House
	}
	if p := w.model.Paths[paths[0]]; p.A != ducts {
		return p.A
	} else {
		return p.B
	}
}

// openRegister is the closed form of a hood at one register, the others covered.
func (w *ductWork) openRegister(ducts zonal.SpaceID) {
	for _, k := range w.order {
		h := &w.model.Holds[k]
		if len(h.Sealed) != 1 || len(h.Opened) != 1 || w.model.Paths[h.Sealed[0]] != w.registerPath(ducts) {
			continue
		}
		for _, f := range h.Flows {
			if f.Of != ducts && f.To != ducts || f.Of+f.To != ducts+zonal.House {
				continue
			}
			sd := f.SDLn
			for _, c := range f.Cal {
				sd = math.Hypot(sd, w.model.Calibrations[c].SDLn)
			}
			w.register(registerTest, ducts, k, flowWithin(f.Flow, sd), true)
		}
	}
}

// register works one open register. inJoint says that the joint estimate has
// the reading already.
func (w *ductWork) register(name string, ducts zonal.SpaceID, k int, q ductleak.Measured[units.Flow], inJoint bool) {
	h := &w.model.Holds[k]
	t := ductleak.OpenRegister{Flow: q, House: ductleak.Measured[units.Pressure]{Value: abs(h.House), SD: h.HouseSD}}
	t.Scaling = ductleak.Measured[units.Ratio]{Value: ductleak.DuctExponent, SD: ductleak.ExponentSD}
	read := false
	if ducts > zonal.Outside {
		_, t.Scaling = w.exponents(ducts)
		t.Ducts, read = w.toHouse(k, ducts)
		t.Zone = w.zoneAround(k, ducts)
	}
	r, err := t.Evaluate()
	if err != nil {
		w.refused(name, outside25, err)
		return
	}
	w.workedAll("ducts, "+name, r.Working(w.system))
	a := ductAnswer{Answer: ductleak.Answer{Name: name, Result: r.Outside25, Resolved: r.Resolved, Meter: w.meter(hoodMeter)}, compared: inJoint}
	switch {
	case !read:
		a.Resolved, a.note = false, "a lower bound: the ducts' own pressure was not read"
	case r.LowerBound:
		a.note = "a lower bound: the ducts stood more than 1 Pa from the room, so leaks from the house fed them too"
		a.Resolved = false
	case inJoint:
		a.note = "the hood by hand; its reading is in the joint estimate"
	}
	w.add(outside25, a)
}

// zoneAround is the house-to-zone pressure of the space around the ducts, where
// that is a zone: read in the hold, or as estimated. Zero stands for outdoors.
func (w *ductWork) zoneAround(k int, ducts zonal.SpaceID) ductleak.Measured[units.Pressure] {
	z := w.around(ducts)
	if z <= zonal.Outside {
		return ductleak.Measured[units.Pressure]{}
	}
	return w.houseToZone(k, z)
}

// houseToZone never gives zero, which would stand for a zone at outdoor pressure.
func (r *run) houseToZone(k int, z zonal.SpaceID) ductleak.Measured[units.Pressure] {
	const least = 0.1 // Pa
	if p, read := r.toHouse(k, z); read {
		p.Value = max(p.Value, least)
		return p
	}
	share := units.Pressure(math.Abs(float64(r.model.Holds[k].House)) / zonal.Reference)
	for _, e := range r.estimate.Zones {
		if e.Space == z {
			return ductleak.Measured[units.Pressure]{Value: max(e.ToHouse.Value*share, least),
				SD: (e.ToHouse.High - e.ToHouse.Low) * share / units.Pressure(2*fit90)}
		}
	}
	return ductleak.Measured[units.Pressure]{}
}

// coveredPressure is what the ducts show to the house with the registers
// covered, brought to a hold of 50 Pa.
func (w *ductWork) coveredPressure(ducts zonal.SpaceID) {
	for _, k := range w.order {
		p, read := w.toHouse(k, ducts)
		if !w.covered(k, ducts) || !read {
			continue
		}
		h := &w.model.Holds[k]
		to50 := units.Pressure(zonal.Reference) / abs(h.House)
		reach := units.Pressure(fit90) * p.SD
		e := units.Estimate[units.Pressure]{Value: p.Value * to50, Low: max(0, p.Value-reach) * to50, High: (p.Value + reach) * to50}
		w.d.CoveredPressure = w.pascals(e)
		hold := ductleak.Measured[units.Pressure]{Value: abs(h.House), SD: h.HouseSD}
		if z := w.zoneAround(k, ducts); z.Value > 0 {
			hold = z
		}
		_, n := w.exponents(ducts)
		if ratio, err := ductleak.SystemRatio(p, hold, n); err == nil {
			w.d.Tests = append(w.d.Tests, DuctTest{Name: "covered registers", Quantity: "leaks to outside over leaks to the house",
				Result: w.ratio(ratio), Resolved: ductleak.Resolved(ratio), Note: "a ratio, not a size"})
		}
		return
	}
}

// heldRegisters are flows read at single registers during a hold.
func (w *ductWork) heldRegisters() {
	for _, x := range w.sheet.Registers {
		if !x.Held.Given || x.Held.Value == 0 {
			continue
		}
		k := w.holdNamed(x.Hold.Value)
		if k < 0 {
			w.notice(Note, units.Sanitize(x.Name.Value), "its flow was read while the house was held, but no finished hold is there to say at what pressure")
			continue
		}
		w.register(registerTest+", "+units.Sanitize(x.Name.Value), w.ductsOf(x), k, flowWithin(abs(x.Held.Value), w.meterSD()), false)
	}
}

// ductsOf is the duct zone a register belongs to; Outside where the model has none.
func (w *ductWork) ductsOf(x sheet.Register) zonal.SpaceID {
	if id, ok := w.spaces[x.Ducts.Name]; ok && x.Ducts.Given() {
		return id
	}
	if len(w.zones) == 1 {
		return w.zones[0]
	}
	return zonal.Outside
}

// holdNamed is the hold of the model of that name; without a name the first as
// found, else the first; −1 if there is none.
func (r *run) holdNamed(name string) int {
	for _, k := range r.order {
		if name != "" && r.held[k].hold.Name.Value == name {
			return k
		}
	}
	if name != "" {
		return -1
	}
	for _, k := range r.order {
		if r.held[k].hold.AsFound() {
			return k
		}
	}
	return min(len(r.model.Holds), 1) - 1
}
