package walk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// steps is the whole visit as the sheet has it now, in the order of work.
func (w *Walk) steps() []step {
	s := w.book.Sheet()
	list := []step{w.hazardsStep()}
	found, worst := w.found()
	if worst == noTest {
		return append(list, w.noTestStep(found))
	}
	list = append(list,
		w.directionStep(worst),
		w.acknowledged(appliancesKey, "all of that is done", appliancesList...),
		w.acknowledged(setUpKey, "all of that is done", setUpList...),
		w.unitsStep(), w.spacesStep(),
		w.temperatureStep("indoor", s.House.Indoor), w.temperatureStep("outdoor", s.House.Outdoor), w.volumeStep())
	first := w.firstHold()
	list = append(list, w.baselineStep(first), w.walkThrough())
	list = append(list, w.holdSteps(first)...)
	for _, z := range s.Zones {
		if z.Kind == sheet.DuctsKind {
			list = append(list, w.ductSteps(z.Name.Value)...)
		}
	}
	list = append(list, w.openings()...)
	return append(list, w.baselineAfterStep(first), w.restoreStep())
}

// unitsStep asks for the units in which bare numbers are meant.
func (w *Walk) unitsStep() step {
	s := w.book.Sheet()
	preset := "Pa cfm"
	if s.Job.PrintUnits() == units.SI.String() {
		preset = "Pa m3/h"
	}
	u := step{key: key{step: "units"}, must: true, ask: "units the gauges show: pressure and flow", preset: preset,
		help: []string{"two units, such as Pa cfm, Pa L/s or inH2O cfm; later a number alone is meant in them, and another unit may still be written"}}
	b := s.Job.Bare
	if b.Pressure.Given() && b.Flow.Given() {
		u.state, u.answer = "done", b.Pressure.Value+" "+b.Flow.Value
	}
	u.take = func(answer string) ([]change, []string, error) {
		p, f, err := twoUnits(answer)
		if err != nil {
			return nil, nil, err
		}
		if u.state != "" {
			return nil, nil, refusef("the sheet has its units; write another unit behind a number where you need it")
		}
		return inTable("job", s.Job.Pos, fmt.Sprintf("bare = { pressure = %s, flow = %s }", sheet.StringText(p), sheet.StringText(f))), nil, nil
	}
	return u
}

// twoUnits reads "Pa cfm".
func twoUnits(answer string) (pressure, flow string, err error) {
	words := strings.FieldsFunc(answer, func(r rune) bool { return r == ' ' || r == ',' })
	if len(words) != 2 {
		return "", "", refusef("write two units, such as Pa cfm")
	}
	p, err := units.ParsePressureUnit(words[0])
	if err != nil {
		return "", "", refusef("%s is no unit of pressure; write Pa or inH2O, then the unit of flow", words[0])
	}
	f, err := units.ParseFlowUnit(words[1])
	if err != nil {
		return "", "", refusef("%s is no unit of flow; write cfm, L/s or m3/h behind the unit of pressure", words[1])
	}
	return p.Symbol(), f.Symbol(), nil
}

// pressureUnit and flowUnit are those of bare numbers.
func (w *Walk) pressureUnit() units.Unit {
	if u, err := units.ParsePressureUnit(w.book.Sheet().Job.Bare.Pressure.Value); err == nil {
		return u
	}
	return units.Pascal
}

func (w *Walk) flowUnit() units.Unit {
	if u, err := units.ParseFlowUnit(w.book.Sheet().Job.Bare.Flow.Value); err == nil {
		return u
	}
	return w.system().Flow()
}

func (w *Walk) system() units.System {
	system, err := units.ParseSystem(w.book.Sheet().Job.PrintUnits())
	if err != nil {
		return units.IP
	}
	return system
}

// inTable adds a line to a table, which is made if it is not there yet.
func inTable(name string, at sheet.Pos, line string) []change {
	if at.Line > 0 {
		return []change{afterLine(at.Line, line)}
	}
	return []change{atEnd("\n[" + name + "]\n" + line)}
}

// spacesStep asks which spaces are beside the house.
func (w *Walk) spacesStep() step {
	k := key{step: "spaces"}
	s := step{key: k, ask: "spaces beside the house, with commas between",
		lines: func() []string {
			return []string{"Spaces that a hose can be pushed into: attic, garage, crawlspace, basement, ducts, …"}
		},
		help: []string{"each space that a hose can be pushed into, by any name; a name ends in its kind where it can: side garage", "ducts: the duct system, when there is one; none: only the house is measured"}}
	s.state, s.answer = w.settled(k)
	var names []string
	for _, z := range w.book.Sheet().Zones {
		names = append(names, z.Name.Value)
	}
	if len(names) > 0 && s.state == "" {
		s.state, s.answer = "done", strings.Join(names, ", ")
	}
	s.take = func(answer string) ([]change, []string, error) {
		text := ""
		for _, name := range strings.Split(answer, ",") {
			name = units.Sanitize(name)
			if name == "" || isNo(name) || slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) }) {
				continue
			}
			if !strings.ContainsFunc(name, unicode.IsLetter) {
				return nil, nil, refusef("%q is no name of a space; write names such as attic, garage", name)
			}
			text += zoneBlock(name)
			names = append(names, name)
		}
		note := w.noted(k, "done", answer)
		if text != "" {
			note = both(atEnd(text), note)
		}
		return []change{note}, nil, nil
	}
	return s
}

// zoneBlock declares a zone.
func zoneBlock(name string) string {
	return fmt.Sprintf("\n[[zone]]\nname = %s\nkind = %s\n", sheet.StringText(name), sheet.StringText(string(sheet.KindOf(name))))
}

// temperatureStep asks for a temperature of the air, for its density.
func (w *Walk) temperatureStep(name string, have sheet.Temperature) step {
	t := ofHouse(w, name, have, w.system().Temperature(), units.ParseTemperature, units.ParseTemperatureIn)
	t.ask = fmt.Sprintf("%s temperature (%s)", name, w.system().Temperature().Symbol())
	t.help = []string{"such as 68 F or 20 C; without it the density of the air is left out, a few per cent of the flow"}
	return t
}

// volumeStep asks for what air changes are counted by.
func (w *Walk) volumeStep() step {
	unit := w.system().Volume()
	v := ofHouse(w, "volume", w.book.Sheet().House.Volume, unit, units.ParseVolume, units.ParseVolumeIn)
	v.ask = fmt.Sprintf("volume of the house (%s), for air changes", unit.Pretty())
	v.help = []string{"floor area times height, such as 14400 ft3 or 400 m3; skip leaves air changes out"}
	return v
}

// ofHouse is the step of a quantity in the table of the house.
func ofHouse[Q ~float64](w *Walk, name string, have sheet.Quantity[Q], unit units.Unit, parse func(string) (Q, error), parseIn func(string, units.Unit) (Q, error)) step {
	s := step{key: key{step: name}, read: true}
	s.state, s.answer = given(have)
	w.orPassed(&s)
	s.take = func(answer string) ([]change, []string, error) {
		text, err := withUnit(answer, unit, parse, parseIn)
		if err != nil {
			return nil, nil, err
		}
		return valueChange(w, have, text, inTable("house", w.book.Sheet().House.Pos, name+" = "+sheet.StringText(text)))
	}
	s.withdraw = withdrawing(w, have)
	return s
}

// valueChange corrects a value that stands, or writes a new one.
func valueChange[Q ~float64](w *Walk, have sheet.Quantity[Q], text string, fresh []change) ([]change, []string, error) {
	switch {
	case !have.Given:
		return fresh, nil, nil
	case len(have.Samples) > 0:
		return nil, nil, refusef("a list of samples stands there; correct it in an editor")
	}
	return []change{corrected(have.Pos, sheet.StringText(text), w.stamp())}, nil, nil
}

// withdrawing makes a comment of a value that stands; nil where none does.
func withdrawing[Q ~float64](w *Walk, have sheet.Quantity[Q]) func() []change {
	if !have.Given || len(have.Samples) > 0 {
		return nil
	}
	return func() []change { return []change{withdrawn(have.Pos, w.stamp())} }
}

// given is the state and the answer that a quantity of the sheet stands for.
func given[Q ~float64](q sheet.Quantity[Q]) (state, answer string) {
	switch {
	case !q.Given:
		return "", ""
	case len(q.Samples) > 0:
		return "done", fmt.Sprintf("the mean of %d samples", len(q.Samples))
	}
	return "done", q.Text
}

// orPassed takes the state of a step without a reading from its record.
func (w *Walk) orPassed(s *step) {
	if s.state != "" {
		return
	}
	if state, _ := w.settled(s.key); state != "done" {
		s.state = state
	}
}

// restoreStep is the list that puts the house back.
func (w *Walk) restoreStep() step {
	lines := []string{
		"Put the house back as found (slow the fan before an outer door is opened):",
		"- fan off and covered",
		"- appliances as found, pilots lit by someone entitled to and seen to burn, dials and thermostats restored",
		"- doors, hatches, dampers and the garage door as found; covers off every register; hoses out",
	}
	for _, h := range w.book.Sheet().Holds {
		for _, o := range h.Opened {
			lines = append(lines, fmt.Sprintf("- shut again: %s, between %s and %s", cmp.Or(units.Sanitize(o.Name.Value), "what was opened"), o.Between[0].Name, o.Between[1].Name))
		}
	}
	lines = slices.Compact(append(lines,
		"- where something was sealed: a worst-case draft test of every vented appliance before leaving",
		"- your car keys are where you left them"))
	s := w.acknowledged(restoreKey, "all of that is done", lines...)
	s.state, s.answer = w.settled(restoreKey)
	return s
}
