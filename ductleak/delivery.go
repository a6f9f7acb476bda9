package ductleak

import (
	"cmp"
	"math"

	"holdbook/units"
)

// airSpecificHeat is that of dry air: 0.24 Btu/(lb·°F) in J/(kg·K).
const airSpecificHeat = 0.24 * 4186.8

// Delivery is one duct system in steady operation, every input known: the
// model of ASHRAE 152 with a leak at the return plenum and one at the registers.
type Delivery struct {
	Flow           units.Flow  // at the fan, Q_e
	Output         units.Power // E, negative for cooling
	Supply, Return DeliverySide
	Indoor         units.Temperature // return-register air
	// IndoorHumidity is the humidity ratio of the house (kg/kg); it matters for
	// cooling only, like that of the return ducts' surroundings.
	IndoorHumidity units.Ratio
	// Sensible is the share of the output that changes temperature; 1 for
	// heating, where it is left out.
	Sensible units.Ratio
	Air      units.Density // 0 means 0.075 lb/ft³
}

// DeliverySide is the supply or the return half of a system.
type DeliverySide struct {
	Leakage    units.Flow // operating, to outside
	Surface    units.Area
	Resistance units.ThermalResistance // +Inf for no conduction
	Ambient    units.Temperature       // around the ducts
	Humidity   units.Ratio             // around the ducts, kg/kg; of the return side only
	Regain     units.Ratio             // share of the losses that comes back to the house
}

// Delivered is where the output goes, each as a share of it. The seven sum:
// Effectiveness + the four losses = 1, and Corrected = Effectiveness + Regain.
type Delivered struct {
	Effectiveness units.Ratio // 152 eq 6-23 or 6-25
	Regain        units.Ratio // 152 eq 6-40, what comes back
	Corrected     units.Ratio // Effectiveness with regain, not limited

	ReturnConduction, ReturnLeakage units.Ratio
	SupplyConduction, SupplyLeakage units.Ratio

	SupplyKept, ReturnKept units.Ratio                 // a_s, a_r
	SupplyFactor           units.Ratio                 // B_s, share of the temperature kept
	ReturnFactor           units.Ratio                 // B_r
	Rise                   units.TemperatureDifference // E/(ρ·cp·Q), dT_e
	ReturnPlenum, Supplied units.Temperature           // T_rp and T_sp
	AtRegister             units.Temperature
}

// ConductionFactor is the share of the air's temperature difference to its
// surroundings that a duct keeps: B = exp(−A/(ρ·cp·Q·R)).
func ConductionFactor(surface units.Area, resistance units.ThermalResistance, q units.Flow, air units.Density) units.Ratio {
	return units.Ratio(math.Exp(-float64(surface) / (float64(air) * airSpecificHeat * float64(q) * float64(resistance))))
}

// Enthalpy is that of moist air in J/kg, in the form
// 0.24·T + W·(1061 + 0.444·T) Btu/lb with T in °F.
func Enthalpy(t units.Temperature, humidity units.Ratio) float64 {
	f := float64(t)*9/5 - 459.67
	return 2326 * (0.24*f + float64(humidity)*(1061+0.444*f))
}

// Evaluate works the model. Heating is 152 eq 6-23 and cooling eq 6-25; both
// are one balance, the return leak bringing in enthalpy where it cools and
// temperature alone where it heats.
func (d Delivery) Evaluate() (Delivered, error) {
	if err := d.check(); err != nil {
		return Delivered{}, err
	}
	return d.evaluate(), nil
}

func (d Delivery) evaluate() Delivered {
	air, sensible := d.defaults()
	stream := float64(air) * float64(d.Flow) // kg/s
	var r Delivered
	r.SupplyKept = 1 - units.Ratio(d.Supply.Leakage/d.Flow)
	r.ReturnKept = 1 - units.Ratio(d.Return.Leakage/d.Flow)
	r.SupplyFactor = ConductionFactor(d.Supply.Surface, d.Supply.Resistance, d.Flow, air)
	r.ReturnFactor = ConductionFactor(d.Return.Surface, d.Return.Resistance, d.Flow, air)
	r.Rise = units.TemperatureDifference(float64(d.Output) / (stream * airSpecificHeat))

	fromReturn := d.Indoor - d.Return.Ambient
	r.ReturnPlenum = d.Return.Ambient + units.Temperature(r.ReturnKept*r.ReturnFactor)*fromReturn
	r.Supplied = r.ReturnPlenum + units.Temperature(float64(r.Rise)*sensible)
	r.AtRegister = d.Supply.Ambient + units.Temperature(r.SupplyFactor)*(r.Supplied-d.Supply.Ambient)

	output := float64(d.Output) / stream // J/kg
	r.ReturnLeakage = units.Ratio(-(1 - float64(r.ReturnKept)) * d.leakHeat() / output)
	r.ReturnConduction = units.Ratio(float64(r.ReturnKept*(1-r.ReturnFactor)) * airSpecificHeat * float64(fromReturn) / output)
	r.SupplyConduction = units.Ratio(float64(1-r.SupplyFactor) * airSpecificHeat * float64(r.Supplied-d.Supply.Ambient) / output)
	reach := 1 - r.ReturnLeakage - r.ReturnConduction - r.SupplyConduction
	r.SupplyLeakage = (1 - r.SupplyKept) * reach
	r.Effectiveness = r.SupplyKept * reach
	r.Regain = d.regain(r, fromReturn)
	r.Corrected = r.Effectiveness + r.Regain
	return r
}

func (d Delivery) defaults() (units.Density, float64) {
	air, sensible := d.Air, float64(d.Sensible)
	if air == 0 {
		air = standardAir
	}
	if sensible == 0 || d.Output > 0 {
		sensible = 1
	}
	return air, sensible
}

// leakHeat is what a kilogram of return leakage brings, in J: enthalpy for
// cooling, heat alone for heating.
func (d Delivery) leakHeat() float64 {
	if d.Output > 0 {
		return airSpecificHeat * float64(d.Return.Ambient-d.Indoor)
	}
	return Enthalpy(d.Return.Ambient, d.Return.Humidity) - Enthalpy(d.Indoor, d.IndoorHumidity)
}

// regain is 152 eq 6-40 without its first term:
// F_s·(1−DE) − [F_s − F_r − B_r·(a_r·F_s − F_r)]·dT_r/dT_e.
func (d Delivery) regain(r Delivered, fromReturn units.Temperature) units.Ratio {
	fs, fr := d.Supply.Regain, d.Return.Regain
	return fs*(1-r.Effectiveness) - (fs-fr-r.ReturnFactor*(r.ReturnKept*fs-fr))*units.Ratio(float64(fromReturn)/float64(r.Rise))
}

func (d Delivery) check() error {
	if err := cmp.Or(
		checkPositive("air-handler flow", units.Known(d.Flow)),
		checkMeasured("air-handler output", units.Known(d.Output)),
		checkPositive("indoor temperature", units.Known(d.Indoor)),
		checkNotNegative("density of air", units.Known(d.Air)),
		checkNotNegative("sensible share", units.Known(d.Sensible)),
		checkNotNegative("indoor humidity ratio", units.Known(d.IndoorHumidity)),
		d.Supply.check("supply ducts", d.Flow),
		d.Return.check("return ducts", d.Flow)); err != nil {
		return err
	}
	switch {
	case d.Output == 0:
		return wrong("air-handler output", "give the equipment's output, negative for cooling", "it is zero")
	case d.Sensible > 1:
		return wrong("sensible share", "give a share of the output, 0 to 1", "%s is above 1", d.Sensible)
	}
	return nil
}

func (s DeliverySide) check(name string, flow units.Flow) error {
	if err := cmp.Or(
		checkNotNegative(name+", leakage", units.Known(s.Leakage)),
		checkNotNegative(name+", surface", units.Known(s.Surface)),
		checkPositive(name+", temperature around them", units.Known(s.Ambient)),
		checkNotNegative(name+", humidity ratio around them", units.Known(s.Humidity)),
		checkNotNegative(name+", regain", units.Known(s.Regain))); err != nil {
		return err
	}
	switch {
	case s.Leakage >= flow:
		return wrong(name+", leakage", "give operating leakage, not the flow of a hole at test pressure, and the flow at the fan",
			"it is no less than the air-handler flow")
	case !(s.Resistance > 0):
		return wrong(name+", insulation", "give a thermal resistance above zero", "%s m²·K/W", units.Ratio(s.Resistance))
	case s.Regain > 1:
		return wrong(name+", regain", "give a share, 0 to 1", "%s is above 1", s.Regain)
	}
	return nil
}

// InducedInfiltration is the house's air exchange with the air handler on,
// from its natural exchange and the net imbalance (supply less return leakage,
// signed), by the half-of-imbalance rule. Supply leaks that dominate draw
// outdoor air in, return leaks push air out and spare some of it.
func InducedInfiltration(natural, net units.Flow) units.Flow {
	switch {
	case net <= 0:
		return max(0, natural+net/2)
	case net < 2*natural:
		return natural + net/2
	}
	return net
}

// LoadFactor is the share of the delivered output that is left for the
// house's own load once induced infiltration has taken its part:
// 1 − ρ·cp·(Q_on − Q_nat)·(T_in − T_out)/E. It is above 1 where return leaks
// dominate.
func LoadFactor(on, natural units.Flow, indoor, outdoor units.Temperature, output units.Power, air units.Density) units.Ratio {
	return 1 - units.Ratio(float64(air)*airSpecificHeat*float64(on-natural)*float64(indoor-outdoor)/float64(output))
}

// ReturnLeakFraction is the share of return-plenum air that comes from the
// zone, by temperatures or by a tracer: (plenum − register)/(zone − register)
// (Cummings 1990).
func ReturnLeakFraction(plenum, register, zone float64) (units.Ratio, error) {
	f := (plenum - register) / (zone - register)
	if !units.Finite(f) || f < 0 || f > 1 {
		return 0, wrong("return plenum", "read plenum, return register and zone together, with the zone well apart from the house",
			"the reading does not lie between register and zone")
	}
	return units.Ratio(f), nil
}

// DuctShare is the share of the house's leakage that sealing its ducts took
// away, from two results at one pressure.
func DuctShare(before, after float64) (units.Ratio, error) {
	share := (before - after) / before
	if !units.Finite(share) || before <= 0 {
		return 0, wrong("house leakage", "give both results above zero", "no share follows from it")
	}
	return units.Ratio(share), nil
}
