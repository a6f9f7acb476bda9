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
		sc.opening = i
		switch {
		case o.Area.Given:
			list = append(list, areaRow.in(sc))
		case o.Ajar.Given:
			list = append(list, leafRow.in(sc), gapRow.in(sc))
		}
	}
	house := houseRow.in(sc)
	list = append(list, house)
	if house.state != "" && house.state != "done" {
		return list // without the house pressure nothing else in it can be used
	}
	list = append(list, fanRow.in(sc))
	for _, sc.pair = range sc.hold.fans {
		list = append(list, secondFanRow.in(sc))
	}
	for _, sc.pair = range sc.hold.reads {
		list = append(list, zoneRow.in(sc))
	}
	if sc.hold.values().Fan.Given {
		list = append(list, rangeRow.in(sc))
	}
	return list
}

// The readings of a hold.
var (
	// areaRow asks whether a hole of known size came out at the size proposed.
	areaRow = row{step: "area of opening {opening}", inHold: true, ask: "{hold}: area as measured ({unit})", kind: kind{standing: measured(statedArea), take: takeMeasured(statedArea, areas.text), unit: areas.symbol},
		preset: func(sc scene) string { text, _ := statedArea(sc); return text },
		help:   []string{"width times height of the free gap, such as 40 in2 or 250 cm2; within 3 %, sharp edges"}}
	// leafRow and gapRow ask for the size of what stands ajar.
	leafRow = row{step: "leaf of opening {opening}", inHold: true, field: TextField, ask: "{hold}: hatch or door, hinge side x width", kind: kind{standing: measured(statedLeaf), take: takeMeasured(statedLeaf, leafText)},
		preset: func(sc scene) string { text, _ := statedLeaf(sc); return text },
		help:   []string{"the hinge side first, such as 24 in x 30 in or 60 cm x 75 cm"}}
	gapRow = row{step: "gap of opening {opening}", inHold: true, ask: "{hold}: gap at the free edge ({unit})", kind: kind{standing: measured(statedGap), take: takeMeasured(statedGap, gaps.text), unit: gaps.symbol},
		preset: func(sc scene) string { text, _ := statedGap(sc); return text },
		help:   []string{"measured straight from the free edge to where it shuts, such as 4 in or 10 cm"}}
	houseRow = row{step: "house", inHold: true, ask: "{hold}: house to outside ({unit})",
		kind:  ofHold("house", pressures, func(h sheet.Hold) sheet.Pressure { return h.House }),
		lines: func(sc scene) []string { return stateOf(sc.hold) },
		once:  []string{"Bring the house to 50 Pa and let it settle."},
		write: []string{"full: the fan runs at full speed below 50 Pa"},
		help:  []string{"what the gauge shows, baseline still in it, such as {sign}50 or 50"}, choices: picks("full", "Full speed, and below 50 Pa"),
		refuse: func(_ scene, answer string) ([]string, error) { return whenFull(answer), nil },
		remark: scene.heldAt}
	fanRow = row{step: "fan", inHold: true, ask: "{hold}: fan flow ({unit})",
		kind:  ofHold("fan", flows, func(h sheet.Hold) sheet.Flow { return h.Fan }),
		write: []string{"none: the gauge shows no flow"}, help: []string{"the flow as the gauge shows it, such as 2280"}, choices: picks("none", "No flow shown"),
		refuse: scene.withoutFlow}
	// rangeRow asks for the flow range in use; readings on one range share part of
	// their calibration.
	rangeRow = row{step: "range", inHold: true, ask: "{hold}: flow range of the fan, as its label says", kind: kind{standing: rangeUsed, take: takeRange, place: func(sc scene) sheet.Pos { return sc.hold.values().Range.Pos }}, field: TextField, preset: scene.lastRange,
		remark: rangeApart,
		help:   []string{"the label of what is fitted to the fan's opening to make it smaller; open: nothing is; readings on one range share its calibration"}}
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
func baselineRow(name, ask string, k kind, line, help string) row {
	return row{step: name, inHold: true, ask: ask, kind: k, lines: shows(line), help: []string{help},
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
	if ref.hold == nil || ref.hold.AsFound() && len(ref.fans) == 0 && len(ref.hold.Guards) == 0 {
		return nil
	}
	var changes []string
	for _, f := range ref.fans {
		changes = append(changes, "a second fan from "+f[0]+" to "+f[1])
	}
	for _, o := range ref.hold.Opened {
		changes = append(changes, fmt.Sprintf("opened between %s and %s", o.Between[0].Name, o.Between[1].Name))
	}
	for _, c := range ref.hold.Sealed {
		changes = append(changes, fmt.Sprintf("sealed between %s and %s", c.Between[0].Name, c.Between[1].Name))
	}
	for _, g := range ref.hold.Guards {
		changes = append(changes, "a second fan holds "+g.Name+" level with the house")
	}
	return []string{units.Sanitize(ref.name) + ": " + units.SanitizeTo(strings.Join(changes, ", "), 300) + "; everything else as found, so undo what was opened or covered for another hold.",
		"Chosen by mistake? Skip leaves this hold out."}
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
	if err != nil {
		return nil
	}
	said := lessBaseline(sc, v, strings.ContainsAny(answer[:1], "+-−"))
	if p := math.Abs(float64(v)); p < leastTarget {
		return append(said, fmt.Sprintf("held at %s Pa: answers at %d Pa are carried up from there by the exponent and are less certain", units.Fixed(p, 1), target))
	}
	return said
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
	text := sheet.StringText(answer)
	return rangeToo(sc, sc.add(sc.hold, "range = "+text), text), nil, nil
}

// rangeApart says at once, while it can be read again, that a change stands in another flow
// range than the house as found.
func rangeApart(sc scene, answer string) []string {
	found := sc.firstHold()
	was := found.values().Range
	if !was.Given() || found.name == sc.hold.name || strings.EqualFold(was.Value, strings.TrimSpace(answer)) {
		return nil
	}
	return []string{"the house as found was read in range " + units.Sanitize(was.Value) + ": the calibration of two ranges does not cancel in what the change tells; read one of the two once more in the range of the other"}
}

// lastRange is the range last used, to be offered; open before any.
func (sc scene) lastRange() string {
	last := ""
	for _, h := range sc.book.Sheet().Holds {
		last = cmp.Or(h.Range.Value, last)
	}
	return cmp.Or(last, "open")
}

// What the sheet says of the size of an opening, and where.
func statedArea(sc scene) (string, sheet.Pos) {
	a := sc.hold.values().Opened[sc.opening].Area
	return a.Text, a.Pos
}

func statedGap(sc scene) (string, sheet.Pos) {
	a := sc.hold.values().Opened[sc.opening].Ajar
	return a.Text, a.Pos
}

func statedLeaf(sc scene) (string, sheet.Pos) {
	l := sc.hold.values().Opened[sc.opening].Leaf
	return l.Text, l.Pos
}

func leafText(_ visit, answer string) (string, error) {
	_, err := sheet.ParseLeaf(answer)
	return answer, err
}

// measured is what a record has: the size of an opening stands in the sheet before it is
// asked for.
func measured(stated func(scene) (string, sheet.Pos)) func(scene, key) (state, answer string) {
	return func(sc scene, k key) (state, answer string) {
		if state, _ = sc.settled(k); state != "" {
			answer, _ = stated(sc)
		}
		return state, answer
	}
}

func takeMeasured(stated func(scene) (string, sheet.Pos), read func(visit, string) (string, error)) func(scene, key, string) ([]change, []string, error) {
	return func(sc scene, k key, answer string) ([]change, []string, error) {
		text, err := read(sc.visit, answer)
		if err != nil {
			return nil, nil, err
		}
		note := sc.noted(k, "done", text)
		if have, at := stated(sc); text != have {
			note = both(corrected(at, sheet.StringText(text), sc.stamp()), note)
		}
		return []change{note}, nil, nil
	}
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
