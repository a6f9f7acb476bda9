package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// Owner is the first page: what the owner of a house should know, in plain words, with
// pictures of where the air comes in.
type Owner struct {
	Sentences []string
	Pictures  []Drawing
}

// owner is the first page of the findings.
func owner(f *survey.Findings) *Owner {
	o := &Owner{}
	for _, s := range []string{howLeaky(f), throughWhere(f), whatItMeans(f), whatToDo(f)} {
		if s != "" {
			o.Sentences = append(o.Sentences, s)
		}
	}
	for _, d := range []Drawing{
		{chartShares(f), "Of all the air that leaks in during the test; open and dashed where the readings only bound it."},
		{chartMap(f), "The house while the fan holds it: arrows as wide as the flow" + prefixed(", ", unitOf(each(f.Paths, flowNow)...)) +
			"; dashed where it is not resolved. Spaces are darker the more they are indoors."},
	} {
		if d.SVG != "" {
			o.Pictures = append(o.Pictures, d)
		}
	}
	return o
}

// howLeaky is the leakage, what it is like, and whether it is what was aimed at.
func howLeaky(f *survey.Findings) string {
	h := f.House
	if h.Flow50 == nil {
		return ""
	}
	v, _ := texts(h.Flow50)
	fan := map[bool]string{true: "blowing in", false: "pulling"}[f.Job.Hold == "pressurised"]
	s := "During the test, with a fan " + fan + " as hard as a wind of 20 mph (9 m/s) on every side at once (50 Pa), " + units.Put(v, h.Flow50.Unit) + " of air leaked through this house"
	if h.AirChanges50 != nil {
		v, _ := texts(h.AirChanges50)
		s += ": all its air " + v + " times an hour"
	}
	if t := f.Target; t != nil {
		s += ". The aim is " + inline(&t.Flow50) + ": " + cmp.Or(map[string]string{"meets": "reached", "fails": "not reached yet"}[t.Verdict], t.Verdict)
	}
	return s + "."
}

// throughWhere is the ways into the house, with their shares.
func throughWhere(f *survey.Findings) string {
	var known, open []string
	goes := map[bool]string{true: "went", false: "came"}[f.Job.Hold == "pressurised"]
	for _, x := range shares(f) {
		way := x.name
		if x.share == f.House.DirectShare {
			way += " (walls, windows, doors)"
		}
		if !x.resolved {
			open = append(open, way)
			continue
		}
		v, i := texts(x.share)
		if x.share.High > 2*x.share.Low {
			v = i
		}
		if len(known) == 0 {
			way = "of that air " + goes + " " + way
		}
		known = append(known, units.Put(v, x.share.Unit)+" "+way)
	}
	s := ""
	if len(known) > 0 {
		s = listed(known) + "."
	}
	if len(open) > 0 {
		s = joinWords(" ", s, "How much "+goes+" "+listed(open)+" the readings do not tell yet.")
	}
	return s
}

// listed is "a, b and c".
func listed(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// whatItMeans is what the leaks are like, what they cost, and what they carry.
func whatItMeans(f *survey.Findings) string {
	var parts []string
	if a := f.House.LeakArea4; a != nil && a.Value > 0 {
		side := units.Fixed(math.Sqrt(a.Value), 0)
		parts = append(parts, fmt.Sprintf("together the leaks are like one hole of %s by %s %s, open day and night", side, side, sideUnit(a.Unit)))
	}
	if d := f.Ducts; d != nil {
		for _, l := range d.Losses {
			if l.Cause == "all losses together" && l.Cost != nil {
				v, _ := texts(l.Cost)
				parts = append(parts, "what the ducts lose on the way costs about "+units.Put(v, l.Cost.Unit)+" a year")
			}
		}
	}
	if slices.ContainsFunc(f.SealFirst, func(c survey.SealChoice) bool { return c.Health }) {
		parts = append(parts, "air from the garage brings its fumes into the rooms: run no engine in it")
	}
	if len(parts) == 0 {
		return ""
	}
	return sentence(strings.Join(parts, "; ")) + "."
}

// sideUnit is the length whose square a unit of area is.
func sideUnit(u units.Unit) string {
	side := strings.TrimSuffix(u.Pretty(), "²")
	return cmp.Or(map[string]string{"in": "inches"}[side], side)
}

// burning are the appliances that are tested after sealing.
const burning = "furnace, water heater, stove and fireplace, where they burn fuel,"

// whatToDo is the order of sealing, and what the fan should show then.
func whatToDo(f *survey.Findings) string {
	if f.House.Doubt != "" {
		return "Before anything is sealed the test should be repeated: its readings do not fit each other."
	}
	w := f.WorkOrder
	if w == nil || len(w.Steps) == 0 {
		return "Test again after any sealing, and have " + burning + " tested before the crew leaves."
	}
	var steps []string
	for _, s := range w.Steps {
		steps = append(steps, sealWords(s.Between, s.Kinds))
	}
	s := "Have an air-sealing crew close these leaks, in this order: " + strings.Join(steps, ", ")
	if last := w.Steps[len(w.Steps)-1]; last.FanAfter != nil && bounded(last.FanAfter) && last.FanAfter.Value < w.FanNow.Value {
		s += "; closed wholly, they take away about " + tens(1-last.FanAfter.Value/w.FanNow.Value) + " % of the leakage"
		if far(w) {
			s += ", too little for the aim: the rest is spread over walls, windows and doors"
		}
	}
	return s + ". Before the crew leaves, " + burning + " must be tested, for a tighter house can draw their fumes into the rooms."
}

// tens is a share in percent, in tens from ten on.
func tens(share float64) string {
	if share < 0.1 {
		return percent(share)
	}
	return units.Fixed(100*share, -1)
}
