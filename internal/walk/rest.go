package walk

import (
	"math"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// restMatters is the baseline of the house from which those of its spaces are asked for. A
// space that was not read at rest stands at half of it, give or take as much: here three times
// the error of a gauge. Judgement.
const restMatters = units.Pressure(1.5)

// zoneBaselineRow reads a space with the fan covered.
var zoneBaselineRow = row{step: "baseline, {of}", inHold: true, ask: "baseline, {of} to house, fan covered ({unit})",
	kind:   pressures.reading(zoneBaseline, addZoneBaseline),
	lines:  shows("The house is not level with outdoors, so its spaces may not be either: the fan stays covered."),
	help:   []string{"the input hose in the {of}, the other tap open to the house; the sign as the gauge shows it"},
	refuse: scene.onlyBaseline}

// restSteps are the baselines of the spaces, where the house's says that they matter and is
// one number, so that they can stand beside it; and those that were settled before it was
// corrected.
func restSteps(sc scene) (list []step) {
	house := sc.hold.values().Baseline
	matters := house.Given && len(house.Samples) == 0 && math.Abs(float64(house.Value)) >= float64(restMatters)
	for _, sc.pair = range sc.hold.reads {
		if s := zoneBaselineRow.in(sc); matters || s.state != "" {
			list = append(list, s)
		}
	}
	return list
}

// zoneBaseline is that of the space, as the hold has it.
func zoneBaseline(sc scene) sheet.Pressure {
	all := sc.hold.values().ZoneBaselines
	if i := slices.IndexFunc(all, func(r sheet.Reading) bool { return r.Of.Name == sc.pair[0] }); i >= 0 {
		return all[i].Pressure
	}
	return sheet.Pressure{}
}

// addZoneBaseline puts the baseline of a space beside that of the house.
func addZoneBaseline(sc scene, text string) []change {
	h, entry := sc.hold.values(), sheet.KeyText(sc.pair[0])+" = "+text
	last := h.Baseline.Pos
	if n := len(h.ZoneBaselines); n > 0 {
		last = h.ZoneBaselines[n-1].Pressure.Pos
	}
	return append([]change{behind(last, entry), intoTable(h.Baseline.Pos, sheet.HouseName, entry)}, sc.add(sc.hold, "baseline."+entry)...)
}

// addBaseline puts the baseline of the house into its hold, beside those of the spaces that
// stayed there when it was withdrawn.
func addBaseline(sc scene, text string) []change {
	entry := sheet.HouseName + " = " + text
	var list []change
	for _, r := range sc.hold.values().ZoneBaselines {
		list = append(list, inBraces(r.Pos, entry))
	}
	if list != nil {
		list = append(list, sc.add(sc.hold, "baseline."+entry)...)
	}
	return append(list, sc.add(sc.hold, "baseline = "+text)...)
}
