package zonal

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"holdbook/units"
)

// errSpacesMissing is returned for a model that NewModel did not make.
var errSpacesMissing = errors.New("the model needs the house and outside as its first two spaces: start from NewModel")

// errNoModel is returned for no model at all.
var errNoModel = errors.New("there is no model: start from NewModel")

// Check refuses a model whose parts do not fit together, or hold numbers that cannot be
// used. The error names the part by its index, counted from 0, and its name.
func (m *Model) Check() error {
	if m == nil {
		return errNoModel
	}
	if len(m.Spaces) <= int(Outside) {
		return errSpacesMissing
	}
	if !positive(float64(m.Air)) {
		return fmt.Errorf("the density of the air in the leaks must be positive and finite, not %g kg/m³", float64(m.Air))
	}
	if !standard(m.CdSDLn) {
		return fmt.Errorf("the standard deviation of the discharge coefficient must be 0 or positive, not %g", m.CdSDLn)
	}
	for _, part := range []func() error{m.checkNames, m.checkPaths, m.checkOpenings, m.checkWeather, func() error { return checkOneWay(m) }, m.checkHolds} {
		if err := part(); err != nil {
			return err
		}
	}
	return nil
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// standard tells whether v can be a standard deviation.
func standard(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }

// label names part i of a list in an error.
func label(part string, i int, name string) string {
	if name == "" {
		return fmt.Sprintf("%s %d", part, i)
	}
	return fmt.Sprintf("%s %d (%s)", part, i, name)
}

// checkNames refuses two zones of one name, since Compare matches them by it (those
// without a name go by their place), and calibrations that are none. Two calibrations may
// have one name: the same make of fan on two visits.
func (m *Model) checkNames() error {
	seen := map[string]bool{}
	for _, s := range m.Spaces[Outside+1:] {
		name := sameCase(s.Name)
		if name != "" && seen[name] {
			return fmt.Errorf("two zones are called %q", s.Name)
		}
		seen[name] = true
	}
	for i, c := range m.Calibrations {
		if !standard(c.SDLn) {
			return fmt.Errorf("%s: its standard deviation must be 0 or positive, not %g", label("calibration", i, c.Name), c.SDLn)
		}
	}
	return nil
}

func (m *Model) checkPaths() error {
	for i := range m.Paths {
		p := &m.Paths[i]
		if err := m.checkEnds(p.A, p.B); err != nil {
			return fmt.Errorf("path %d: %w", i, err)
		}
		if err := checkSize(p.Flow50); err != nil {
			return fmt.Errorf("%s: %w", m.pathLabel(i), err)
		}
		n := p.Exponent
		if !(n.Mean >= minExponent && n.Mean <= maxExponent) {
			return fmt.Errorf("%s: its exponent must be 0.5 to 1, not %g", m.pathLabel(i), n.Mean)
		}
		if !standard(n.SD) {
			return fmt.Errorf("%s: the standard deviation of its exponent must be 0 or positive, not %g", m.pathLabel(i), n.SD)
		}
	}
	for _, a := range m.Alike {
		if a.First < 0 || a.First >= a.Second || a.Second >= len(m.Paths) {
			return fmt.Errorf("paths %d and %d cannot have one exponent: two paths are needed, the lower index first", a.First, a.Second)
		}
		if !standard(a.SDLn) {
			return fmt.Errorf("%s: the standard deviation of its change must be 0 or positive, not %g", m.pathLabel(a.Second), a.SDLn)
		}
	}
	return nil
}

// pathLabel names a path, whose ends exist, in an error.
func (m *Model) pathLabel(i int) string {
	p := m.Paths[i]
	return label("path", i, m.spaceName(p.A)+"–"+m.spaceName(p.B))
}

// checkSize refuses a prior of a size that is none.
func checkSize(size LogNormal) error {
	if !positive(float64(size.Median)) {
		return fmt.Errorf("the median of its flow at 50 Pa must be positive and finite, not %g m³/s", float64(size.Median))
	}
	if !standard(size.SDLn) {
		return fmt.Errorf("the standard deviation of its size must be 0 or positive, not %g", size.SDLn)
	}
	return nil
}

func (m *Model) checkOpenings() error {
	for i, o := range m.Openings {
		if err := m.checkEnds(o.A, o.B); err != nil {
			return fmt.Errorf("%s: %w", label("opening", i, o.Name), err)
		}
		if err := o.checkSize(); err != nil {
			return fmt.Errorf("%s: %w", label("opening", i, o.Name), err)
		}
	}
	return nil
}

func (o *Opening) checkSize() error {
	switch {
	case o.Area == 0:
		return cmp.Or(checkSize(o.Flow50), o.checkExponent(), o.checkSecond())
	case !positive(float64(o.Area)):
		return fmt.Errorf("its area must be positive and finite, not %g m²", float64(o.Area))
	case !standard(o.AreaSDLn):
		return fmt.Errorf("the standard deviation of its area must be 0 or positive, not %g", o.AreaSDLn)
	case o.Cd != 0 && !(o.Cd > 0 && o.Cd <= 1):
		return fmt.Errorf("its discharge coefficient must be above 0 and at most 1, not %g", o.Cd)
	}
	return nil
}

// checkExponent refuses an exponent that no opening has.
func (o *Opening) checkExponent() error {
	n := o.Exponent
	if n == (Normal{}) || n.Mean >= minExponent && n.Mean <= mostOfOpening && standard(n.SD) {
		return nil
	}
	return fmt.Errorf("its exponent must lie between %g and %g, with a standard deviation that is 0 or positive, not at %g with %g", minExponent, mostOfOpening, n.Mean, n.SD)
}

// checkSecond refuses a share that there is not.
func (o *Opening) checkSecond() error {
	if q := o.Second; q.Median < 0 || !units.Finite(float64(q.Median)) || !standard(q.SDLn) {
		return fmt.Errorf("what it opens besides must be a share that is 0 or positive, not %g with %g", float64(q.Median), q.SDLn)
	}
	return nil
}

func (m *Model) checkHolds() error {
	for h := range m.Holds {
		if err := m.checkHold(&m.Holds[h]); err != nil {
			return fmt.Errorf("%s: %w", label("hold", h, m.Holds[h].Name), err)
		}
	}
	return nil
}

func checkHeld(h *Hold) error {
	switch {
	case h.Rest:
		return nil
	case h.House == 0 || !units.Finite(float64(h.House)):
		return fmt.Errorf("a house pressure other than 0 is needed, not %g Pa", float64(h.House))
	case !positive(float64(h.HouseSD)):
		return fmt.Errorf("the standard deviation of the house pressure must be positive, not %g Pa", float64(h.HouseSD))
	}
	return nil
}

func (m *Model) checkHold(h *Hold) error {
	for _, part := range []func(*Hold) error{m.checkRest, checkHeld, m.checkChanges, m.checkPressures, m.checkFlows} {
		if err := part(h); err != nil {
			return err
		}
	}
	return nil
}

// checkChanges refuses a hold that opens, seals or covers what the model does not have.
func (m *Model) checkChanges(h *Hold) error {
	for _, k := range h.Opened {
		if k < 0 || k >= len(m.Openings) {
			return fmt.Errorf("opening %d does not exist; there are %d", k, len(m.Openings))
		}
	}
	for _, list := range []struct {
		what    string
		paths   []int
		covered bool
	}{{"sealed", h.Sealed, false}, {"covered", h.Covered, true}} {
		for _, i := range list.paths {
			if i < 0 || i >= len(m.Paths) {
				return fmt.Errorf("%s path %d does not exist; there are %d", list.what, i, len(m.Paths))
			}
			if m.Paths[i].Covered != list.covered {
				return fmt.Errorf("%s cannot be listed as %s", m.pathLabel(i), list.what)
			}
		}
	}
	return nil
}

func (m *Model) checkPressures(h *Hold) error {
	for i, r := range h.Read {
		err := m.checkEnds(r.Of, r.To)
		switch {
		case err != nil:
		case !units.Finite(float64(r.Pressure)):
			err = fmt.Errorf("the pressure must be finite, not %g Pa", float64(r.Pressure))
		case !positive(float64(r.SD)):
			err = fmt.Errorf("its standard deviation must be positive, not %g Pa", float64(r.SD))
		}
		if err != nil {
			return fmt.Errorf("pressure reading %d: %w", i, err)
		}
	}
	return nil
}

// checkFlows refuses flows that cannot be used: of the door fan, of further fans, and
// through paths.
func (m *Model) checkFlows(h *Hold) error {
	if h.Fan != nil {
		if err := m.checkFlow(h.Fan); err != nil {
			return fmt.Errorf("the fan: %w", err)
		}
	}
	for i, f := range h.Fans {
		if err := cmp.Or(m.checkEnds(f.From, f.To), m.checkFlow(&f.FlowReading)); err != nil {
			return fmt.Errorf("further fan %d: %w", i, err)
		}
	}
	for i, f := range h.Flows {
		if err := cmp.Or(m.checkEnds(f.Of, f.To), m.checkFlow(&f.FlowReading)); err != nil {
			return fmt.Errorf("path flow %d: %w", i, err)
		}
		if !m.Joined(h, f.Of, f.To) {
			return fmt.Errorf("path flow %d: no leak and no opening joins %s and %s in this hold", i, m.spaceName(f.Of), m.spaceName(f.To))
		}
	}
	return nil
}

// Joined tells whether a flow between two spaces of the model has a way in a hold: a leak
// that is not sealed, or something opened.
func (m *Model) Joined(h *Hold, a, b SpaceID) bool {
	for i := range m.Paths {
		if m.Paths[i].Joins(a, b) && h.has(i, m.Paths[i].Covered) {
			return true
		}
	}
	return slices.ContainsFunc(h.Opened, func(k int) bool { return m.Openings[k].Joins(a, b) })
}

func (m *Model) checkFlow(f *FlowReading) error {
	if !positive(float64(f.Flow)) {
		return fmt.Errorf("the flow must be positive and finite, not %g m³/s", float64(f.Flow))
	}
	if !positive(f.SDLn) {
		return fmt.Errorf("the standard deviation of the flow must be positive, not %g", f.SDLn)
	}
	if !units.Finite(f.PerStack) {
		return fmt.Errorf("what the flow gains with the stack must be finite, not %g", f.PerStack)
	}
	for _, c := range f.Cal {
		if c < 0 || c >= len(m.Calibrations) {
			return fmt.Errorf("calibration %d does not exist; there are %d", c, len(m.Calibrations))
		}
	}
	return nil
}
