package ductleak

import (
	"fmt"

	"holdbook/internal/fit"
	"holdbook/units"
)

// The columns of what is simulated. Behind the causes stand two for each repair: the
// efficiency after it and the saving.
const (
	effectivenessColumn = iota
	correctedColumn
	loadColumn
	efficiencyColumn
	supplyColumn
	returnColumn
	netColumn
	exchangeColumn
	causeColumn
)

// repairColumn is the first of a repair, by its place among the repairs.
func repairColumn(i int) int { return causeColumn + len(causes) + 2*i }

// lossDraws is fewer than draws, since each evaluates up to four systems: the ends
// of the intervals are then good to 1.5 % of the interval.
const lossDraws = 2000

// spread fills the result from the inputs themselves and from simulated
// repeats of them.
func (r *LossResult) spread(nominal lossPoint) {
	r.repeats = fit.Simulate(fit.Random(seed, 1), lossDraws, func(n fit.Noise) []float64 {
		if n.None() {
			return r.Input.columns(nominal)
		}
		return r.Input.columns(r.Input.point(n).plausible())
	})
	ratio := func(column int) units.Estimate[units.Ratio] { return estimateOf[units.Ratio](r.repeats[column]) }
	r.Effectiveness, r.Corrected = ratio(effectivenessColumn), ratio(correctedColumn)
	r.LoadFactor, r.Efficiency = ratio(loadColumn), ratio(efficiencyColumn)
	r.SupplyFraction, r.ReturnFraction = ratio(supplyColumn), ratio(returnColumn)
	r.Net, r.Exchange = estimateOf[units.Flow](r.repeats[netColumn]), estimateOf[units.Flow](r.repeats[exchangeColumn])
	r.Limited = nominal.evaluate().limited
	for i, c := range causes {
		if c == EquipmentEffects && nominal.equipment == 1 || c == Infiltration && nominal.natural == 0 {
			continue
		}
		r.Losses = append(r.Losses, Lost{Cause: c, Share: ratio(causeColumn + i)})
	}
	for i, repair := range r.Input.repairs() {
		r.Gains = append(r.Gains, Gain{Repair: repair, Efficiency: ratio(repairColumn(i)), Saving: ratio(repairColumn(i) + 1)})
	}
}

// columns evaluates one set of true values, as found and after each repair.
func (in LossInput) columns(p lossPoint) []float64 {
	o := p.evaluate()
	row := []float64{float64(o.Effectiveness), o.corrected, o.loadFactor, o.efficiency,
		1 - float64(o.SupplyKept), 1 - float64(o.ReturnKept), o.net, o.exchange}
	shares := o.shares()
	row = append(row, shares[:]...)
	for _, repair := range in.repairs() {
		after := in.repaired(p, repair).evaluate().efficiency
		row = append(row, after, 1-o.efficiency/after)
	}
	return row
}

func (in LossInput) repairs() []Repair {
	if in.Insulated > 0 {
		return []Repair{Sealing, Insulate, SealBoth}
	}
	return []Repair{Sealing}
}

// repaired is the system after a repair. Ducts better insulated than asked
// for stay as they are.
func (in LossInput) repaired(p lossPoint, repair Repair) lossPoint {
	left := units.Flow(1 - in.Sealed)
	if in.Sealed == 0 {
		left = 0
	}
	for _, side := range []*DeliverySide{&p.delivery.Supply, &p.delivery.Return} {
		if repair != Insulate {
			side.Leakage *= left
		}
		if repair != Sealing {
			side.Resistance = max(side.Resistance, in.Insulated)
		}
	}
	return p
}

// doubts names the inputs and results outside what is commonly met. The guards
// are judgement.
func (in LossInput) doubts(r LossResult) []string {
	var out []string
	doubt := func(ok bool, format string, args ...any) {
		if !ok {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	percent := func(e units.Estimate[units.Ratio]) float64 { return 100 * float64(e.Value) }
	doubt(r.SupplyFraction.Value <= 0.35, "supply leakage is %.0f %% of air-handler flow; above 35 %% is rare", percent(r.SupplyFraction))
	doubt(r.ReturnFraction.Value <= 0.35, "return leakage is %.0f %% of air-handler flow; above 35 %% is rare", percent(r.ReturnFraction))
	de := r.Effectiveness.Value
	doubt(de >= 0.45 && de <= 0.97, "delivery effectiveness is %.0f %%; 45 to 97 %% is usual", 100*float64(de))
	if in.Output.Value > 0 {
		rise := float64(r.Point.Rise)
		doubt(rise >= 25*5.0/9 && rise <= 80*5.0/9, "the temperature rise of %.0f K is outside 14 to 44 K: check output and flow", rise)
	}
	doubt(!r.Limited, "effectiveness with regain came out outside 25 to 100 %% and is held there")
	return out
}
