package pressure

import (
	"cmp"
	"math"

	"holdbook/units"
)

// modelError is the average error of infiltration models, 40 % (HoF 2021
// ch.16), and modelSDLn the standard deviation of the logarithm with that mean
// size.
const modelError = 0.40

var modelSDLn = modelError * math.Sqrt(math.Pi/2)

// ModelEstimate is the 90 % interval of what an infiltration model gave, from
// the model's own average error of 40 % (HoF 2021 ch.16) and the error of the
// leak area or flow that went into it (standard deviation of the logarithm).
func ModelEstimate[Q ~float64](value Q, inputSDLn float64) (units.Estimate[Q], error) {
	return LogEstimate(value, math.Hypot(inputSDLn, modelSDLn))
}

// Shelter is the shelter class of a house against wind, 1 to 5.
type Shelter int

// The shelter classes. Source: HoF 2021 ch.16.
const (
	Exposed        Shelter = iota + 1 // no obstructions
	Rural                             // isolated rural house
	AcrossStreet                      // buildings across the street
	UrbanLarge                        // urban, larger lots, obstacles more than one height away
	UrbanSheltered                    // neighbours closer than one height
)

// Weather is what drives infiltration.
type Weather struct {
	Difference units.TemperatureDifference // house less outdoors; the sign does not matter
	Wind       Speed                       // at the weather station
}

// checkSite refuses what the tables of the infiltration models do not hold.
func checkSite(storeys int, s Shelter, w Weather) error {
	return cmp.Or(
		needWithin("the number of storeys", float64(storeys), 1, 3, ""),
		needWithin("the shelter class", float64(s), 1, 5, ""),
		needWithin("the temperature difference", float64(w.Difference), -100, 100, "K"),
		checkWind(w.Wind),
	)
}

// Coefficients of the basic model by storeys, and by shelter class for wind:
// (L/s)²/(cm⁴·K) and (L/s)²/(cm⁴·(m/s)²). Source: HoF 2021 ch.16.
var (
	basicStack = [3]float64{0.000145, 0.000290, 0.000435}
	basicWind  = [5][3]float64{
		{0.000319, 0.000420, 0.000494},
		{0.000246, 0.000325, 0.000382},
		{0.000174, 0.000231, 0.000271},
		{0.000104, 0.000137, 0.000161},
		{0.000032, 0.000042, 0.000049},
	}
)

// BasicInfiltration is the infiltration of a house with leak area leak4 (at
// 4 Pa, Cd 1) of 1 to 3 storeys, by the basic model of Sherman and Grimsrud.
// Source: HoF 2021 ch.16 eq 48.
func BasicInfiltration(leak4 units.Area, storeys int, s Shelter, w Weather) (Computed[units.Flow], error) {
	if err := cmp.Or(needPositive("the leak area", float64(leak4)), checkSite(storeys, s, w)); err != nil {
		return Computed[units.Flow]{}, err
	}
	dt, u := math.Abs(float64(w.Difference)), float64(w.Wind)
	cs, cw := basicStack[storeys-1], basicWind[s-1][storeys-1]
	return compute[units.Flow](units.SquareCentimetre.FromSI(float64(leak4))/1000*math.Sqrt(cs*dt+cw*u*u),
		formula("Q = ({A}/1000)·√({Cs}·{ΔT} + {Cw}·{U}²)", "HoF 2021 ch.16 eq 48", asCubicMetre, asFlow),
		term{"A", float64(leak4), always(units.SquareCentimetre)}, term{"Cs", cs, noUnit},
		term{"ΔT", dt, asKelvin}, term{"Cw", cw, noUnit}, term{"U", u, asSpeed})
}

// Foundation is what a house stands on, as the enhanced model sees it.
type Foundation int

// The foundations of the enhanced model.
const (
	SlabOrBasement Foundation = iota
	Crawlspace
)

// Tables of the enhanced model by storeys; wind and shelter by flue too.
// Source: HoF 2021 ch.16 tables 7 to 9.
var (
	enhancedWindSpeed = [3]float64{0.48, 0.59, 0.67}
	enhancedStack     = map[bool][3]float64{false: {0.054, 0.078, 0.098}, true: {0.069, 0.089, 0.107}} // by flue
	enhancedWind      = map[Foundation]map[bool][3]float64{
		SlabOrBasement: {false: {0.156, 0.170, 0.170}, true: {0.142, 0.156, 0.167}},
		Crawlspace:     {false: {0.128, 0.142, 0.151}, true: {0.128, 0.142, 0.154}},
	}
	shelterNoFlue = [5]float64{1.00, 0.90, 0.70, 0.50, 0.30}
	shelterFlue   = [3][5]float64{
		{1.10, 1.02, 0.86, 0.70, 0.54},
		{1.07, 0.98, 0.81, 0.64, 0.47},
		{1.06, 0.97, 0.79, 0.61, 0.43},
	}
)

// EnhancedHouse is a house as the enhanced model (Walker and Wilson) takes it.
type EnhancedHouse struct {
	Leak       Leak // of the envelope
	Storeys    int  // 1 to 3
	Foundation Foundation
	Flue       bool // an open flue of the heating
	Shelter    Shelter
}

// Infiltration is what the enhanced model gives.
type Infiltration struct {
	Stack, Wind, Total Computed[units.Flow]
}

// Infiltration by the enhanced model. Source: HoF 2021 ch.16 eqs 47, 49, 50.
func (h EnhancedHouse) Infiltration(w Weather) (Infiltration, error) {
	err := cmp.Or(h.Leak.check(), checkSite(h.Storeys, h.Shelter, w),
		needWithin("the foundation", float64(h.Foundation), 0, 1, ""))
	if err != nil {
		return Infiltration{}, err
	}
	stack, err := h.stack(math.Abs(float64(w.Difference)))
	if err != nil {
		return Infiltration{}, err
	}
	wind, err := h.wind(float64(w.Wind))
	if err != nil {
		return Infiltration{}, err
	}
	total, err := compute[units.Flow](math.Hypot(float64(stack.Value), float64(wind.Value)),
		formula("Q = √({Qs}² + {Qw}²)", "HoF 2021 ch.16 eq 47", asFlow, asFlow),
		term{"Qs", float64(stack.Value), asFlow}, term{"Qw", float64(wind.Value), asFlow})
	return Infiltration{stack, wind, total}, err
}

// stack is the flow that a temperature difference drives.
func (h EnhancedHouse) stack(dt float64) (Computed[units.Flow], error) {
	cs := enhancedStack[h.Flue][h.Storeys-1]
	return compute[units.Flow](h.Leak.C*cs*math.Pow(dt, h.Leak.N),
		formula("Qs = {c}·{Cs}·{ΔT}^{n}", "HoF 2021 ch.16 eq 49", asCubicMetre, asFlow),
		term{"c", h.Leak.C, noUnit}, term{"Cs", cs, noUnit}, term{"ΔT", dt, asKelvin}, term{"n", h.Leak.N, noUnit})
}

// wind is the flow that wind drives, u at the weather station.
func (h EnhancedHouse) wind(u float64) (Computed[units.Flow], error) {
	cw, g := enhancedWind[h.Foundation][h.Flue][h.Storeys-1], enhancedWindSpeed[h.Storeys-1]
	shelter := shelterNoFlue[h.Shelter-1]
	if h.Flue {
		shelter = shelterFlue[h.Storeys-1][h.Shelter-1]
	}
	return compute[units.Flow](h.Leak.C*cw*math.Pow(shelter*g*u, 2*h.Leak.N),
		formula("Qw = {c}·{Cw}·({s}·{G}·{U})^(2·{n})", "HoF 2021 ch.16 eq 50", asCubicMetre, asFlow),
		term{"c", h.Leak.C, noUnit}, term{"Cw", cw, noUnit}, term{"s", shelter, noUnit},
		term{"G", g, noUnit}, term{"U", u, asSpeed}, term{"n", h.Leak.N, noUnit})
}

// AnnualAirChanges is a first idea of a year's mean air change from the one at
// 50 Pa: a twentieth. It knows no weather. Source: HoF 2021 ch.16, citing
// Sherman 1987.
func AnnualAirChanges(at50 units.Rate) (Computed[units.Rate], error) {
	if err := needPositive("the air change rate at 50 Pa", float64(at50)); err != nil {
		return Computed[units.Rate]{}, err
	}
	return compute[units.Rate](float64(at50)/20,
		formula("air changes = {n50}/20", "HoF 2021 ch.16, citing Sherman 1987", asRate, asRate),
		term{"n50", float64(at50), asRate})
}

// WithFans is the air change of a house whose infiltration meets balanced fans
// and fans that only blow in or only blow out. Source: HoF 2021 ch.16 eq 51.
func WithFans(infiltration, balanced, unbalanced units.Flow) (Computed[units.Flow], error) {
	for _, f := range []units.Flow{infiltration, balanced, unbalanced} {
		if err := needWithin("a ventilation flow", float64(f), 0, 1e3, "m³/s"); err != nil {
			return Computed[units.Flow]{}, err
		}
	}
	return compute[units.Flow](float64(balanced)+math.Hypot(float64(unbalanced), float64(infiltration)),
		formula("Q = {Qbal} + √({Qunbal}² + {Qinf}²)", "HoF 2021 ch.16 eq 51", asFlow, asFlow),
		term{"Qbal", float64(balanced), asFlow}, term{"Qunbal", float64(unbalanced), asFlow}, term{"Qinf", float64(infiltration), asFlow})
}

// DrivingForce is the infiltration for each area of leak (at 4 Pa) that a
// design winter day drives through a one-family house without a flue at
// 6.7 m/s wind, in m/s: times the leak area it is a flow. Formula from memory;
// it gives the values of HoF 2021 ch.17 table 5 as they are printed.
func DrivingForce(height units.Length, dt units.TemperatureDifference) (Computed[float64], error) {
	h, k := float64(height), math.Abs(float64(dt))
	err := cmp.Or(needWithin("the height of the house", h, 1, 15, "m"), needWithin("the temperature difference", k, 0, 100, "K"))
	if err != nil {
		return Computed[float64]{}, err
	}
	const perSquareCentimetre = 10 // L/(s·cm²) in m³/(s·m²)
	return compute[float64]((51+0.35*h*k)/1000*perSquareCentimetre,
		formula("IDF = 10·(51 + 0.35·{H}·{ΔT})/1000", "from memory; HoF 2021 ch.17 table 5", asSpeed, asSpeed),
		term{"H", h, asMetre}, term{"ΔT", k, asKelvin})
}
