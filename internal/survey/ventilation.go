package survey

import (
	"fmt"
	"math"
	"strings"

	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// ventilation is the air change that the house is left with as found, against
// what the published standard asks for. It needs the house's leakage.
func (r *run) ventilation() {
	if r.ventilationKnown() {
		r.f.Ventilation = r.ventilationOf(r.estimate.Tightness(), "as the house stands; sealing raises what is needed", "the house is")
	} else {
		r.ventilationMissing()
	}
}

func (r *run) ventilationKnown() bool {
	return r.estimate != nil && len(r.ventilationNeeds()) == 0
}

// ventilationOf is that of a house of some tightness. The words say which house
// is meant: "enough …" and "… tighter than its ventilation".
func (r *run) ventilationOf(t zonal.Tightness, enough, subject string) *Ventilation {
	h := r.sheet.House
	v := &Ventilation{}
	total, err := pressure.TotalRate(h.FloorArea.Value, int(h.Bedrooms.Value), pressure.Since2013, r.system)
	if err != nil {
		r.notice(Note, "ventilation", "%s", err.Error())
		return nil
	}
	r.worked("ventilation", total.Worked(r.system))
	v.Required = r.flow(units.Estimate[units.Flow]{Value: total.Value, Low: total.Value, High: total.Value})
	infiltration, counted := r.infiltration(t, v)
	if infiltration != nil {
		v.Infiltration = r.flow(*infiltration)
	}
	if counted {
		r.fanRate(v, total.Value, *infiltration, enough, subject)
	} else {
		v.Text = "Infiltration counts in the standard by climate.weather_factor alone; without it a fan is asked for the whole. Not a certificate: the standard in force, local code and licensed practice decide."
	}
	return v
}

// ventilationMissing says what the sheet's own ventilation keys still need.
func (r *run) ventilationMissing() {
	if r.sheet.Ventilation == nil {
		return
	}
	r.notice(Note, "ventilation", "it needs %s", strings.Join(r.ventilationNeeds(), " and "))
}

// ventilationNeeds are the keys of the sheet that are missing for what is said of
// ventilation.
func (r *run) ventilationNeeds() (list []string) {
	if r.fans() == 0 {
		list = append(list, "a fan flow")
	}
	if !r.sheet.House.FloorArea.Given {
		list = append(list, "house.floor_area")
	}
	if !r.sheet.House.Bedrooms.Given {
		list = append(list, "house.bedrooms")
	}
	return list
}

// infiltration is the house's own air change: as the standard counts it where
// the weather factor of the place is given, by a model for the weather stated,
// or a twentieth of the flow at 50 Pa. Only the first counts in the standard.
func (r *run) infiltration(t zonal.Tightness, v *Ventilation) (_ *units.Estimate[units.Flow], counted bool) {
	c := r.climate()
	if c.WeatherFactor.Given {
		if e, err := r.credit(t, c.WeatherFactor.Value); err == nil {
			v.Model = "infiltration as ASHRAE 62.2 counts it for a year, from the leak area at 4 Pa in standard air and the weather factor of the sheet; fan: 62.2-2019, what remains after it"
			return e, true
		}
	}
	if e, ok := r.modelled(t); ok {
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

// height is that of the house, from its storeys where it is not given.
func (r *run) height() units.Length {
	h := r.sheet.House
	if h.Height.Given {
		return h.Height.Value
	}
	return units.Length(2.5 * math.Max(1, float64(h.Storeys.Or(1)))) // the standard's storey
}

// credit is the infiltration that the standard counts: it rises with the leak
// area all the way, so that its interval is that of the leak area.
func (r *run) credit(t zonal.Tightness, weather units.Ratio) (*units.Estimate[units.Flow], error) {
	floor, area := r.sheet.House.FloorArea.Value, r.standardArea(t)
	e, err := pressure.Propagate(area, func(a units.Area) (pressure.Computed[units.Flow], error) {
		nl, err := pressure.NormalisedLeakage(a, floor, r.height())
		if err != nil {
			return pressure.Computed[units.Flow]{}, err
		}
		return pressure.InfiltrationCredit(nl.Value, weather, floor, r.system)
	})
	if err != nil {
		return nil, err
	}
	if nl, err := pressure.NormalisedLeakage(area.Value, floor, r.height()); err == nil {
		r.worked("ventilation", nl.Worked(r.system))
		if q, err := pressure.InfiltrationCredit(nl.Value, weather, floor, r.system); err == nil {
			r.worked("ventilation", q.Worked(r.system))
		}
	}
	return &e, nil
}

// standardArea is the leak area at 4 Pa as the standard counts it, with standard
// air in the leaks. In cold air the same leaks come out larger.
func (r *run) standardArea(t zonal.Tightness) units.Estimate[units.Area] {
	leak, err := pressure.NewLeak(t.Flow50.Value, zonal.Reference, t.Exponent.Value)
	if err != nil {
		return t.Area4
	}
	ref, err := pressure.ToReference(leak, r.airInLeaks(), pressure.DensityAndViscosity)
	if err != nil {
		return t.Area4
	}
	r.worked("ventilation", ref.Factor.Worked(r.system))
	return scale[units.Area](t.Area4, float64(ref.Factor.Value)*math.Sqrt(float64(pressure.StandardDensity/r.model.Air)))
}

// modelled is the infiltration for the weather that the sheet states.
func (r *run) modelled(t zonal.Tightness) (*units.Estimate[units.Flow], bool) {
	c, h := r.climate(), r.sheet.House
	indoor, haveIn := r.temperature(c.Indoor, h.Indoor)
	if !c.Shelter.Given || !c.Wind.Given || !c.Outdoor.Given || !haveIn || !h.Storeys.Given {
		return nil, false
	}
	leak, err := pressure.NewLeak(t.Flow50.Value, 50, t.Exponent.Value)
	if err != nil {
		return nil, false
	}
	house := pressure.EnhancedHouse{Leak: leak, Storeys: int(h.Storeys.Value), Flue: h.Flue.Value, Shelter: pressure.Shelter(c.Shelter.Value)}
	if h.Foundation.Value == "crawlspace" {
		house.Foundation = pressure.Crawlspace
	}
	i, err := house.Infiltration(pressure.Weather{Difference: units.TemperatureDifference(indoor - c.Outdoor.Value), Wind: pressure.Speed(c.Wind.Value)})
	if err != nil {
		r.notice(Note, "ventilation", "%s", err.Error())
		return nil, false
	}
	r.worked("ventilation", i.Total.Worked(r.system))
	e, err := pressure.ModelEstimate(i.Total.Value, pressure.SDLn(t.Flow50))
	return &e, err == nil
}

// fanRate is the fan flow left to provide, and how the fan there is compares.
func (r *run) fanRate(v *Ventilation, total units.Flow, infiltration units.Estimate[units.Flow], enough, subject string) {
	there := units.Flow(0)
	balanced := false
	if s := r.sheet.Ventilation; s != nil {
		there, balanced = s.Flow.Or(0), s.Balanced.Value
	}
	exterior := r.sheet.House.ExteriorPart()
	c, err := pressure.FanRate(total, infiltration.Value, balanced, exterior)
	if err != nil {
		r.notice(Note, "ventilation", "%s", err.Error())
		return
	}
	r.worked("ventilation", c.Worked(r.system))
	e, err := pressure.Propagate(infiltration, func(q units.Flow) (pressure.Computed[units.Flow], error) {
		return pressure.FanRate(total, q, balanced, exterior)
	})
	if err != nil {
		return
	}
	v.Fan = r.flow(e)
	v.Text = r.fanText(e, there, enough) + " Not a certificate: the standard in force, local code and licensed practice decide."
	if e.Low > there {
		r.notice(Warning, "ventilation", "%s tighter than its ventilation: by ASHRAE 62.2 a fan of about %s should run; exhaust-only fans can draw flue gas back where anything burns", subject, r.inWords(e))
	}
}

// fanText sets the fan there is against the flow asked for.
func (r *run) fanText(need units.Estimate[units.Flow], there units.Flow, enough string) string {
	u := r.system.Flow()
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
