package survey

import (
	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// addYear adds what each cause costs in a year, and what each repair saves.
func addYear(c *Case, log *Log, w *ductWork, r ductleak.LossResult, in ductleak.LossInput) {
	run := c.Sheet.Running
	if run == nil {
		return
	}
	if !run.Efficiency.Given {
		log.Notice(Note, "running", "a year's cost needs running.efficiency too")
		return
	}
	y, ok := yearInput(log, w, *run, in)
	if !ok {
		return
	}
	out, err := r.Year(y)
	if err != nil {
		log.Notice(Note, "running", "a year's cost was not worked out: %s", readingFault(err))
		return
	}
	money := yearUnit(*run)
	for i := range w.d.Losses {
		l := &w.d.Losses[i]
		for _, loss := range out.ByCause {
			if l.Cause == string(loss.Cause) {
				l.Cost = money(loss.Energy, loss.Cost)
			}
		}
		for _, s := range out.Saved {
			if l.Cause == "gain of "+string(s.Repair) {
				l.Cost = money(s.Energy, s.Cost)
			}
		}
	}
	if q := money(out.Lost, out.LostCost); q != nil {
		w.d.Losses = append(w.d.Losses, Loss{Cause: "all losses together", Cost: q})
	}
}

// yearInput is the season: run hours with the output, or degree-days with a
// heat loss guessed from the output.
func yearInput(log *Log, w *ductWork, run sheet.Running, in ductleak.LossInput) (ductleak.YearInput, bool) {
	y := ductleak.YearInput{Efficiency: ductleak.Exactly(run.Efficiency.Value), Output: in.Output}
	if run.Price.Given {
		y.Price = run.Price.PerJoule
	}
	if run.Hours.Given && run.Hours.Value > 0 {
		y.RunTime = ductleak.Exactly(units.Time(units.Hour.ToSI(float64(run.Hours.Value))))
		return y, true
	}
	days := run.DegreeDays
	if in.Output.Value < 0 {
		days = run.CoolingDegreeDays
	}
	if !days.Given || days.Value <= 0 {
		log.Notice(Note, "running", "a year's cost needs running.hours or the degree-days of the season")
		return y, false
	}
	rise := float64(in.Indoor.Value - in.Outdoor.Value)
	full := float64(in.Output.Value) / rise
	if !(full > 0) {
		log.Notice(Note, "running", "a year's cost needs running.hours: output and temperatures do not tell the house's heat loss")
		return y, false
	}
	y.DegreeDays = float64(days.Value)
	y.HeatLoss = units.Estimate[units.Ratio]{Value: units.Ratio(full / 1.4), Low: units.Ratio(full / 2), High: units.Ratio(full)}
	w.d.Notes = append(w.d.Notes, "A year: the house's heat loss is guessed from the output, taken as 1 to 2 times what the outdoor temperature of the sheet asks for (judgement); running.hours would settle it.")
	return y, true
}

// yearUnit gives energies or, where the sheet has a price, money.
func yearUnit(run sheet.Running) func(units.Estimate[ductleak.Energy], units.Estimate[units.Ratio]) *Q {
	return func(e units.Estimate[ductleak.Energy], cost units.Estimate[units.Ratio]) *Q {
		if !run.Price.Given {
			return toQ(e, units.Joule)
		}
		return toQ(cost, units.Named(units.Sanitize(run.Price.Currency)))
	}
}
