package ductleak

import (
	"cmp"
	"math"

	"holdbook/internal/fit"
	"holdbook/units"
)

// LossInput is a duct system with what is known of each input.
type LossInput struct {
	Flow           units.Estimate[units.Flow]  // at the fan
	Output         units.Estimate[units.Power] // negative for cooling
	Supply, Return LossSide
	// LeakageCorrelation is that of supply and return leakage, from the on/off
	// test; 0 where they were found apart.
	LeakageCorrelation float64
	Indoor, Outdoor    units.Estimate[units.Temperature]
	IndoorHumidity     units.Ratio // kg/kg, cooling
	Sensible           units.Ratio // share of a cooling output that changes temperature
	// Natural is the house's air exchange with the air handler off. Zero means
	// not known: infiltration by unequal leaks is then left out.
	Natural units.Estimate[units.Flow]
	// Equipment is the effect of flow on the equipment's efficiency and Cycling
	// the share lost to warming the ducts at each start; zero values are 1 and 0.
	Equipment, Cycling units.Ratio
	Air                units.Density // 0 means 0.075 lb/ft³
	// Insulated is the thermal resistance that the ducts would be brought to;
	// zero means that the gain of insulating is not asked for.
	Insulated units.ThermalResistance
	// Sealed is the share of the leakage that sealing would take away; zero
	// means all of it.
	Sealed units.Ratio
}

// LossSide is one half of the system.
type LossSide struct {
	Leakage    units.Estimate[units.Flow] // operating, to outside
	Surface    units.Estimate[units.Area]
	Resistance units.Estimate[units.ThermalResistance]
	Ambient    units.Estimate[units.Temperature]
	Humidity   units.Ratio // of the return side, cooling
	Regain     units.Estimate[units.Ratio]
}

// Cause is one reason why output does not arrive.
type Cause string

// The causes, in the order of a table. Regain comes back and is negative;
// infiltration is negative too where return leaks dominate.
const (
	SupplyLeaks      Cause = "supply leakage"
	ReturnLeaks      Cause = "return leakage"
	SupplyConduction Cause = "supply conduction"
	ReturnConduction Cause = "return conduction"
	Regained         Cause = "regained by the house"
	Infiltration     Cause = "infiltration by unequal leaks"
	EquipmentEffects Cause = "equipment and cycling"
)

var causes = []Cause{SupplyLeaks, ReturnLeaks, SupplyConduction, ReturnConduction, Regained, Infiltration, EquipmentEffects}

// Lost is what one cause takes, as a share of the output.
type Lost struct {
	Cause Cause
	Share units.Estimate[units.Ratio]
}

// Repair is something that could be done about the losses.
type Repair string

// The repairs.
const (
	Sealing  Repair = "sealing"
	Insulate Repair = "insulating"
	SealBoth Repair = "sealing and insulating"
)

// Gain is what a repair would do.
type Gain struct {
	Repair     Repair
	Efficiency units.Estimate[units.Ratio] // distribution efficiency after it
	Saving     units.Estimate[units.Ratio] // share of the energy used now
}

// LossResult is where the output goes.
type LossResult struct {
	Input                          LossInput
	Point                          Delivered // at the inputs themselves, for the worked lines
	Effectiveness                  units.Estimate[units.Ratio]
	Corrected                      units.Estimate[units.Ratio] // with regain, limited to 0.25 to 1
	LoadFactor                     units.Estimate[units.Ratio]
	Efficiency                     units.Estimate[units.Ratio] // distribution efficiency
	SupplyFraction, ReturnFraction units.Estimate[units.Ratio] // operating leakage over air-handler flow
	Net                            units.Estimate[units.Flow]  // supply less return leakage
	Exchange                       units.Estimate[units.Flow]  // air exchange with the air handler on
	Losses                         []Lost
	Gains                          []Gain
	Limited                        bool     // Corrected was outside 0.25 to 1
	Doubts                         []string // inputs outside what is commonly met

	repeats []fit.Simulated // of every result by its column, for what is worked on from here
}

// Limits that the source of equation 6-40 puts on its result.
const (
	leastCorrected = 0.25
	mostCorrected  = 1.00
)

// lossPoint is one set of true values.
type lossPoint struct {
	delivery         Delivery
	natural, outdoor float64
	equipment        float64 // F_equip·(1 − F_cyc)
}

// lossOutcome is what one set of true values comes to.
type lossOutcome struct {
	Delivered
	corrected, loadFactor, efficiency float64
	net, exchange                     float64
	limited                           bool
}

// evaluate is η = DE_corr·F_equip·F_load·(1 − F_cyc).
func (p lossPoint) evaluate() lossOutcome {
	o := lossOutcome{Delivered: p.delivery.evaluate(), loadFactor: 1}
	o.corrected = min(max(float64(o.Corrected), leastCorrected), mostCorrected)
	o.limited = o.corrected != float64(o.Corrected)
	o.net = float64(p.delivery.Supply.Leakage - p.delivery.Return.Leakage)
	if p.natural > 0 {
		o.exchange = float64(InducedInfiltration(units.Flow(p.natural), units.Flow(o.net)))
		air, _ := p.delivery.defaults()
		o.loadFactor = float64(LoadFactor(units.Flow(o.exchange), units.Flow(p.natural), p.delivery.Indoor,
			units.Temperature(p.outdoor), p.delivery.Output, air))
	}
	o.efficiency = o.corrected * o.loadFactor * p.equipment
	return o
}

// shares are the losses in the order of causes; they sum to 1 − efficiency.
func (o lossOutcome) shares() [7]float64 {
	return [7]float64{
		float64(o.SupplyLeakage), float64(o.ReturnLeakage), float64(o.SupplyConduction), float64(o.ReturnConduction),
		float64(o.Effectiveness) - o.corrected,
		o.corrected * (1 - o.loadFactor),
		o.corrected*o.loadFactor - o.efficiency,
	}
}

// DistributionEfficiency works the losses of a system at its inputs and
// spreads the inputs' intervals over every result.
func DistributionEfficiency(in LossInput) (LossResult, error) {
	nominal := in.point(fit.Noise{})
	if err := in.check(nominal); err != nil {
		return LossResult{}, err
	}
	r := LossResult{Input: in, Point: nominal.delivery.evaluate()}
	r.spread(nominal)
	r.Doubts = in.doubts(r)
	return r, r.checkResults()
}

func (r LossResult) checkResults() error {
	const name = "duct losses"
	all := []units.Estimate[units.Ratio]{r.Effectiveness, r.Corrected, r.LoadFactor, r.Efficiency, r.SupplyFraction, r.ReturnFraction}
	for _, l := range r.Losses {
		all = append(all, l.Share)
	}
	for _, g := range r.Gains {
		all = append(all, g.Efficiency, g.Saving)
	}
	return cmp.Or(checkResult(name, all...), checkResult(name, r.Net, r.Exchange))
}

func (in LossInput) check(p lossPoint) error {
	if err := cmp.Or(
		in.Supply.check("supply ducts"),
		in.Return.check("return ducts"),
		checkPositiveEstimate("air-handler flow", in.Flow),
		checkEstimate("air-handler output", in.Output),
		checkPositiveEstimate("indoor temperature", in.Indoor),
		checkPositiveEstimate("outdoor temperature", in.Outdoor),
		checkEstimate("natural air exchange", in.Natural),
		p.delivery.check(),
		checkNotNegative("natural air exchange", units.Known(units.Flow(p.natural))),
		checkNotNegative("equipment factor", units.Known(in.Equipment)),
		checkNotNegative("cycling factor", units.Known(in.Cycling)),
		checkNotNegative("resistance after insulating", units.Known(in.Insulated)),
		checkNotNegative("share sealed", units.Known(in.Sealed))); err != nil {
		return err
	}
	switch {
	case in.Cycling >= 1:
		return wrong("cycling factor", "give a share, 0 to 1", "%s", in.Cycling)
	case in.Sealed > 1:
		return wrong("share sealed", "give a share, 0 to 1", "%s is above 1", in.Sealed)
	case !(math.Abs(in.LeakageCorrelation) <= 1):
		return wrong("correlation of supply and return leakage", "give a number from -1 to 1", "%s", units.Ratio(in.LeakageCorrelation))
	}
	return nil
}

func (l LossSide) check(name string) error {
	if err := cmp.Or(
		checkEstimate(name+", leakage", l.Leakage),
		checkEstimate(name+", surface", l.Surface),
		checkPositiveEstimate(name+", temperature around them", l.Ambient),
		checkEstimate(name+", regain", l.Regain)); err != nil {
		return err
	}
	if noConduction := math.IsInf(float64(l.Resistance.Low), 1); noConduction {
		return nil
	}
	return checkPositiveEstimate(name+", insulation", l.Resistance)
}

// point is one draw of the inputs; of no noise it is the inputs themselves.
func (in LossInput) point(n fit.Noise) lossPoint {
	zs, zr := 0.0, 0.0
	if c := in.LeakageCorrelation; !n.None() {
		zs = n.Normal()
		zr = c*zs + math.Sqrt(1-c*c)*n.Normal()
	}
	air := in.Air
	if air == 0 {
		air = standardAir
	}
	p := lossPoint{
		delivery: Delivery{
			Flow: value(n, in.Flow), Output: value(n, in.Output), Indoor: value(n, in.Indoor),
			IndoorHumidity: in.IndoorHumidity, Sensible: in.Sensible, Air: air,
			Supply: in.Supply.point(n, zs), Return: in.Return.point(n, zr),
		},
		natural: float64(value(n, in.Natural)), outdoor: float64(value(n, in.Outdoor)),
		equipment: 1 - float64(in.Cycling),
	}
	if in.Equipment > 0 {
		p.equipment *= float64(in.Equipment)
	}
	return p
}

func (l LossSide) point(n fit.Noise, z float64) DeliverySide {
	return DeliverySide{
		Leakage: at(l.Leakage, z), Surface: value(n, l.Surface), Resistance: value(n, l.Resistance),
		Ambient: value(n, l.Ambient), Humidity: l.Humidity, Regain: value(n, l.Regain),
	}
}

// value is one draw of an estimate; what is known exactly takes no random number.
func value[Q ~float64](n fit.Noise, e units.Estimate[Q]) Q {
	if e.Low == e.High {
		return e.Value
	}
	return draw(n, e)
}

// plausible keeps a draw within what the model can take: a far-out draw of a
// leak must not pass the air handler's flow.
func (p lossPoint) plausible() lossPoint {
	for _, side := range []*DeliverySide{&p.delivery.Supply, &p.delivery.Return} {
		side.Leakage = min(max(0, side.Leakage), 0.95*p.delivery.Flow)
		side.Regain = min(max(0, side.Regain), 1)
		side.Surface = max(0, side.Surface)
	}
	p.natural = max(0, p.natural)
	return p
}
