package survey

import (
	"fmt"
	"math"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// limits sets the results against the limits that the sheet names. Which one is
// in force is the reader's to know.
func (r *run) limits() {
	for _, l := range r.sheet.Limits {
		if l.Name.Given() {
			r.publishedLimit(l)
		} else {
			r.ownLimit(l)
		}
	}
}

// result is one number of the findings in SI, and what it is about.
type result struct {
	about string
	value units.Estimate[float64]
}

func (r *run) publishedLimit(l sheet.Limit) {
	limit, err := ductleak.FindLimit(l.Name.Value)
	if err != nil {
		r.notice(Warning, "limit", "%s", readingFault(err))
		return
	}
	found, missing := r.resultsFor(limit)
	if len(found) == 0 {
		r.notice(Note, "limit "+limit.ID, "it was not set against anything: %s", missing)
	}
	for _, x := range found {
		text := limit.Text(r.system)
		if limit.Condition != "" {
			text += ", " + limit.Condition
		}
		r.f.Limits = append(r.f.Limits, LimitCheck{Document: limit.Document, Edition: limit.Edition, Quantity: limitWords(string(limit.Quantity), x.about),
			Limit: text, Result: limitResult(x.value, limit.Unit), Verdict: string(limit.Judge(x.value)), Source: limit.Known + ": " + limit.Source})
	}
}

func limitWords(quantity, about string) string {
	words := strings.ReplaceAll(quantity, "_", " ")
	if about != "" {
		words += ", " + about
	}
	return words
}

// limitResult is a result of the kind that a limit's unit is of; shares in percent.
func limitResult(e units.Estimate[float64], u units.Unit) *Q {
	if u == units.One {
		u = units.Percent
	}
	return quantity(e, u)
}

// resultsFor are the results that a published limit speaks of, on its basis; or
// what the sheet would have to give.
func (r *run) resultsFor(l ductleak.Limit) (found []result, missing string) {
	switch l.Quantity {
	case ductleak.DuctLeakageOutside, ductleak.DuctLeakageTotal:
		return r.ductResult(l)
	case ductleak.HouseAirChanges, ductleak.HouseFlowPerEnvelope:
		return r.houseResult(l)
	case ductleak.GaragePressure:
		return r.garagePressures()
	case ductleak.GarageDoorRise:
		return r.garageDoors()
	case ductleak.ClosedRoomPressure:
		return r.roomPressures()
	}
	return nil, "no reading of this sheet measures it"
}

// ductResult is duct leakage at the limit's pressure and on its basis.
func (r *run) ductResult(l ductleak.Limit) ([]result, string) {
	if r.f.Ducts == nil {
		return nil, "no duct test"
	}
	q := r.f.Ducts.LeakageOutside25
	if l.Quantity == ductleak.DuctLeakageTotal {
		q = r.f.Ducts.LeakageTotal25
	}
	if q == nil {
		return nil, "no duct test resolves it"
	}
	e := flowOf(q)
	if l.Pressure > 0 {
		k := units.Flow(math.Pow(float64(l.Pressure)/25, float64(ductleak.DuctExponent)))
		e = units.Estimate[units.Flow]{Value: e.Value * k, Low: e.Low * k, High: e.High * k}
	}
	return r.onBasis(e, l.Basis)
}

// flowOf is a flow of the findings, to go on with.
func flowOf(q *Q) units.Estimate[units.Flow] {
	return units.Estimate[units.Flow]{Value: units.Flow(q.Value), Low: units.Flow(q.Low), High: units.Flow(q.High)}
}

// onBasis divides a flow by what a limit's basis names.
func (r *run) onBasis(e units.Estimate[units.Flow], b ductleak.Basis) ([]result, string) {
	area, key := r.sheet.House.FloorArea, "house.floor_area"
	switch b {
	case ductleak.NoBasis:
		return []result{{value: ductleak.Plain(e)}}, ""
	case ductleak.OfAirHandler:
		return r.ofHandler(e)
	case ductleak.PerEnvelopeArea:
		area, key = r.sheet.House.EnvelopeArea, "house.envelope_area"
	}
	if !area.Given {
		return nil, "it is stated per area: give " + key
	}
	per, err := ductleak.PerArea(e, area.Value)
	if err != nil {
		return nil, readingFault(err)
	}
	return []result{{value: ductleak.Plain(per)}}, ""
}

func (r *run) ofHandler(e units.Estimate[units.Flow]) ([]result, string) {
	a := r.sheet.AirHandler
	if a == nil || !a.Flow.Given {
		return nil, "it is a share of the air handler's flow: give air_handler.flow"
	}
	share, err := ductleak.ShareOf(e, around(a.Flow.Value, handlerSD))
	if err != nil {
		return nil, readingFault(err)
	}
	return []result{{value: ductleak.Plain(share)}}, ""
}

// houseResult is the house's leakage as air changes or per envelope area.
func (r *run) houseResult(l ductleak.Limit) ([]result, string) {
	if r.estimate == nil || r.fans() == 0 {
		return nil, "no fan flow was read"
	}
	k := math.Pow(float64(l.Pressure)/zonal.Reference, float64(r.estimate.Exponent.Value))
	e := scale[units.Flow](r.estimate.Flow50, k)
	if l.Quantity == ductleak.HouseFlowPerEnvelope {
		return r.onBasis(e, ductleak.PerEnvelopeArea)
	}
	v := r.sheet.House.Volume
	if !v.Given || v.Value <= 0 {
		return nil, "give house.volume"
	}
	return []result{{value: ductleak.Plain(scale[units.Rate](e, 1/float64(v.Value)))}}, ""
}

// garagePressures are the garages' pressures to the house, house at 50 Pa.
func (r *run) garagePressures() (found []result, missing string) {
	if r.estimate != nil {
		for _, z := range r.estimate.Zones {
			if r.kinds[z.Space] == sheet.Garage {
				found = append(found, result{units.Sanitize(r.names[z.Space]), ductleak.Plain(z.ToHouse)})
			}
		}
	}
	return found, "no garage was read"
}

// garageDoors is the rise of the fan flow at 50 Pa when a garage's own door is
// open to outside, from the two fan readings.
func (r *run) garageDoors() (found []result, missing string) {
	for _, k := range r.order {
		for z := zonal.SpaceID(2); int(z) < len(r.kinds); z++ {
			h := &r.model.Holds[k]
			if r.kinds[z] != sheet.Garage || h.Fan == nil || len(h.Fans)+len(h.Sealed) > 0 || !r.onlyOpens(h, z, zonal.Outside) {
				continue
			}
			if a := r.holdNamed(""); a >= 0 && r.model.Holds[a].Fan != nil && r.sheetHold(a).AsFound() {
				found = append(found, result{units.Sanitize(r.names[z]), r.rise(a, k)})
			}
		}
	}
	return found, "it needs a fan reading as found and one with the garage open to outside"
}

// rise is by how much the fan flow at 50 Pa of hold b is above that of hold a,
// as a share. The calibration cancels; repeatability and pressures do not.
func (r *run) rise(a, b int) units.Estimate[float64] {
	const n = 0.65
	variance := 0.0
	at50 := func(k int) float64 {
		h := &r.model.Holds[k]
		variance += h.Fan.SDLn*h.Fan.SDLn + sq(n*float64(h.HouseSD)/float64(h.House))
		return float64(h.Fan.Flow) * math.Pow(zonal.Reference/math.Abs(float64(h.House)), n)
	}
	ratio := at50(b) / at50(a)
	reach := fit90 * ratio * math.Sqrt(variance)
	return units.Estimate[float64]{Value: ratio - 1, Low: ratio - 1 - reach, High: ratio - 1 + reach}
}

// roomPressures are the sizes of the closed rooms' pressures.
func (r *run) roomPressures() (found []result, missing string) {
	for _, x := range r.sheet.Rooms {
		if !x.Pressure.Given {
			continue
		}
		reach := units.Pressure(fit90) * r.gauge.PressureSD(x.Pressure.Value)
		p := units.Estimate[units.Pressure]{Value: x.Pressure.Value, Low: x.Pressure.Value - reach, High: x.Pressure.Value + reach}
		found = append(found, result{units.Sanitize(x.Name.Value), ductleak.Plain(absEstimate(p))})
	}
	return found, "no room has a pressure"
}

// ownLimit is a limit in the reader's own words.
func (r *run) ownLimit(l sheet.Limit) {
	amount, sense := l.AtMost, ductleak.AtMost
	if !amount.Given {
		amount, sense = l.AtLeast, ductleak.Above
	}
	words := units.Sanitize(l.Quantity.Value)
	e, unit, missing := r.stated(l.Quantity.Value, amount)
	if missing != "" {
		r.notice(Note, "limit on "+words, "it was not set against anything: %s", missing)
		return
	}
	limit := ductleak.Limit{Sense: sense, Value: amount.Value}
	said := "at most "
	if sense == ductleak.Above {
		said = "at least "
	}
	document := units.Sanitize(l.Document.Value)
	if document == "" {
		document = "as stated in the sheet"
	}
	r.f.Limits = append(r.f.Limits, LimitCheck{Document: document, Quantity: words, Limit: said + units.Sanitize(amount.Text),
		Result: limitResult(e, unit), Verdict: string(limit.Judge(e)), Source: "the sheet"})
}

// amountUnits are the units of each kind of amount, as limitResult takes them.
var amountUnits = map[sheet.AmountKind]units.Unit{
	sheet.FlowAmount: units.CFM, sheet.PressureAmount: units.Pascal, sheet.RateAmount: units.PerHour,
	sheet.ShareAmount: units.One, sheet.FlowPerAreaAmount: units.CFMPerSquareFoot,
}

// stated is the result that a limit of the reader's own speaks of, in the kind
// of its amount.
func (r *run) stated(key string, a sheet.Amount) (e units.Estimate[float64], u units.Unit, missing string) {
	u = amountUnits[a.Kind]
	if a.Kind == sheet.PressureAmount {
		return r.statedOther(key, u, "house_to_garage_pressure", r.garagePressures, "room_pressure", r.roomPressures)
	}
	if a.Kind == sheet.AreaAmount {
		return e, u, "areas are not compared; state the limit as a flow"
	}
	flow, ok := r.flowNamed(key)
	if !ok {
		return e, u, fmt.Sprintf("no result is called %q, or no reading resolves it; write one of %s", units.Sanitize(key), flowKeys)
	}
	var found []result
	switch a.Kind {
	case sheet.FlowAmount:
		found, missing = r.onBasis(flow, ductleak.NoBasis)
	case sheet.ShareAmount:
		found, missing = r.ofHandler(flow)
	case sheet.FlowPerAreaAmount:
		basis := ductleak.PerFloorArea
		if key == "flow_50_per_envelope_area" {
			basis = ductleak.PerEnvelopeArea
		}
		found, missing = r.onBasis(flow, basis)
	case sheet.RateAmount:
		if v := r.sheet.House.Volume; v.Given && v.Value > 0 {
			return ductleak.Plain(scale[units.Rate](flow, 1/float64(v.Value))), u, ""
		}
		return e, u, "give house.volume"
	}
	if len(found) == 0 {
		return e, u, missing
	}
	return found[0].value, u, ""
}

// statedOther picks the worst of the results that a pressure limit speaks of.
func (r *run) statedOther(key string, u units.Unit, garage string, garages func() ([]result, string), room string, rooms func() ([]result, string)) (e units.Estimate[float64], _ units.Unit, missing string) {
	var found []result
	switch key {
	case garage:
		found, missing = garages()
	case room:
		found, missing = rooms()
	default:
		return e, u, fmt.Sprintf("no pressure is called %q; write %s or %s", units.Sanitize(key), garage, room)
	}
	if len(found) == 0 {
		return e, u, missing
	}
	worst := found[0]
	for _, x := range found {
		if (x.value.Value > worst.value.Value) == (key == room) {
			worst = x
		}
	}
	return worst.value, u, ""
}

// flowKeys are the flows that a limit of the reader's own may speak of.
const flowKeys = "flow_50, air_changes_50, flow_50_per_floor_area, flow_50_per_envelope_area, leakage_outside_25, leakage_total_25, supply_leakage, return_leakage"

// flowNamed is a flow of the findings by its key.
func (r *run) flowNamed(key string) (units.Estimate[units.Flow], bool) {
	var q *Q
	d := r.f.Ducts
	if d == nil {
		d = &Ducts{}
	}
	switch key {
	case "flow_50", "air_changes_50", "flow_50_per_floor_area", "flow_50_per_envelope_area":
		q = r.f.House.Flow50
	case outside25:
		q = d.LeakageOutside25
	case total25:
		q = d.LeakageTotal25
	case supplyLeaks:
		q = d.SupplyLeakage
	case returnLeaks:
		q = d.ReturnLeakage
	}
	if q == nil {
		return units.Estimate[units.Flow]{}, false
	}
	return flowOf(q), true
}
