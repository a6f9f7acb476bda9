package ductleak

import (
	"fmt"
	"slices"

	"holdbook/units"
)

// tallies collect the simulated repeats of every result. All repeats name the
// results in one order, so that a name is looked up for the first of them only.
type tallies struct {
	names   []string
	columns [][]float64
	next    int // column of the result that comes next
}

// begin starts a repeat.
func (t *tallies) begin() { t.next = 0 }

func (t *tallies) add(name string, v float64) {
	if t.next == len(t.names) {
		t.names, t.columns = append(t.names, name), append(t.columns, nil)
	}
	t.columns[t.next] = append(t.columns[t.next], v)
	t.next++
}

// of are the repeats of a result; nil for a name that has none.
func (t *tallies) of(name string) []float64 {
	if i := slices.Index(t.names, name); i >= 0 {
		return t.columns[i]
	}
	return nil
}

// spread fills the result from the inputs themselves and from simulated
// repeats of them.
func (r *LossResult) spread(nominal lossPoint) {
	s, t := newSimulator(), &tallies{}
	for range lossDraws {
		r.Input.tally(t, r.Input.point(&s).plausible())
	}
	r.repeats = t
	now := &tallies{}
	r.Input.tally(now, nominal)
	ratio := func(name string) units.Estimate[units.Ratio] {
		return estimateOf(units.Ratio(now.of(name)[0]), t.of(name))
	}
	r.Effectiveness, r.Corrected = ratio("effectiveness"), ratio("corrected")
	r.LoadFactor, r.Efficiency = ratio("load"), ratio("efficiency")
	r.SupplyFraction, r.ReturnFraction = ratio("supply"), ratio("return")
	r.Net = estimateOf(units.Flow(now.of("net")[0]), t.of("net"))
	r.Exchange = estimateOf(units.Flow(now.of("exchange")[0]), t.of("exchange"))
	r.Limited = nominal.evaluate().limited
	for _, c := range causes {
		if c == EquipmentEffects && nominal.equipment == 1 || c == Infiltration && nominal.natural == 0 {
			continue
		}
		r.Losses = append(r.Losses, Lost{Cause: c, Share: ratio(string(c))})
	}
	for _, repair := range r.Input.repairs() {
		r.Gains = append(r.Gains, Gain{
			Repair: repair, Efficiency: ratio(efficiencyAfter[repair]), Saving: ratio(savingOf[repair]),
		})
	}
}

// lossDraws is fewer than draws, since each evaluates up to four systems: the ends
// of the intervals are then good to 1.5 % of the interval.
const lossDraws = 2000

// tally evaluates one set of true values, as found and after each repair.
func (in LossInput) tally(t *tallies, p lossPoint) {
	t.begin()
	o := p.evaluate()
	t.add("effectiveness", float64(o.Effectiveness))
	t.add("corrected", o.corrected)
	t.add("load", o.loadFactor)
	t.add("efficiency", o.efficiency)
	t.add("supply", 1-float64(o.SupplyKept))
	t.add("return", 1-float64(o.ReturnKept))
	t.add("net", o.net)
	t.add("exchange", o.exchange)
	for i, share := range o.shares() {
		t.add(string(causes[i]), share)
	}
	for _, repair := range in.repairs() {
		after := in.repaired(p, repair).evaluate().efficiency
		t.add(efficiencyAfter[repair], after)
		t.add(savingOf[repair], 1-o.efficiency/after)
	}
}

// The names of what a repair brings among the repeats.
var (
	efficiencyAfter = map[Repair]string{Sealing: "efficiency, sealed", Insulate: "efficiency, insulated", SealBoth: "efficiency, both"}
	savingOf        = map[Repair]string{Sealing: "saving, sealed", Insulate: "saving, insulated", SealBoth: "saving, both"}
)

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
