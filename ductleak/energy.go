package ductleak

import (
	"cmp"
	"math"
	"slices"

	"holdbook/internal/fit"
	"holdbook/units"
)

// Energy is an energy in joules.
type Energy float64

// Units that fuel is sold in: the kilowatt-hour is exact, the therm and the
// million Btu follow from the International Table Btu.
const (
	KilowattHour Energy = 3.6e6
	MillionBtu   Energy = 1055.05585262e6
	Therm        Energy = MillionBtu / 10
)

// YearInput is a heating or cooling season, from the user's own numbers:
// either RunTime with the equipment's output, or HeatLoss with DegreeDays.
type YearInput struct {
	RunTime    units.Estimate[units.Time]  // a year, of the equipment
	Output     units.Estimate[units.Power] // of the equipment; its sign does not matter
	HeatLoss   units.Estimate[units.Ratio] // of the house, W/K
	DegreeDays float64                     // K·day a year
	Efficiency units.Estimate[units.Ratio] // output over energy bought; above 1 for heat pumps and cooling
	Price      float64                     // per joule bought, in the user's money; 0 where not given
}

// YearResult is energy bought and its cost in a year.
type YearResult struct {
	Bought units.Estimate[Energy]
	Lost   units.Estimate[Energy] // by the ducts: all causes together
	Saved  []YearSaving
	Cost   units.Estimate[units.Ratio] // in the user's money; all zero without a price
	// LostCost is Lost in the user's money.
	LostCost units.Estimate[units.Ratio]
	ByCause  []YearLoss
}

// YearLoss is what one cause costs in a year.
type YearLoss struct {
	Cause  Cause
	Energy units.Estimate[Energy]
	Cost   units.Estimate[units.Ratio]
}

// YearSaving is what one repair saves in a year.
type YearSaving struct {
	Repair Repair
	Energy units.Estimate[Energy]
	Cost   units.Estimate[units.Ratio]
}

// Year carries the losses of a system through a year. With run time the
// energy bought is E·t/efficiency; with degree-days it is the house's load,
// heat loss times degree-days, over distribution efficiency and efficiency.
func (r LossResult) Year(in YearInput) (YearResult, error) {
	if err := in.check(); err != nil {
		return YearResult{}, err
	}
	if len(r.repeats) == 0 {
		return YearResult{}, wrong("duct losses", "work them out with DistributionEfficiency first", "there are none")
	}
	y := in.spread(r)
	y.Cost, y.LostCost = in.cost(y.Bought), in.cost(y.Lost)
	for i := range y.ByCause {
		y.ByCause[i].Cost = in.cost(y.ByCause[i].Energy)
	}
	for i := range y.Saved {
		y.Saved[i].Cost = in.cost(y.Saved[i].Energy)
	}
	return y, cmp.Or(checkResult("yearly energy", y.Bought, y.Lost), checkResult("yearly cost", y.Cost, y.LostCost))
}

// spread works every energy on the same repeats as the losses, so that what
// goes together stays together.
func (in YearInput) spread(r LossResult) YearResult {
	efficiency := r.repeats[efficiencyColumn]
	repeat := 0
	bought := fit.Simulate(fit.Random(seed, 1), len(efficiency.Values), func(n fit.Noise) []float64 {
		if n.None() {
			return []float64{in.bought(n, efficiency.Central)}
		}
		repeat++
		return []float64{in.bought(n, efficiency.Values[repeat-1])}
	})[0]
	share := func(column int, of func(float64) float64) units.Estimate[Energy] {
		out := fit.Simulated{Central: bought.Central * of(r.repeats[column].Central)}
		for i, v := range r.repeats[column].Values {
			out.Values = append(out.Values, bought.Values[i]*of(v))
		}
		return estimateOf[Energy](out)
	}
	same := func(v float64) float64 { return v }
	y := YearResult{Bought: estimateOf[Energy](bought)}
	y.Lost = share(efficiencyColumn, func(v float64) float64 { return 1 - v })
	for _, l := range r.Losses {
		y.ByCause = append(y.ByCause, YearLoss{Cause: l.Cause, Energy: share(causeColumn+slices.Index(causes, l.Cause), same)})
	}
	for i, g := range r.Gains {
		y.Saved = append(y.Saved, YearSaving{Repair: g.Repair, Energy: share(repairColumn(i)+1, same)})
	}
	return y
}

func (in YearInput) bought(n fit.Noise, distribution float64) float64 {
	efficiency := float64(value(n, in.Efficiency))
	if in.RunTime.Value > 0 {
		output := math.Abs(float64(value(n, in.Output)))
		return output * float64(value(n, in.RunTime)) / efficiency
	}
	const day = 86400
	return float64(value(n, in.HeatLoss)) * in.DegreeDays * day / (distribution * efficiency)
}

func (in YearInput) cost(e units.Estimate[Energy]) units.Estimate[units.Ratio] {
	price := units.Ratio(in.Price)
	return units.Estimate[units.Ratio]{
		Value: units.Ratio(e.Value) * price, Low: units.Ratio(e.Low) * price, High: units.Ratio(e.High) * price,
	}
}

func (in YearInput) check() error {
	if err := cmp.Or(
		checkPositiveEstimate("equipment efficiency", in.Efficiency),
		checkEstimate("run time", in.RunTime),
		checkEstimate("air-handler output", in.Output),
		checkEstimate("heat loss of the house", in.HeatLoss),
		checkNotNegative("price", units.Known(units.Ratio(in.Price))),
		checkNotNegative("run time", units.Known(in.RunTime.Value)),
		checkNotNegative("degree-days", units.Known(units.Ratio(in.DegreeDays)))); err != nil {
		return err
	}
	const year = 366 * 86400
	switch {
	case in.RunTime.Value > year:
		return wrong("run time", "give the hours of one year", "it is longer than a year")
	case in.RunTime.Value > 0 && in.Output.Value == 0:
		return wrong("air-handler output", "give it beside the run time", "it is zero")
	case in.RunTime.Value == 0 && (in.DegreeDays == 0 || in.HeatLoss.Value <= 0):
		return wrong("year", "give run time, or degree-days with the heat loss of the house", "neither is given")
	}
	return nil
}
