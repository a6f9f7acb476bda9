package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// workOrder is the sealing as a crew does it, a section a step. Its flows are what the
// fan's gauge shows, and no others.
func workOrder(w *survey.WorkOrder, j survey.Job, choices []survey.SealChoice) []Section {
	head := Section{ID: "order", Heading: "Work order: " + title(j)}
	if w.Doubt != "" {
		head.Lead = append(head.Lead, "DO NOT SEAL YET: "+w.Doubt+". What follows counts on readings that do not fit each other.")
	}
	head.Lead = append(head.Lead, nowLine(w))
	stop := Section{ID: "stop", Lead: []string{wholeLine(w)}}
	for _, line := range []string{stopLine(w), airLine(w)} {
		if line != "" {
			stop.Lead = append(stop.Lead, line)
		}
	}
	list := []Section{head, stop}
	for _, s := range w.Steps {
		list = append(list, workStep(s, len(w.Steps)))
	}
	return append(list, afterSteps(w, choices))
}

// nowLine says what the gauge shows to begin with.
func nowLine(w *survey.WorkOrder) string {
	if w.FanNow == nil {
		return "No door-fan flow was read: what the fan should show is not known. Read it before the first step and after each."
	}
	line := "Fan as found, house held at 50 Pa: " + inline(w.FanNow) + ". Every number here is what its gauge shows"
	if w.FlowRange != "" {
		return line + ", flow range " + w.FlowRange + ": keep that range."
	}
	return line + ": keep the flow range it was read in."
}

// wholeLine says loudly how much of each leak is taken to be sealed.
func wholeLine(w *survey.WorkOrder) string {
	if w.Fraction >= 1 {
		return "IF ALL OF IT IS SEALED: each number counts on the whole leak being closed. Crews rarely get all: --fraction 0.8 counts on 80 %."
	}
	return fmt.Sprintf("IF %s %% OF EACH LEAK IS SEALED: each number counts on that.", number(100*w.Fraction))
}

// outOfReach is the chance to be at the target after the last step below which a crew is
// told beforehand that it will not be. Judgement.
const outOfReach = 0.05

// far tells whether the target is out of reach of the steps.
func far(w *survey.WorkOrder) bool {
	n := len(w.Steps)
	return n > 0 && w.Steps[n-1].TargetMet != nil && *w.Steps[n-1].TargetMet < outOfReach
}

// stopLine says where the target is reached, or that it will not be.
func stopLine(w *survey.WorkOrder) string {
	if w.StopAt == nil {
		return ""
	}
	if far(w) {
		n := len(w.Steps)
		return fmt.Sprintf("THE TARGET IS OUT OF REACH of these jobs: the fan would have to show %s (chance %s %% after the last). More must be closed elsewhere; look for the leaks straight to outside.",
			inline(w.StopAt), units.Chance(*w.Steps[n-1].TargetMet))
	}
	line := "STOP when the fan shows " + inline(w.StopAt) + " or less: the target"
	var chances []string
	for _, s := range w.Steps {
		if s.TargetMet != nil {
			chances = append(chances, fmt.Sprintf("%s %% after step %d", units.Chance(*s.TargetMet), s.Step))
		}
		if s.TargetMet != nil && *s.TargetMet > 0.99 {
			break
		}
	}
	return line + prefixed(". Chance to be there: ", strings.Join(chances, ", ")) + "."
}

// airLine says from which step on the house is short of air.
func airLine(w *survey.WorkOrder) string {
	if k := w.AirShortAfter; k > 0 {
		return fmt.Sprintf("STOP for air after step %d, unless a ventilation fan of %s then runs all day (ASHRAE 62.2): tell the owner first.", k, inline(w.Steps[k-1].FanNeeded))
	}
	if n := len(w.Steps); n > 0 && w.Steps[n-1].FanNeeded != nil {
		line := "Air: after the last step a ventilation fan of " + inline(w.Steps[n-1].FanNeeded) + " should run all day (ASHRAE 62.2)"
		if w.FanThere != nil {
			line += "; the sheet has one of " + inline(w.FanThere)
		}
		return line + "."
	}
	return ""
}

// workStep is one step: where to look, what the gauge shows before and after, and a place
// to write down what it does.
func workStep(s survey.WorkStep, of int) Section {
	heading := fmt.Sprintf("%d. %s", s.Step, sealTitle(s.Between, s.Kinds))
	if s.Health {
		heading += " (first for health, whatever its size)"
	}
	if s.Hours > 0 {
		heading += ", " + number(s.Hours) + " h"
	}
	out := Section{ID: "step-" + strconv.Itoa(s.Step), Heading: heading}
	if len(s.Look) > 0 {
		out.Lead = append(out.Lead, "Look at: "+strings.Join(s.Look, "; ")+" (common practice, no source).")
	}
	for _, n := range s.Notes {
		out.Lead = append(out.Lead, "Note of the sheet: "+n)
	}
	fill := Fill{Label: "Gauge shows"}
	if s.FanBefore != nil && s.FanAfter != nil {
		out.Lead = append(out.Lead, gaugeLine(s))
		fill.Unit = s.FanAfter.Unit.Pretty()
	}
	out.Fill = []Fill{fill, {Label: "done by"}}
	return out
}

// gaugeLine is what the gauge shows before a step and should show after it.
func gaugeLine(s survey.WorkStep) string {
	now, _ := texts(s.FanBefore)
	after, span := texts(s.FanAfter)
	if !s.Resolved {
		return fmt.Sprintf("Gauge %s %s; after, anything in %s: the readings do not resolve this leak (%s less).", before(s), units.Put(now, s.FanBefore.Unit), units.Put(span, s.FanAfter.Unit), unresolvedSpan(s.FanFalls))
	}
	return fmt.Sprintf("Gauge %s %s; after %s (%s), that is %s less.", before(s), units.Put(now, s.FanBefore.Unit), units.Put(after, s.FanAfter.Unit), span, inline(s.FanFalls))
}

// before is when the gauge shows what stands before a step: only the first is read already.
func before(s survey.WorkStep) string {
	if s.Step == 1 {
		return "now"
	}
	return "before it"
}

// unresolvedSpan is an interval whose middle says nothing.
func unresolvedSpan(q *survey.Q) string {
	_, i := texts(q)
	return units.Put(i, q.Unit)
}

// afterSteps is what holds for all steps, and what is left.
func afterSteps(w *survey.WorkOrder, choices []survey.SealChoice) Section {
	s := Section{ID: "after-steps", Heading: "After each step"}
	if len(w.Steps) > 0 && w.FanNow != nil {
		s.Lead = append(s.Lead, "Hold 50 Pa again and read. Above the range: the leak is not closed, keep looking; if it stays, write it down and go on. Below the range: something else was closed, look what.")
	}
	if w.StopAt != nil && !far(w) {
		s.Lead = append(s.Lead, "At "+inline(w.StopAt)+" or less: stop, whatever steps are left.")
	}
	if slices.ContainsFunc(choices, func(c survey.SealChoice) bool { return c.Direct }) {
		s.Lead = append(s.Lead, "Not one job: the leaks straight to outside, through windows, doors and outer walls; find them by hand or smoke while the house is held.")
	}
	return s
}

// leaving is what is done before the crew goes.
func leaving(list []survey.Notice) Section {
	s := Section{ID: "leaving", Heading: "Before leaving", Notices: unnumbered(list)}
	s.Fill = []Fill{{Label: "Spillage test, worst case"}, {Label: "fan at 50 Pa"}, {Label: "date, name"}}
	return s
}

// sealWords is a path in the words of an owner.
func sealWords(between, kinds [2]string) string {
	if i := slices.Index(kinds[:], "ducts"); i >= 0 {
		if between[1-i] == "house" || between[1-i] == "outside" {
			return between[i] + " to " + between[1-i]
		}
		return between[i] + " in the " + between[1-i]
	}
	a, b := between[0], between[1]
	if a == "house" {
		a, b = b, a
	}
	return a + " to " + b
}

// sealTitle is a path in the words of a crew: which space, and on which side of it.
func sealTitle(between, kinds [2]string) string {
	names := slices.Clone(between[:])
	if i := slices.Index(names, "house"); i >= 0 {
		return sentence(names[1-i]) + ", towards the house"
	}
	if i := slices.Index(names, "outside"); i >= 0 {
		return sentence(names[1-i]) + ", towards outside"
	}
	if i := slices.Index(kinds[:], "ducts"); i >= 0 {
		return sentence(names[i]) + " where they run through the " + names[1-i]
	}
	return "Between " + names[0] + " and " + names[1]
}
