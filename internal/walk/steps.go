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
func (v visit) steps() []step {
	sc := scene{visit: v, hold: v.firstHold()}
	list := sc.steps(hazardsRow)
	if _, worst := v.found(); worst == noTest {
		return append(list, noTestRow.in(sc))
	}
	list = append(list, sc.steps(beforeHold...)...)
	list = append(list, restSteps(sc)...)
	list = append(list, sc.steps(walkThrough...)...)
	list = append(list, sc.holdSteps()...)
	if mayBeCarried(v) {
		list = append(list, shownRow.in(sc))
	}
	list = append(list, sc.steps(aboutHouse...)...)
	for _, z := range v.book.Sheet().Zones {
		if z.Kind == sheet.DuctsKind {
			list = append(list, v.ductSteps(z.Name.Value)...)
		}
	}
	list = append(list, furtherHolds(v)...)
	return append(list, sc.steps(furtherRow, baselineAfterRow, restoreRow)...)
}

// beforeHold is what comes before the fan runs.
var beforeHold = []row{
	directionRow,
	{step: "appliances off", must: true, ask: allDone, write: listWrite, help: listHelp, kind: yes(scene.lately), lines: shows(appliancesList...), choices: listDone},
	{step: "set-up", must: true, ask: allDone, write: listWrite, help: listHelp, kind: yes(scene.lately), lines: shows(setUpList...), choices: listDone},
	{step: "units", must: true, field: TextField, ask: "units the gauges show: pressure and flow", kind: kind{standing: bareUnits, take: takeUnits},
		help:   []string{"two units, such as Pa cfm, Pa L/s or inH2O cfm; later a number alone is meant in them, and another unit may still be written"},
		preset: func(sc scene) string { return "Pa " + sc.system().Flow().Symbol() }},
	{step: "spaces", field: TextField, ask: "spaces beside the house, with commas between", kind: kind{standing: declaredSpaces, take: takeSpaces},
		lines: shows("Spaces that a hose can be pushed into: attic, garage, crawlspace, basement, ducts, …"),
		help:  []string{"each space that a hose can be pushed into, by any name; a name ends in its kind where it can: side garage", "ducts: the duct system, when there is one; none: only the house is measured"}},
	baselineRow("baseline", "baseline, house to outside, fan covered ({unit})", pressures.reading(func(sc scene) sheet.Pressure { return sc.hold.values().Baseline }, addBaseline),
		"Cover the fan. The baseline reads steady in about 20 s; keep its sign.",
		"the pressure with the fan covered, such as -1.2; its sign matters: below zero when the house is below outdoors"),
}

// walkThrough is the house at 25 Pa.
var walkThrough = []row{
	{step: "25 Pa and a walk through the house", must: true, ask: "25 Pa held, and every room walked through", write: listWrite, help: listHelp, kind: yes(recorded), choices: listDone,
		lines: shows("Uncover the fan and bring the house to 25 Pa first. Walk through it:",
			"- no window, door, hatch or damper has come open; no tile or cover has lifted",
			"- no ashes, dust or smell are drawn in; every flame is out",
			"- nobody and no animal is troubled")},
	lowHoldRow,
}

var (
	baselineAfterRow = baselineRow("baseline_after", "baseline again, fan covered ({unit})", ofHold("baseline_after", pressures, func(h sheet.Hold) sheet.Pressure { return h.BaselineAfter }),
		"Fan off and covered, everything else as it is: the baseline once more.",
		"shows how far the baseline drifted during the visit")
	restoreRow = row{step: restoreKey.step, must: true, ask: allDone, write: listWrite, help: listHelp, kind: yes(recorded), lines: restoreList, choices: listDone}
)

// allDone, listWrite and listHelp are the question and the help of a list that must be
// gone through.
const allDone = "all of that is done"

var listDone = picks("yes", "All of that is done")

var (
	listWrite = []string{"yes: every line of the list is done"}
	listHelp  = []string{"nothing else goes on from here; local code and licensed practice come first"}
)

// lately is what the records have of a safety list that has not grown old.
func (sc scene) lately(k key) (state, answer string) { return sc.current(k) }

// inTable adds a line to a table, which is made if it is not there yet.
func inTable(name string, at sheet.Pos, line string) []change {
	if at.Line > 0 {
		return []change{afterLine(at.Line, line)}
	}
	return []change{atEnd("\n[" + name + "]\n" + line)}
}

// bareUnits are those of bare numbers, as the sheet has them.
func bareUnits(sc scene, _ key) (state, answer string) {
	if b := sc.book.Sheet().Job.Bare; b.Pressure.Given() && b.Flow.Given() {
		return "done", b.Pressure.Value + " " + b.Flow.Value
	}
	return "", ""
}

func takeUnits(sc scene, k key, answer string) ([]change, []string, error) {
	p, f, err := twoUnits(answer)
	if err != nil {
		return nil, nil, err
	}
	if state, _ := bareUnits(sc, k); state != "" {
		return nil, nil, refusef("the sheet has its units; write another unit behind a number where you need it")
	}
	return inTable("job", sc.book.Sheet().Job.Pos, fmt.Sprintf("bare = { pressure = %s, flow = %s }", sheet.StringText(p), sheet.StringText(f))), nil, nil
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
func (v visit) pressureUnit() units.Unit {
	if u, err := units.ParsePressureUnit(v.book.Sheet().Job.Bare.Pressure.Value); err == nil {
		return u
	}
	return units.Pascal
}

func (v visit) flowUnit() units.Unit {
	if u, err := units.ParseFlowUnit(v.book.Sheet().Job.Bare.Flow.Value); err == nil {
		return u
	}
	return v.system().Flow()
}

func (v visit) system() units.System {
	system, err := units.ParseSystem(v.book.Sheet().Job.PrintUnits())
	if err != nil {
		return units.IP
	}
	return system
}

// zoneNames are the names of the zones of the sheet.
func (v visit) zoneNames() []string {
	var names []string
	for _, z := range v.book.Sheet().Zones {
		names = append(names, z.Name.Value)
	}
	return names
}

// declaredSpaces is what the records have of the spaces, or else the sheet.
func declaredSpaces(sc scene, k key) (state, answer string) {
	if state, answer = sc.settled(k); state != "" {
		return state, answer
	}
	if names := sc.zoneNames(); len(names) > 0 {
		return "done", strings.Join(names, ", ")
	}
	return "", answer
}

func takeSpaces(sc scene, k key, answer string) ([]change, []string, error) {
	text, names, wanted := "", sc.zoneNames(), []string(nil)
	for _, name := range strings.Split(answer, ",") {
		name = units.Sanitize(name)
		wanted = append(wanted, name)
		if name == "" || isNo(name) || slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) }) {
			continue
		}
		if !strings.ContainsFunc(name, unicode.IsLetter) {
			return nil, nil, refusef("%q is no name of a space; write names such as attic, garage", name)
		}
		text += zoneBlock(name)
		names = append(names, name)
	}
	note := sc.noted(k, "done", answer)
	if text != "" {
		note = both(atEnd(text), note)
	}
	note, said := dropped(sc, wanted, note)
	return []change{note}, said, nil
}

// zoneBlock declares a zone.
func zoneBlock(name string) string {
	return fmt.Sprintf("\n[[zone]]\nname = %s\nkind = %s\n", sheet.StringText(name), sheet.StringText(string(sheet.KindOf(name))))
}

// restoreList puts the house back.
func restoreList(sc scene) []string {
	lines := []string{
		"Put the house back as found (slow the fan before an outer door is opened):",
		"- fan off and covered",
		"- appliances as found, pilots lit by someone entitled to and seen to burn, dials and thermostats restored",
		"- doors, hatches, dampers and the garage door as found; covers off every register; hoses out",
	}
	for _, h := range sc.book.Sheet().Holds {
		for _, o := range h.Opened {
			lines = append(lines, fmt.Sprintf("- shut again: %s, between %s and %s", cmp.Or(units.Sanitize(o.Name.Value), "what was opened"), o.Between[0].Name, o.Between[1].Name))
		}
	}
	return slices.Compact(append(lines,
		"- where something was sealed: a worst-case draft test of every vented appliance before leaving",
		"- your car keys are where you left them"))
}
