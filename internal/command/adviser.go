package command

import (
	"fmt"
	"slices"
	"time"

	"holdbook/internal/advise"
	"holdbook/internal/check"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
	"holdbook/units"
)

// adviser tells a walk what the readings say so far.
type adviser struct {
	working func(what string) (end func()) // says that it takes long
}

// Known implements walk.Adviser.
func (a adviser) Known(s *sheet.Sheet) ([]walk.Known, []walk.Warning, error) {
	defer a.working("estimating")()
	f, err := survey.Run(s, survey.Options{MostDraws: advise.DrawsOfAWalk})
	if err == nil {
		f, err = report.View(f)
	}
	if err != nil {
		return nil, nil, err
	}
	var list []walk.Known
	add := func(of string, q *survey.Q, resolved bool) {
		if q != nil {
			list = append(list, walk.Known{Of: of, Value: q.Value, Low: q.Low, High: q.High, Unit: q.Unit.Symbol(), Resolved: resolved})
		}
	}
	add(wholeHouse(f), f.House.Flow50, true)
	for _, z := range f.Zones {
		add("through the "+z.Name, z.ThroughFlow50, z.Resolved)
		add("connection of the "+z.Name+" (0 outdoors, 1 indoors)", z.ConnectionFraction, true)
	}
	if f.Ducts != nil {
		add("duct leakage to outside at 25 Pa", f.Ducts.LeakageOutside25, true)
		for _, r := range f.Ducts.Registers {
			if r.Cover50 != nil {
				_, low, high := units.FormatInterval(r.Cover50.Value, r.Cover50.Low, r.Cover50.High)
				list = append(list, walk.Known{Of: "register " + r.Name, Value: r.Cover50.Value, Low: r.Cover50.Low, High: r.Cover50.High,
					Says: fmt.Sprintf("%s, at a hold of 50 Pa between %s and %s Pa: %s", r.Name, low, high, r.Verdict)})
			}
		}
	}
	var warnings []walk.Warning
	for _, i := range check.Sheet(s, survey.Options{}, time.Now()).Items {
		if i.Level == check.Remarks {
			continue
		}
		text := i.Text
		if i.Look != "" {
			text += "; look at: " + i.Look
		}
		warnings = append(warnings, walk.Warning{About: i.About, Text: text})
	}
	return list, warnings, nil
}

// wholeHouse names the flow of the house, which the air's density may put beside what
// the gauge of the fan has just shown.
func wholeHouse(f *survey.Findings) string {
	const name = "whole house at 50 Pa"
	if slices.ContainsFunc(f.Notices, func(n survey.Notice) bool { return n.About == survey.FanReadings }) {
		return name + ", for the density of the air,"
	}
	return name
}

// Next implements walk.Adviser.
func (a adviser) Next(s *sheet.Sheet) ([]walk.Offer, string, error) {
	defer a.working("predicting readings")()
	plan, err := advise.Next(s, advise.NextOptions{Options: survey.Options{MostDraws: advise.DrawsOfAWalk}})
	if err != nil {
		return nil, "", err
	}
	if plan.Visit {
		return nil, plan.Text, nil
	}
	return plan.Offers(), plan.Beyond(), nil
}
