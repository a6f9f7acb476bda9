package command

import (
	"slices"
	"time"

	"holdbook/internal/advise"
	"holdbook/internal/check"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
)

// drawsOfAWalk end the sampling while somebody waits beside the fan. Houses of up to three
// or four zones need fewer; of larger ones the report tells the last digits.
const drawsOfAWalk = 2000

// adviser tells a walk what the readings say so far.
type adviser struct {
	working func(what string) (end func()) // says that it takes long
}

// Known implements walk.Adviser.
func (a adviser) Known(s *sheet.Sheet) ([]walk.Known, []walk.Warning, error) {
	defer a.working("estimating")()
	f, err := survey.Run(s, survey.Options{MostDraws: drawsOfAWalk})
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
	plan, err := advise.Next(s, advise.NextOptions{Options: survey.Options{MostDraws: drawsOfAWalk}})
	if err != nil {
		return nil, "", err
	}
	if plan.Visit {
		return nil, plan.Text, nil
	}
	var list []walk.Offer
	for _, a := range plan.Actions {
		list = append(list, walk.Offer{What: a.What, How: a.How, Caution: a.Caution, Minutes: a.Minutes, Gain: a.Gain, Hold: a.Hold})
	}
	return list, plan.Text, nil
}
