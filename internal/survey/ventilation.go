package survey

import (
	"fmt"
	"math"
	"strings"

	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// ventilationFindings is the air change that the house is left with as found, against
// what the published standard asks for. It needs the house's leakage.
func ventilationFindings(c *Case, e *zonal.Estimate, log *Log) *Ventilation {
	if VentilationKnown(c, e) {
		return VentilationOf(c, log, e.Tightness(), "as the house stands; sealing raises what is needed", "the house is")
	}
	ventilationMissing(c, log)
	return nil
}

// VentilationKnown tells whether the readings and the sheet say enough of ventilation.
func VentilationKnown(c *Case, e *zonal.Estimate) bool {
	return e != nil && len(VentilationNeeds(c)) == 0
}

// VentilationOf is that of a house of some tightness. The words say which house
// is meant: "enough …" and "… tighter than its ventilation".
func VentilationOf(c *Case, log *Log, t zonal.Tightness, enough, subject string) *Ventilation {
	h := c.Sheet.House
	v := &Ventilation{}
	total, err := pressure.TotalRate(h.FloorArea.Value, int(h.Bedrooms.Value), pressure.Since2013, c.System)
	if err != nil {
		log.Notice(Note, "ventilation", "%s", err.Error())
		return nil
	}
	log.worked("ventilation", total.Worked(c.System))
	v.Required = Flow(units.Estimate[units.Flow]{Value: total.Value, Low: total.Value, High: total.Value})
	infiltration, counted := infiltrationOf(c, log, t, v)
	if infiltration != nil {
		v.Infiltration = Flow(*infiltration)
	}
	if counted {
		fanRate(c, log, v, total.Value, *infiltration, enough, subject)
	} else {
		v.Text = "Infiltration counts in the standard by climate.weather_factor alone; without it a fan is asked for the whole. Not a certificate: the standard in force, local code and licensed practice decide."
	}
	return v
}

// ventilationMissing says what the sheet's own ventilation keys still need.
func ventilationMissing(c *Case, log *Log) {
	if c.Sheet.Ventilation == nil {
		return
	}
	log.Notice(Note, "ventilation", "it needs %s", strings.Join(VentilationNeeds(c), " and "))
}

// VentilationNeeds are the keys of the sheet that are missing for what is said of
// ventilation.
func VentilationNeeds(c *Case) (list []string) {
	if !c.FanRead() {
		list = append(list, "a fan flow")
	}
	if !c.Sheet.House.FloorArea.Given {
		list = append(list, "house.floor_area")
	}
	if !c.Sheet.House.Bedrooms.Given {
		list = append(list, "house.bedrooms")
	}
	return list
}

// infiltrationOf is the house's own air change: as the standard counts it where
// the weather factor of the place is given, by a model for the weather stated,
// or a twentieth of the flow at 50 Pa. Only the first counts in the standard.
func infiltrationOf(c *Case, log *Log, t zonal.Tightness, v *Ventilation) (_ *units.Estimate[units.Flow], counted bool) {
	climate := c.climate()
	if climate.WeatherFactor.Given {
		if e, err := creditedInfiltration(c, log, t, climate.WeatherFactor.Value); err == nil {
			v.Model = "infiltration as ASHRAE 62.2 counts it for a year, from the leak area at 4 Pa in standard air and the weather factor of the sheet; fan: 62.2-2019, what remains after it"
			return e, true
		}
	}
	if e, ok := modelledInfiltration(c, log, t); ok {
		v.Model = "enhanced infiltration model, HoF 2021 ch.16, for the weather of the sheet; models err by 40 % on average"
		return e, false
	}
	q := t.Flow50
	e, err := pressure.ModelEstimate(q.Value/20, pressure.SDLn(q))
	if err != nil {
		return nil, false
	}
	v.Model = "a twentieth of the flow at 50 Pa (HoF 2021 ch.16, citing Sherman 1987): it knows no weather and errs by 40 % on average; climate.weather_factor would do better"
	return &e, false
}

// heightOf is that of the house, from its storeys where it is not given.
func heightOf(c *Case) units.Length {
	h := c.Sheet.House
	if h.Height.Given {
		return h.Height.Value
	}
	return units.Length(2.5 * math.Max(1, float64(h.Storeys.Or(1)))) // the standard's storey
}

// creditedInfiltration is the infiltration that the standard counts: it rises with the leak
// area all the way, so that its interval is that of the leak area.
func creditedInfiltration(c *Case, log *Log, t zonal.Tightness, weather units.Ratio) (*units.Estimate[units.Flow], error) {
	floor, area := c.Sheet.House.FloorArea.Value, standardArea(c, log, t)
	e, err := pressure.Propagate(area, func(a units.Area) (pressure.Computed[units.Flow], error) {
		nl, err := pressure.NormalisedLeakage(a, floor, heightOf(c))
		if err != nil {
			return pressure.Computed[units.Flow]{}, err
		}
		return pressure.InfiltrationCredit(nl.Value, weather, floor, c.System)
	})
	if err != nil {
		return nil, err
	}
	if nl, err := pressure.NormalisedLeakage(area.Value, floor, heightOf(c)); err == nil {
		log.worked("ventilation", nl.Worked(c.System))
		if q, err := pressure.InfiltrationCredit(nl.Value, weather, floor, c.System); err == nil {
			log.worked("ventilation", q.Worked(c.System))
		}
	}
	return &e, nil
}

// standardArea is the leak area at 4 Pa as the standard counts it, with standard
// air in the leaks. In cold air the same leaks come out larger.
func standardArea(c *Case, log *Log, t zonal.Tightness) units.Estimate[units.Area] {
	leak, err := pressure.NewLeak(t.Flow50.Value, zonal.Reference, t.Exponent.Value)
	if err != nil {
		return t.Area4
	}
	ref, err := pressure.ToReference(leak, c.leakAir().Air, pressure.DensityAndViscosity)
	if err != nil {
		return t.Area4
	}
	log.worked("ventilation", ref.Factor.Worked(c.System))
	return Scale[units.Area](t.Area4, float64(ref.Factor.Value)*math.Sqrt(float64(pressure.StandardDensity/c.Model.Air)))
}

// modelledInfiltration is the infiltration for the weather that the sheet states.
func modelledInfiltration(c *Case, log *Log, t zonal.Tightness) (*units.Estimate[units.Flow], bool) {
	climate, h := c.climate(), c.Sheet.House
	indoor, haveIn := firstGiven(climate.Indoor, h.Indoor)
	if !climate.Shelter.Given || !climate.Wind.Given || !climate.Outdoor.Given || !haveIn || !h.Storeys.Given {
		return nil, false
	}
	leak, err := pressure.NewLeak(t.Flow50.Value, 50, t.Exponent.Value)
	if err != nil {
		return nil, false
	}
	house := pressure.EnhancedHouse{Leak: leak, Storeys: int(h.Storeys.Value), Flue: h.Flue.Value, Shelter: pressure.Shelter(climate.Shelter.Value)}
	if h.Foundation.Value == "crawlspace" {
		house.Foundation = pressure.Crawlspace
	}
	i, err := house.Infiltration(pressure.Weather{Difference: units.TemperatureDifference(indoor - climate.Outdoor.Value), Wind: pressure.Speed(climate.Wind.Value)})
	if err != nil {
		log.Notice(Note, "ventilation", "%s", err.Error())
		return nil, false
	}
	log.worked("ventilation", i.Total.Worked(c.System))
	e, err := pressure.ModelEstimate(i.Total.Value, pressure.SDLn(t.Flow50))
	return &e, err == nil
}

// fanRate is the fan flow left to provide, and how the fan there is compares.
func fanRate(c *Case, log *Log, v *Ventilation, total units.Flow, infiltration units.Estimate[units.Flow], enough, subject string) {
	there := units.Flow(0)
	balanced := false
	if s := c.Sheet.Ventilation; s != nil {
		there, balanced = s.Flow.Or(0), s.Balanced.Value
	}
	exterior := c.Sheet.House.ExteriorPart()
	got, err := pressure.FanRate(total, infiltration.Value, balanced, exterior)
	if err != nil {
		log.Notice(Note, "ventilation", "%s", err.Error())
		return
	}
	log.worked("ventilation", got.Worked(c.System))
	e, err := pressure.Propagate(infiltration, func(q units.Flow) (pressure.Computed[units.Flow], error) {
		return pressure.FanRate(total, q, balanced, exterior)
	})
	if err != nil {
		return
	}
	v.Fan = Flow(e)
	v.Text = fanText(c, e, there, enough) + " Not a certificate: the standard in force, local code and licensed practice decide."
	if e.Low > there {
		log.Notice(Warning, "ventilation", "%s tighter than its ventilation: by ASHRAE 62.2 a fan of about %s should run; exhaust-only fans can draw flue gas back where anything burns", subject, inWords(c, e))
	}
}

// fanText sets the fan there is against the flow asked for.
func fanText(c *Case, need units.Estimate[units.Flow], there units.Flow, enough string) string {
	u := c.System.Flow()
	has := "No fan is noted in the sheet"
	if there > 0 {
		has = fmt.Sprintf("The fan of the sheet, %s", there.Text(u, 0))
	}
	switch {
	case need.High <= 0:
		return "No fan is needed " + strings.TrimPrefix(enough, "even ") + "."
	case there <= 0 && need.Low > 0:
		return has + "; one is asked for."
	case there <= 0:
		return has + "; whether one is asked for is too close to call."
	case need.High <= there:
		return has + ", is enough " + enough + "."
	case need.Low > there:
		return has + ", is not enough."
	}
	return has + ", is too close to call."
}
