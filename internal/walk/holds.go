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

// holdSteps are the readings of the hold of a scene.
func (sc scene) holdSteps() []step {
	var list []step
	for i, o := range sc.hold.values().Opened {
		if sc.opening = i; o.Area.Given {
			list = append(list, areaRow.in(sc))
		}
	}
	house := houseRow.in(sc)
	list = append(list, house)
	if house.state != "" && house.state != "done" {
		return list // without the house pressure nothing else in it can be used
	}
	list = append(list, fanRow.in(sc))
	if sc.hold.values().Fan.Given {
		list = append(list, rangeRow.in(sc))
	}
	for _, sc.pair = range sc.hold.reads {
		list = append(list, zoneRow.in(sc))
	}
	return list
}

// The readings of a hold.
var (
	// areaRow asks whether a hole of known size came out at the size proposed.
	areaRow = row{step: "area of opening {opening}", inHold: true, ask: "{hold}: area as measured ({unit})", kind: kind{standing: measuredArea, take: takeArea, unit: areas.symbol},
		preset: func(sc scene) string { return sc.statedArea().Text },
		help:   []string{"width times height of the free gap, such as 40 in2 or 250 cm2; within 3 %, sharp edges"}}
	houseRow = row{step: "house", inHold: true, ask: "{hold}: house to outside ({unit})",
		kind: ofHold("house", pressures, func(h sheet.Hold) sheet.Pressure { return h.House }),
		lines: func(sc scene) []string {
			return append(stateOf(sc.hold), "Bring the house to 50 Pa and let it settle. (Write full when the fan runs at full speed and does not reach it.)")
		},
		help:   []string{"what the gauge shows, baseline still in it, such as {sign}50 or 50", "full: the fan runs at full speed below 50 Pa"},
		refuse: func(_ scene, answer string) ([]string, error) { return whenFull(answer), nil },
		remark: scene.heldAt}
	fanRow = row{step: "fan", inHold: true, ask: "{hold}: fan flow ({unit})",
		kind:   ofHold("fan", flows, func(h sheet.Hold) sheet.Flow { return h.Fan }),
		help:   []string{"the flow as the gauge shows it, such as 2280", "none: the gauge shows no flow"},
		refuse: scene.withoutFlow}
	// rangeRow asks for the flow range in use; readings on one range share part of
	// their calibration.
	rangeRow = row{step: "range", inHold: true, ask: "{hold}: flow range of the fan, as it is named there", kind: kind{standing: rangeUsed, take: takeRange}, preset: scene.lastRange,
		help: []string{"any label for the ring or plate fitted to the fan's opening; open: none is fitted; readings on one range share its calibration"}}
	// zoneRow is a pressure between two spaces.
	zoneRow = row{step: "{of} to {to}", inHold: true, ask: "{hold}: {of} to {to} ({unit})",
		kind: pressures.reading(scene.betweenPair, scene.addReading),
		help: []string{"the input hose in the {of}, the other tap open to {to}; the sign as the gauge shows it",
			"the hose's end away from the opening it goes through, and the door or hatch shut on it"},
		leave: scene.keepZone}
)

// ofHold is a quantity of the hold itself.
func ofHold[Q ~float64](name string, d dimension[Q], have func(sheet.Hold) sheet.Quantity[Q]) kind {
	return d.reading(func(sc scene) sheet.Quantity[Q] { return have(sc.hold.values()) },
		func(sc scene, text string) []change { return sc.add(sc.hold, name+" = "+text) })
}

// baselineRow reads the house with the fan covered.
func baselineRow(name, ask string, have func(sheet.Hold) sheet.Pressure, line, help string) row {
	return row{step: name, inHold: true, ask: ask, kind: ofHold(name, pressures, have), lines: shows(line), help: []string{help},
		refuse: scene.onlyBaseline, remark: scene.atBaseline}
}

// onlyBaseline refuses what can be no baseline.
func (sc scene) onlyBaseline(answer string) ([]string, error) {
	v, err := units.ParsePressureIn(answer, sc.pressureUnit())
	if err == nil && math.Abs(float64(v)) >= target {
		return nil, refusef("%s is no baseline: with the fan covered a house reads a few pascals; is it another reading?", v.Text(sc.pressureUnit(), 0))
	}
	return nil, nil
}

// atBaseline looks at a baseline.
func (sc scene) atBaseline(answer string) (said []string) {
	v, err := units.ParsePressureIn(answer, sc.pressureUnit())
	if err != nil {
		return nil
	}
	if b, err := pressure.OneBaseline(v); err == nil {
		for _, p := range b.Warnings() {
			said = append(said, "look: "+p.Error())
		}
	}
	return said
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

// whenFull says what to do when the fan runs at full speed; nil for other answers.
func whenFull(answer string) []string {
	if slices.Contains([]string{"full", "full speed", "max"}, strings.ToLower(answer)) {
		return fullSpeed
	}
	return nil
}

// withoutFlow says what to do when the gauge shows no flow, or the fan can no more.
func (sc scene) withoutFlow(answer string) ([]string, error) {
	v, err := units.ParseFlowIn(answer, sc.flowUnit())
	if isNo(answer) || err == nil && v == 0 {
		return noFlow, nil
	}
	return whenFull(answer), nil
}

// heldAt says what a hold below its target means.
func (sc scene) heldAt(answer string) []string {
	v, err := units.ParsePressureIn(answer, sc.pressureUnit())
	if p := math.Abs(float64(v)); err == nil && p < leastTarget {
		return []string{fmt.Sprintf("held at %s Pa: answers at %d Pa are carried up from there by the exponent and are less certain", units.Fixed(p, 1), target)}
	}
	return nil
}

func rangeUsed(sc scene, _ key) (state, answer string) {
	if r := sc.hold.values().Range; r.Given() {
		return "done", r.Value
	}
	return "", ""
}

func takeRange(sc scene, _ key, answer string) ([]change, []string, error) {
	if r := sc.hold.values().Range; r.Given() {
		return []change{corrected(r.Pos, sheet.StringText(answer), sc.stamp())}, nil, nil
	}
	return sc.add(sc.hold, "range = "+sheet.StringText(answer)), nil, nil
}

// lastRange is the range last used, to be offered; open before any.
func (sc scene) lastRange() string {
	last := ""
	for _, h := range sc.book.Sheet().Holds {
		last = cmp.Or(h.Range.Value, last)
	}
	return cmp.Or(last, "open")
}

func (sc scene) statedArea() sheet.Area { return sc.hold.values().Opened[sc.opening].Area }

// measuredArea is what a record has: the area of an opening stands in the sheet before
// it is asked for.
func measuredArea(sc scene, k key) (state, answer string) {
	if state, _ = sc.settled(k); state != "" {
		answer = sc.statedArea().Text
	}
	return state, answer
}

func takeArea(sc scene, k key, answer string) ([]change, []string, error) {
	text, err := areas.text(sc.visit, answer)
	if err != nil {
		return nil, nil, err
	}
	note := sc.noted(k, "done", text)
	if have := sc.statedArea(); text != have.Text {
		note = both(corrected(have.Pos, sheet.StringText(text), sc.stamp()), note)
	}
	return []change{note}, nil, nil
}

// betweenPair is the pressure between the two spaces that the hold has.
func (sc scene) betweenPair() (have sheet.Pressure) {
	for _, r := range sc.hold.values().Readings {
		if r.Pressure.Given && r.Of.Name == sc.pair[0] && r.To.Name == sc.pair[1] {
			have = r.Pressure
		}
	}
	return have
}

// keepZone declares a zone that perhaps only the reading to be withdrawn has
// declared, by its name: it is to be asked for again.
func (sc scene) keepZone(withdrawn []change) []change {
	if z, ok := sc.book.Sheet().Zone(sc.pair[0]); ok && z.Implied {
		return andThen(withdrawn, atEnd(zoneBlock(sc.pair[0])))
	}
	return withdrawn
}

// addReading puts a reading into a hold in the everyday form, or where a hold
// written by hand has that in braces already, in there.
func (sc scene) addReading(text string) []change {
	of, to := sc.pair[0], sc.pair[1]
	form := "to_" + to
	entry := sheet.KeyText(of) + " = " + text
	if to != sheet.HouseName && to != sheet.OutsideName && sc.hold.last {
		return []change{atEnd(fmt.Sprintf("\n[[hold.readings]]\nof = %s\nto = %s\npressure = %s", sheet.StringText(of), sheet.StringText(to), text))}
	}
	changes := sc.add(sc.hold, form+"."+entry)
	for _, r := range sc.hold.values().Readings {
		if r.Form == form {
			return append(changes, inBraces(r.Pos, entry))
		}
	}
	return changes
}
