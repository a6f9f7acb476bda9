package walk

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
)

// holdRef is a hold of the sheet, or one that is still to be made.
type holdRef struct {
	name  string
	hold  *sheet.Hold // nil: not in the sheet yet
	last  bool        // the last hold of the sheet
	reads [][2]string // the pairs of spaces to read
}

// values are what the hold has been given so far: nothing for one still to be made.
func (r holdRef) values() sheet.Hold {
	if r.hold == nil {
		return sheet.Hold{}
	}
	return *r.hold
}

// firstHoldName is that of the hold as found, where the sheet has none yet.
const firstHoldName = "as found"

// firstHold is the hold as found: the first in which nothing was changed.
func (w *Walk) firstHold() holdRef {
	s := w.book.Sheet()
	ref := holdRef{name: firstHoldName}
	for i := range s.Holds {
		if h := &s.Holds[i]; h.AsFound() && h.Name.Given() {
			ref = holdRef{name: h.Name.Value, hold: h, last: i == len(s.Holds)-1}
			break
		}
	}
	if ref.hold == nil {
		ref.name = w.unusedName(firstHoldName)
	}
	for _, z := range s.Zones {
		if z.Kind != sheet.DuctsKind {
			ref.reads = append(ref.reads, [2]string{z.Name.Value, sheet.HouseName})
		}
	}
	return ref
}

// holdNamed finds a hold by its name.
func (w *Walk) holdNamed(name string) (holdRef, bool) {
	s := w.book.Sheet()
	for i := range s.Holds {
		if s.Holds[i].Name.Value == name {
			return holdRef{name: name, hold: &s.Holds[i], last: i == len(s.Holds)-1}, true
		}
	}
	return holdRef{name: name}, false
}

// unusedName makes a name that no hold has yet.
func (w *Walk) unusedName(name string) string {
	for n := 1; ; n++ {
		try := name
		if n > 1 {
			try = fmt.Sprintf("%s %d", name, n)
		}
		if !slices.ContainsFunc(w.book.Sheet().Holds, func(h sheet.Hold) bool { return strings.EqualFold(h.Name.Value, try) }) {
			return try
		}
	}
}

// begun is the head of a new hold.
func (w *Walk) begun(name string) string {
	return fmt.Sprintf("\n[[hold]]\nname = %s\ntime = %s", sheet.StringText(name), w.now().Format("15:04:05"))
}

// add puts a line into a hold, which is made if it is not there yet. A hold
// written by hand may be laid out in ways that leave no room after its last
// value; then the line follows its header.
func (w *Walk) add(ref holdRef, line string) []change {
	if ref.hold == nil {
		return []change{atEnd(w.begun(ref.name) + "\n" + line)}
	}
	return []change{afterLine(lastLine(ref.hold), line), afterLine(ref.hold.Pos.Line, line)}
}

// lastLine is the line of a hold's last value of its own.
func lastLine(h *sheet.Hold) int {
	last := max(h.Pos.Line, h.Name.Pos.Line, h.Time.Pos.Line, h.Range.Pos.Line, h.Baseline.Pos.Line,
		h.BaselineAfter.Pos.Line, h.House.Pos.Line, h.Fan.Pos.Line)
	for _, r := range h.Readings {
		if r.Form != "readings" {
			last = max(last, r.Pressure.Pos.Line)
		}
	}
	return last
}

// holdSteps are the readings of one hold.
func (w *Walk) holdSteps(ref holdRef) []step {
	house := w.houseStep(ref)
	list := append(w.areaSteps(ref), house)
	if house.state != "" && house.state != "done" {
		return list // without the house pressure nothing else in it can be used
	}
	list = append(list, w.fanStep(ref))
	if ref.hold != nil && ref.hold.Fan.Given {
		list = append(list, w.rangeStep(ref))
	}
	for _, pair := range ref.reads {
		list = append(list, w.zoneStep(ref, pair))
	}
	return list
}

// areaSteps ask whether holes of known size came out at the size proposed.
func (w *Walk) areaSteps(ref holdRef) []step {
	if ref.hold == nil {
		return nil
	}
	var list []step
	for i, o := range ref.hold.Opened {
		if !o.Area.Given {
			continue
		}
		k := key{fmt.Sprintf("area of opening %d", i+1), ref.name}
		unit := w.system().Area()
		s := step{key: k, preset: o.Area.Text, ask: fmt.Sprintf("%s: area as measured (%s)", ref.name, unit.Symbol()),
			help: []string{"width times height of the free gap, such as 40 in2 or 250 cm2; within 3 %, sharp edges"}}
		if state, _ := w.settled(k); state != "" {
			s.state, s.answer = state, o.Area.Text
		}
		s.take = func(answer string) ([]change, []string, error) {
			text, err := withUnit(answer, unit, units.ParseArea, units.ParseAreaIn)
			if err != nil {
				return nil, nil, err
			}
			note := w.noted(k, "done", text)
			if text == o.Area.Text {
				return []change{note}, nil, nil
			}
			return []change{both(corrected(o.Area.Pos, sheet.StringText(text), w.stamp()), note)}, nil, nil
		}
		list = append(list, s)
	}
	return list
}

// pressureStep is a pressure of the hold itself.
func (w *Walk) pressureStep(ref holdRef, name, ask string, have sheet.Pressure) step {
	unit := w.pressureUnit()
	s := step{key: key{name, ref.name}, read: true, ask: fmt.Sprintf("%s (%s)", ask, unit.Symbol())}
	s.state, s.answer = given(have)
	w.orPassed(&s)
	s.take = func(answer string) ([]change, []string, error) {
		text, err := withUnit(answer, unit, units.ParsePressure, units.ParsePressureIn)
		if err != nil {
			return nil, nil, err
		}
		return valueChange(w, have, text, w.add(ref, name+" = "+sheet.StringText(text)))
	}
	s.withdraw = withdrawing(w, have)
	return s
}

// withUnit is an answer with its unit: its own, or the one chosen.
func withUnit[Q ~float64](answer string, unit units.Unit, parse func(string) (Q, error), parseIn func(string, units.Unit) (Q, error)) (string, error) {
	if _, err := parse(answer); err == nil {
		return answer, nil
	}
	if _, err := parseIn(answer, unit); err != nil {
		return "", refusef("%s", err)
	}
	return answer + " " + unit.Symbol(), nil
}

func (w *Walk) baselineStep(ref holdRef) step {
	s := w.pressureStep(ref, "baseline", "baseline, house to outside, fan covered", ref.values().Baseline)
	s.lines = func() []string {
		return []string{"Cover the fan. The baseline reads steady in about 20 s; keep its sign."}
	}
	s.help = []string{"the pressure with the fan covered, such as -1.2; its sign matters: below zero when the house is below outdoors"}
	w.onlyBaseline(&s)
	return s
}

// onlyBaseline refuses what can be no baseline, and looks at what can.
func (w *Walk) onlyBaseline(s *step) {
	take := s.take
	s.take = func(answer string) ([]change, []string, error) {
		v, perr := units.ParsePressureIn(answer, w.pressureUnit())
		if perr == nil && math.Abs(float64(v)) >= target {
			return nil, nil, refusef("%s is no baseline: with the fan covered a house reads a few pascals; is it another reading?", v.Text(w.pressureUnit(), 0))
		}
		changes, said, err := take(answer)
		if err == nil && perr == nil {
			if b, berr := pressure.OneBaseline(v); berr == nil {
				for _, p := range b.Warnings() {
					said = append(said, "look: "+p.Error())
				}
			}
		}
		return changes, said, err
	}
}

// baselineAfterStep reads the baseline again, which shows how far it drifted.
func (w *Walk) baselineAfterStep(ref holdRef) step {
	s := w.pressureStep(ref, "baseline_after", "baseline again, fan covered", ref.values().BaselineAfter)
	s.lines = func() []string {
		return []string{"Fan off and covered, everything else as it is: the baseline once more."}
	}
	s.help = []string{"shows how far the baseline drifted during the visit"}
	w.onlyBaseline(&s)
	return s
}

// walkThrough is the step at 25 Pa.
func (w *Walk) walkThrough() step {
	k := key{step: "25 Pa and a walk through the house"}
	s := w.acknowledged(k, "25 Pa held, and every room walked through",
		"Uncover the fan and bring the house to 25 Pa first. Walk through it:",
		"- no window, door, hatch or damper has come open; no tile or cover has lifted",
		"- no ashes, dust or smell are drawn in; every flame is out",
		"- nobody and no animal is troubled")
	s.state, s.answer = w.settled(k)
	return s
}

// target is the pressure (Pa) that a hold aims at, and leastTarget how far below
// it a house may stay without a word. Common practice, no source.
const (
	target      = 50
	leastTarget = 45
)

var fullSpeed = []string{
	"Full speed below 50 Pa. Look first for what is still open: a window, a hatch, a fireplace damper, the fan's own panel.",
	"Then the flow range: fit a larger opening to the fan and tell the gauge; or add a second fan.",
	"Or go on with what is reached: write that pressure; the answer is worked out from it, and is less certain at 50 Pa.",
}

var noFlow = []string{
	"No flow shown. Look at the hose of the fan first: loose, kinked, or on the wrong tap.",
	"Then the flow range: it may be too large for this house. Fit the next smaller one and tell the gauge; hold again.",
	"Write the flow once it shows; or - to go on with pressures alone, which tell how the spaces are joined but bound their sizes only.",
}

func (w *Walk) houseStep(ref holdRef) step {
	sign := "-50"
	if !w.book.Sheet().Job.Depressurised() {
		sign = "50"
	}
	s := w.pressureStep(ref, "house", ref.name+": house to outside", ref.values().House)
	s.lines = func() []string {
		return append(stateOf(ref), "Bring the house to 50 Pa and let it settle. (Write full when the fan runs at full speed and does not reach it.)")
	}
	s.help = []string{"what the gauge shows, baseline still in it, such as " + sign + " or 50", "full: the fan runs at full speed below 50 Pa"}
	take := s.take
	s.take = func(answer string) ([]change, []string, error) {
		if isFull(answer) {
			return nil, fullSpeed, nil
		}
		changes, _, err := take(answer)
		if err != nil {
			return nil, nil, err
		}
		return changes, w.heldAt(answer), nil
	}
	return s
}

// stateOf says how the house must stand in a hold with a change. A hold lists all
// that differs from as found, so what was changed for another one is undone.
func stateOf(ref holdRef) []string {
	if ref.hold == nil || ref.hold.AsFound() {
		return nil
	}
	var changes []string
	for _, o := range ref.hold.Opened {
		changes = append(changes, fmt.Sprintf("opened between %s and %s", o.Between[0].Name, o.Between[1].Name))
	}
	for _, c := range ref.hold.Sealed {
		changes = append(changes, fmt.Sprintf("sealed between %s and %s", c.Between[0].Name, c.Between[1].Name))
	}
	return []string{units.Sanitize(ref.name) + ": " + units.SanitizeTo(strings.Join(changes, ", "), 300) + "; everything else as found, so undo what was opened or covered for another hold.",
		"Not what was made? skip leaves it out, and the list comes again."}
}

func isFull(answer string) bool {
	return slices.Contains([]string{"full", "full speed", "max"}, strings.ToLower(answer))
}

// heldAt says what a hold below its target means.
func (w *Walk) heldAt(answer string) []string {
	v, err := units.ParsePressureIn(answer, w.pressureUnit())
	if p := math.Abs(float64(v)); err == nil && p < leastTarget {
		return []string{fmt.Sprintf("held at %s Pa: answers at %d Pa are carried up from there by the exponent and are less certain", units.Fixed(p, 1), target)}
	}
	return nil
}

func (w *Walk) fanStep(ref holdRef) step {
	have, unit := ref.values().Fan, w.flowUnit()
	s := step{key: key{"fan", ref.name}, read: true, ask: fmt.Sprintf("%s: fan flow (%s)", units.Sanitize(ref.name), unit.Symbol())}
	s.help = []string{"the flow as the gauge shows it, such as 2280", "none: the gauge shows no flow"}
	s.state, s.answer = given(have)
	w.orPassed(&s)
	s.take = func(answer string) ([]change, []string, error) {
		text, err := withUnit(answer, unit, units.ParseFlow, units.ParseFlowIn)
		if v, _ := units.ParseFlowIn(answer, unit); isNo(answer) || err == nil && v == 0 {
			return nil, noFlow, nil
		}
		if isFull(answer) {
			return nil, fullSpeed, nil
		}
		if err != nil {
			return nil, nil, err
		}
		return valueChange(w, have, text, w.add(ref, "fan = "+sheet.StringText(text)))
	}
	s.withdraw = withdrawing(w, have)
	return s
}

// rangeStep asks for the flow range in use; readings on one range share part of
// their calibration.
func (w *Walk) rangeStep(ref holdRef) step {
	s := step{key: key{"range", ref.name}, ask: ref.name + ": flow range of the fan, as it is named there", preset: w.lastRange(),
		help: []string{"any label for the ring or plate fitted to the fan's opening; open: none is fitted; readings on one range share its calibration"}}
	if r := ref.hold.Range; r.Given() {
		s.state, s.answer = "done", r.Value
	} else {
		w.orPassed(&s)
	}
	s.take = func(answer string) ([]change, []string, error) {
		if r := ref.hold.Range; r.Given() {
			return []change{corrected(r.Pos, sheet.StringText(answer), w.stamp())}, nil, nil
		}
		return w.add(ref, "range = "+sheet.StringText(answer)), nil, nil
	}
	return s
}

// lastRange is the range last used, to be offered; open before any.
func (w *Walk) lastRange() string {
	last := ""
	for _, h := range w.book.Sheet().Holds {
		last = cmp.Or(h.Range.Value, last)
	}
	return cmp.Or(last, "open")
}

// zoneStep is a pressure between two spaces.
func (w *Walk) zoneStep(ref holdRef, pair [2]string) step {
	unit := w.pressureUnit()
	have := sheet.Pressure{}
	for _, r := range ref.values().Readings {
		if r.Pressure.Given && r.Of.Name == pair[0] && r.To.Name == pair[1] {
			have = r.Pressure
		}
	}
	of, to := units.Sanitize(pair[0]), units.Sanitize(pair[1])
	s := step{key: key{pair[0] + " to " + pair[1], ref.name}, read: true,
		ask: fmt.Sprintf("%s: %s to %s (%s)", ref.name, of, to, unit.Symbol()),
		help: []string{fmt.Sprintf("the input hose in the %s, the other tap open to %s; the sign as the gauge shows it", of, to),
			"the hose's end away from the opening it goes through, and the door or hatch shut on it"}}
	s.state, s.answer = given(have)
	w.orPassed(&s)
	s.take = func(answer string) ([]change, []string, error) {
		text, err := withUnit(answer, unit, units.ParsePressure, units.ParsePressureIn)
		if err != nil {
			return nil, nil, err
		}
		return valueChange(w, have, text, w.addReading(ref, pair, text))
	}
	s.withdraw = w.withoutReading(pair[0], withdrawing(w, have))
	return s
}

// withoutReading declares a zone that perhaps only the reading to be withdrawn
// has declared, by its name: it is to be asked for again.
func (w *Walk) withoutReading(zone string, withdraw func() []change) func() []change {
	z, ok := w.book.Sheet().Zone(zone)
	if withdraw == nil || !ok || !z.Implied {
		return withdraw
	}
	return func() []change { return andThen(withdraw(), atEnd(zoneBlock(zone))) }
}

// addReading puts a reading into a hold in the everyday form, or where a hold
// written by hand has that in braces already, in there.
func (w *Walk) addReading(ref holdRef, pair [2]string, text string) []change {
	form := "to_" + pair[1]
	entry := sheet.KeyText(pair[0]) + " = " + sheet.StringText(text)
	if pair[1] != sheet.HouseName && pair[1] != sheet.OutsideName {
		block := fmt.Sprintf("\n[[hold.readings]]\nof = %s\nto = %s\npressure = %s", sheet.StringText(pair[0]), sheet.StringText(pair[1]), sheet.StringText(text))
		if ref.last {
			return []change{atEnd(block)}
		}
	}
	changes := w.add(ref, form+"."+entry)
	for _, r := range ref.values().Readings {
		if r.Form == form {
			return append(changes, inBraces(r.Pos, entry))
		}
	}
	return changes
}
