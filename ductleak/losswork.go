package ductleak

import (
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

const from152 = "ASHRAE 152, as given in the residential energy literature of NREL"

// Working shows the losses line by line.
func (r LossResult) Working(s units.System) []Worked {
	lines := append(r.air(s), r.effectiveness(s)...)
	return append(lines, r.efficiency(s)...)
}

// air is the path of the air from register to register.
func (r LossResult) air(s units.System) []Worked {
	w, in, p := writer{s}, r.Input, r.Point
	flow, heat := w.flow(in.Flow.Value), w.airHeat(in.Air)
	_, sensible := in.point(fit.Noise{}).delivery.defaults()
	return []Worked{
		worked(from152, "Temperature rise = {E}/({ρ·cp}·{Q})", w.difference(float64(p.Rise)), "E", w.power(in.Output.Value), "ρ·cp", heat, "Q", flow),
		worked(from152, "Supply air kept = 1 − {Qs}/{Q}", w.ratio(p.SupplyKept), "Qs", w.flow(in.Supply.Leakage.Value), "Q", flow),
		worked(from152, "Return air kept = 1 − {Qr}/{Q}", w.ratio(p.ReturnKept), "Qr", w.flow(in.Return.Leakage.Value), "Q", flow),
		w.conduction("Supply", heat, in.Supply, in.Flow.Value, p.SupplyFactor),
		w.conduction("Return", heat, in.Return, in.Flow.Value, p.ReturnFactor),
		worked(from152, "Return plenum = {Ta} + {ar}·{Br}·({Ti} − {Ta})", w.temperature(p.ReturnPlenum),
			"Ta", w.temperature(in.Return.Ambient.Value), "ar", w.ratio(p.ReturnKept), "Br", w.ratio(p.ReturnFactor), "Ti", w.temperature(in.Indoor.Value)),
		worked(from152, "Supply plenum = {Tr} + {dT}·{sensible share}", w.temperature(p.Supplied),
			"Tr", w.temperature(p.ReturnPlenum), "dT", w.difference(float64(p.Rise)), "sensible share", w.ratio(units.Ratio(sensible))),
		worked(from152, "Supply registers = {Ta} + {Bs}·({Tp} − {Ta})", w.temperature(p.AtRegister),
			"Ta", w.temperature(in.Supply.Ambient.Value), "Bs", w.ratio(p.SupplyFactor), "Tp", w.temperature(p.Supplied)),
	}
}

func (w writer) conduction(which, heat string, l LossSide, q units.Flow, result units.Ratio) Worked {
	return worked(from152, which+" temperature kept = exp(−{A}/({ρ·cp}·{Q}·{R}))", w.ratio(result),
		"A", w.in(w.system.FloorArea(), float64(l.Surface.Value), 0), "ρ·cp", heat, "Q", w.flow(q), "R", w.resistance(l.Resistance.Value))
}

// airHeat is ρ·cp in the reader's units of power over flow and temperature:
// 1.08 Btu/(h·cfm·°F) at 0.075 lb/ft³.
func (w writer) airHeat(air units.Density) string {
	if air == 0 {
		air = standardAir
	}
	u := w.system
	v := float64(air) * airSpecificHeat * u.Flow().ToSI(1) * u.TemperatureDifference().ToSI(1) / u.Power().ToSI(1)
	return units.Fixed(v, 3)
}

func (w writer) resistance(r units.ThermalResistance) string {
	if math.IsInf(float64(r), 1) {
		return "no conduction"
	}
	return w.in(w.system.ThermalResistance(), float64(r), 2)
}

func (r LossResult) effectiveness(s units.System) []Worked {
	w, in, p := writer{s}, r.Input, r.Point
	ti, rise := w.temperature(in.Indoor.Value), w.difference(float64(p.Rise))
	tr, ts := w.temperature(in.Return.Ambient.Value), w.temperature(in.Supply.Ambient.Value)
	equation, leak := "; eq 6-23", worked(from152+"; eq 6-23", "Return leakage loss = (1 − {ar})·({Ti} − {Ta})/{dT}", w.ratio(p.ReturnLeakage),
		"ar", w.ratio(p.ReturnKept), "Ti", ti, "Ta", tr, "dT", rise)
	if in.Output.Value < 0 {
		equation, leak = "; eq 6-25", r.enthalpyLine(w)
	}
	return []Worked{
		leak,
		worked(from152+equation, "Return conduction loss = {ar}·(1 − {Br})·({Ti} − {Ta})/{dT}", w.ratio(p.ReturnConduction),
			"ar", w.ratio(p.ReturnKept), "Br", w.ratio(p.ReturnFactor), "Ti", ti, "Ta", tr, "dT", rise),
		worked(from152+equation, "Supply conduction loss = (1 − {Bs})·({Tp} − {Ta})/{dT}", w.ratio(p.SupplyConduction),
			"Bs", w.ratio(p.SupplyFactor), "Tp", w.temperature(p.Supplied), "Ta", ts, "dT", rise),
		worked(from152+equation, "Delivery effectiveness = {as}·(1 − {rl} − {rc} − {sc})", w.ratio(p.Effectiveness),
			"as", w.ratio(p.SupplyKept), "rl", w.ratio(p.ReturnLeakage), "rc", w.ratio(p.ReturnConduction), "sc", w.ratio(p.SupplyConduction)),
		worked(from152+"; eq 6-40", "Effectiveness with regain = {DE} + {regain}", w.ratio(p.Corrected),
			"DE", w.ratio(p.Effectiveness), "regain", w.ratio(p.Regain)),
	}
}

// enthalpyLine is the loss by return leakage where it brings moisture too.
func (r LossResult) enthalpyLine(w writer) Worked {
	in := r.Input
	kilojoules := func(t units.Temperature, h units.Ratio) string { return units.Fixed(Enthalpy(t, h)/1000, 2) + " kJ/kg" }
	air, _ := in.point(fit.Noise{}).delivery.defaults()
	output := units.Fixed(float64(in.Output.Value)/float64(air)/float64(in.Flow.Value)/1000, 2) + " kJ/kg"
	return worked(from152+"; eq 6-25", "Return leakage loss = (1 − {ar})·({h around the return} − {h indoors})/−({E/ρQ})", w.ratio(r.Point.ReturnLeakage),
		"ar", w.ratio(r.Point.ReturnKept), "h around the return", kilojoules(in.Return.Ambient.Value, in.Return.Humidity),
		"h indoors", kilojoules(in.Indoor.Value, in.IndoorHumidity), "E/ρQ", output)
}

func (r LossResult) efficiency(s units.System) []Worked {
	w, in := writer{s}, r.Input
	var lines []Worked
	if in.Natural.Value > 0 {
		lines = append(lines, r.exchangeLine(w),
			worked(from152, "Load factor = 1 − {ρ·cp}·({Qon} − {Qn})·({Ti} − {To})/({E})", w.ratio(r.LoadFactor.Value),
				"ρ·cp", w.airHeat(in.Air), "Qon", w.flow(r.Exchange.Value), "Qn", w.flow(in.Natural.Value),
				"Ti", w.temperature(in.Indoor.Value), "To", w.temperature(in.Outdoor.Value), "E", w.power(in.Output.Value)))
	}
	equipment := r.Input.point(fit.Noise{}).equipment
	return append(lines, worked(from152, "Distribution efficiency = {DE}·{load}·{equipment}", w.ratio(r.Efficiency.Value),
		"DE", w.ratio(r.Corrected.Value), "load", w.ratio(r.LoadFactor.Value), "equipment", w.ratio(units.Ratio(equipment))))
}

// exchangeLine is the half-of-imbalance rule in the case that applies.
func (r LossResult) exchangeLine(w writer) Worked {
	const half = "half-of-imbalance rule (Palmiter and Bond 1991), from memory"
	net, natural := r.Net.Value, r.Input.Natural.Value
	formula := "Air exchange, air handler on = {Qn} + ({net})/2, not below zero"
	if net >= 2*natural {
		formula = "Air exchange, air handler on = {net}, the net being twice {Qn} or more"
	}
	return worked(half, formula, w.flow(r.Exchange.Value), "Qn", w.flow(natural), "net", w.flow(net))
}
