package ductleak

import (
	"math"

	"holdbook/internal/fit"
	"holdbook/pressure"
	"holdbook/units"
)

const from152 = "ASHRAE 152, as given in the residential energy literature of NREL"

// Working shows the losses line by line.
func (r LossResult) Working(s units.System) []pressure.Worked {
	lines := append(r.air(s), r.effectiveness(s)...)
	return append(lines, r.efficiency(s)...)
}

// air is the path of the air from register to register.
func (r LossResult) air(s units.System) []pressure.Worked {
	w, in, p := writer{s}, r.Input, r.Point
	flow, heat := w.flow("Q", in.Flow.Value), w.airHeat(in.Air)
	_, sensible := in.point(fit.Noise{}).delivery.defaults()
	return []pressure.Worked{
		worked(from152, "Temperature rise = {E}/({ρ·cp}·{Q})", w.difference("", p.Rise), w.power("E", in.Output.Value), heat, flow),
		worked(from152, "Supply air kept = 1 - {Qs}/{Q}", pressure.Plain("", p.SupplyKept), w.flow("Qs", in.Supply.Leakage.Value), flow),
		worked(from152, "Return air kept = 1 - {Qr}/{Q}", pressure.Plain("", p.ReturnKept), w.flow("Qr", in.Return.Leakage.Value), flow),
		w.conduction("Supply", heat, in.Supply, in.Flow.Value, p.SupplyFactor),
		w.conduction("Return", heat, in.Return, in.Flow.Value, p.ReturnFactor),
		worked(from152, "Return plenum = {Ta} + {ar}·{Br}·({Ti} - {Ta})", w.temperature("", p.ReturnPlenum),
			w.temperature("Ta", in.Return.Ambient.Value), pressure.Plain("ar", p.ReturnKept), pressure.Plain("Br", p.ReturnFactor), w.temperature("Ti", in.Indoor.Value)),
		worked(from152, "Supply plenum = {Tr} + {dT}·{sensible share}", w.temperature("", p.Supplied),
			w.temperature("Tr", p.ReturnPlenum), w.difference("dT", p.Rise), pressure.Plain("sensible share", units.Ratio(sensible))),
		worked(from152, "Supply registers = {Ta} + {Bs}·({Tp} - {Ta})", w.temperature("", p.AtRegister),
			w.temperature("Ta", in.Supply.Ambient.Value), pressure.Plain("Bs", p.SupplyFactor), w.temperature("Tp", p.Supplied)),
	}
}

func (w writer) conduction(which string, heat pressure.Figure, l LossSide, q units.Flow, result units.Ratio) pressure.Worked {
	return worked(from152, which+" temperature kept = exp(-{A}/({ρ·cp}·{Q}·{R}))", pressure.Plain("", result),
		pressure.In("A", float64(l.Surface.Value), w.system.FloorArea()), heat, w.flow("Q", q), w.resistance("R", l.Resistance.Value))
}

// airHeat is ρ·cp in the reader's units of power over flow and temperature:
// 1.08 Btu/(h·cfm·°F) at 0.075 lb/ft³.
func (w writer) airHeat(air units.Density) pressure.Figure {
	if air == 0 {
		air = standardAir
	}
	u := w.system
	v := float64(air) * airSpecificHeat * u.Flow().ToSI(1) * u.TemperatureDifference().ToSI(1) / u.Power().ToSI(1)
	return pressure.Plain("ρ·cp", v)
}

func (w writer) resistance(name string, r units.ThermalResistance) pressure.Figure {
	if math.IsInf(float64(r), 1) {
		return pressure.Said(name, "no conduction")
	}
	return pressure.In(name, float64(r), w.system.ThermalResistance())
}

func (r LossResult) effectiveness(s units.System) []pressure.Worked {
	w, in, p := writer{s}, r.Input, r.Point
	ti, rise := w.temperature("Ti", in.Indoor.Value), w.difference("dT", p.Rise)
	tr, ts := w.temperature("Ta", in.Return.Ambient.Value), w.temperature("Ta", in.Supply.Ambient.Value)
	equation, leak := "; eq 6-23", worked(from152+"; eq 6-23", "Return leakage loss = (1 - {ar})·({Ti} - {Ta})/{dT}", pressure.Plain("", p.ReturnLeakage),
		pressure.Plain("ar", p.ReturnKept), ti, tr, rise)
	if in.Output.Value < 0 {
		equation, leak = "; eq 6-25", r.enthalpyLine(w)
	}
	return []pressure.Worked{
		leak,
		worked(from152+equation, "Return conduction loss = {ar}·(1 - {Br})·({Ti} - {Ta})/{dT}", pressure.Plain("", p.ReturnConduction),
			pressure.Plain("ar", p.ReturnKept), pressure.Plain("Br", p.ReturnFactor), ti, tr, rise),
		worked(from152+equation, "Supply conduction loss = (1 - {Bs})·({Tp} - {Ta})/{dT}", pressure.Plain("", p.SupplyConduction),
			pressure.Plain("Bs", p.SupplyFactor), w.temperature("Tp", p.Supplied), ts, rise),
		worked(from152+equation, "Delivery effectiveness = {as}·(1 - {rl} - {rc} - {sc})", pressure.Plain("", p.Effectiveness),
			pressure.Plain("as", p.SupplyKept), pressure.Plain("rl", p.ReturnLeakage), pressure.Plain("rc", p.ReturnConduction), pressure.Plain("sc", p.SupplyConduction)),
		worked(from152+"; eq 6-40", "Effectiveness with regain = {DE} + {regain}", pressure.Plain("", p.Corrected),
			pressure.Plain("DE", p.Effectiveness), pressure.Plain("regain", p.Regain)),
	}
}

// enthalpyLine is the loss by return leakage where it brings moisture too.
func (r LossResult) enthalpyLine(w writer) pressure.Worked {
	in := r.Input
	kilojoules := func(name string, v float64) pressure.Figure {
		return pressure.Said(name, units.Number(v/1000, 4)+" kJ/kg")
	}
	air, _ := in.point(fit.Noise{}).delivery.defaults()
	output := kilojoules("E/ρQ", float64(in.Output.Value)/float64(air)/float64(in.Flow.Value))
	return worked(from152+"; eq 6-25", "Return leakage loss = (1 - {ar})·({h around the return} - {h indoors})/-{E/ρQ}", pressure.Plain("", r.Point.ReturnLeakage),
		pressure.Plain("ar", r.Point.ReturnKept), kilojoules("h around the return", Enthalpy(in.Return.Ambient.Value, in.Return.Humidity)),
		kilojoules("h indoors", Enthalpy(in.Indoor.Value, in.IndoorHumidity)), output)
}

func (r LossResult) efficiency(s units.System) []pressure.Worked {
	w, in := writer{s}, r.Input
	var lines []pressure.Worked
	if in.Natural.Value > 0 {
		lines = append(lines, r.exchangeLine(w),
			worked(from152, "Load factor = 1 - {ρ·cp}·({Qon} - {Qn})·({Ti} - {To})/{E}", pressure.Plain("", r.LoadFactor.Value),
				w.airHeat(in.Air), w.flow("Qon", r.Exchange.Value), w.flow("Qn", in.Natural.Value),
				w.temperature("Ti", in.Indoor.Value), w.temperature("To", in.Outdoor.Value), w.power("E", in.Output.Value)))
	}
	equipment := r.Input.point(fit.Noise{}).equipment
	return append(lines, worked(from152, "Distribution efficiency = {DE}·{load}·{equipment}", pressure.Plain("", r.Efficiency.Value),
		pressure.Plain("DE", r.Corrected.Value), pressure.Plain("load", r.LoadFactor.Value), pressure.Plain("equipment", units.Ratio(equipment))))
}

// exchangeLine is the half-of-imbalance rule in the case that applies.
func (r LossResult) exchangeLine(w writer) pressure.Worked {
	const half = "half-of-imbalance rule (Palmiter and Bond 1991), from memory"
	net, natural := r.Net.Value, r.Input.Natural.Value
	formula := "Air exchange, air handler on = {Qn} + {net}/2, not below zero"
	if net >= 2*natural {
		formula = "Air exchange, air handler on = {net}, the net being twice {Qn} or more"
	}
	return worked(half, formula, w.flow("", r.Exchange.Value), w.flow("Qn", natural), w.flow("net", net))
}
