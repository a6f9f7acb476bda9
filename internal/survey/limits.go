package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// limitFindings sets the results against the limits that the sheet names, and against
// those of garages. Which other one is in force is the reader's to know.
func limitFindings(c *Case, m parts, log *Log) (list []LimitCheck) {
	for _, l := range c.Sheet.Limits {
		if l.Name.Given() {
			list = append(list, publishedLimit(c, m, log, l)...)
		} else {
			list = append(list, ownLimit(c, m, log, l)...)
		}
	}
	return append(list, garageLimits(c, m, log)...)
}

// unasked are the limits that are applied wherever a reading bears on them: fumes from a
// garage do not wait for somebody to ask.
var unasked = []string{"garage-pressure", "garage-door"}

// garageLimits sets what was read of a garage against the limits of garages that the
// sheet does not name, nor has one of its own in place of.
func garageLimits(c *Case, m parts, log *Log) (list []LimitCheck) {
	for _, id := range unasked {
		limit, err := ductleak.FindLimit(id)
		named := slices.ContainsFunc(c.Sheet.Limits, func(l sheet.Limit) bool {
			return strings.EqualFold(l.Name.Value, id) || l.Quantity.Value == string(limit.Quantity)
		})
		if found, _ := resultsFor(c, m, limit); err == nil && !named && len(found) > 0 {
			list = append(list, publishedLimit(c, m, log, sheet.Limit{Name: sheet.Word(id)})...)
		}
	}
	return list
}

// parts are what limits may speak of beside the readings themselves: parts of the
// findings, nil where there is no such part.
type parts struct {
	tightness *zonal.Estimate
	flow50    *Q
	ducts     *Ducts
}

// limited is one number of the findings in SI, and what it is about.
type limited struct {
	about string
	value units.Estimate[float64]
}

func publishedLimit(c *Case, m parts, log *Log, l sheet.Limit) (list []LimitCheck) {
	limit, err := ductleak.FindLimit(l.Name.Value)
	if err != nil {
		log.Notice(Warning, "limit", "%s", readingFault(err))
		return nil
	}
	found, missing := resultsFor(c, m, limit)
	if len(found) == 0 {
		log.Notice(Note, "limit "+limit.ID, "it was not set against anything: %s", missing)
	}
	for _, x := range found {
		text := limit.Text(c.System)
		if limit.Condition != "" {
			text += ", " + limit.Condition
		}
		list = append(list, LimitCheck{Document: limit.Document, Edition: limit.Edition, Quantity: limitWords(string(limit.Quantity), x.about),
			Limit: text, Result: limitResult(x.value, limit.Unit), Verdict: string(limit.Judge(x.value)), Chance: chance(limit.Chance(x.value)), Source: limit.Known + ": " + limit.Source})
	}
	return list
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
	return toQ(e, u)
}

// resultsFor are the results that a published limit speaks of, on its basis; or
// what the sheet would have to give.
func resultsFor(c *Case, m parts, l ductleak.Limit) (found []limited, missing string) {
	switch l.Quantity {
	case ductleak.DuctLeakageOutside, ductleak.DuctLeakageTotal:
		return ductResult(c, m.ducts, l)
	case ductleak.HouseAirChanges, ductleak.HouseFlowPerEnvelope:
		return houseResult(c, m.tightness, l)
	case ductleak.GaragePressure:
		return garagePressures(c, m.tightness)
	case ductleak.GarageDoorRise:
		return garageDoors(c)
	case ductleak.ClosedRoomPressure:
		return roomPressures(c)
	case ductleak.CAZDepressurisation:
		return cazDrops(c, l)
	}
	return nil, "no reading of this sheet measures it"
}

// ductResult is duct leakage at the limit's pressure and on its basis.
func ductResult(c *Case, ducts *Ducts, l ductleak.Limit) ([]limited, string) {
	if ducts == nil {
		return nil, "no duct test"
	}
	q := ducts.LeakageOutside25
	if l.Quantity == ductleak.DuctLeakageTotal {
		q = ducts.LeakageTotal25
	}
	if q == nil {
		return nil, "no duct test resolves it"
	}
	e := flowOf(q)
	if l.Pressure > 0 {
		k := pressure.FlowRatio(l.Pressure, ductleak.ReferencePressure, ductleak.DuctExponent)
		e = Scale[units.Flow](e, k)
	}
	return onBasis(c, e, l.Basis)
}

// flowOf is a flow of the findings, to go on with.
func flowOf(q *Q) units.Estimate[units.Flow] {
	return units.Estimate[units.Flow]{Value: units.Flow(q.Value), Low: units.Flow(q.Low), High: units.Flow(q.High)}
}

// onBasis divides a flow by what a limit's basis names.
func onBasis(c *Case, e units.Estimate[units.Flow], b ductleak.Basis) ([]limited, string) {
	area, key := c.Sheet.House.FloorArea, "house.floor_area"
	switch b {
	case ductleak.NoBasis:
		return []limited{{value: ductleak.Plain(e)}}, ""
	case ductleak.OfAirHandler:
		return ofHandler(c, e)
	case ductleak.PerEnvelopeArea:
		area, key = c.Sheet.House.EnvelopeArea, "house.envelope_area"
	}
	if !area.Given {
		return nil, "it is stated per area: give " + key
	}
	per, err := ductleak.PerArea(e, area.Value)
	if err != nil {
		return nil, readingFault(err)
	}
	return []limited{{value: ductleak.Plain(per)}}, ""
}

func ofHandler(c *Case, e units.Estimate[units.Flow]) ([]limited, string) {
	if !c.airHandler().Flow.Given {
		return nil, "it is a share of the air handler's flow: give air_handler.flow"
	}
	share, err := ductleak.ShareOf(e, pressure.Interval90(handlerFlow(c)))
	if err != nil {
		return nil, readingFault(err)
	}
	return []limited{{value: ductleak.Plain(share)}}, ""
}

// houseResult is the house's leakage as air changes or per envelope area.
func houseResult(c *Case, e *zonal.Estimate, l ductleak.Limit) ([]limited, string) {
	if e == nil || !c.FanRead() {
		return nil, "no fan flow was read"
	}
	k := pressure.FlowRatio(l.Pressure, zonal.Reference, e.Exponent.Value)
	est := Scale[units.Flow](e.Flow50, k)
	if l.Quantity == ductleak.HouseFlowPerEnvelope {
		return onBasis(c, est, ductleak.PerEnvelopeArea)
	}
	v := c.Sheet.House.Volume
	if !v.Given || v.Value <= 0 {
		return nil, "give house.volume"
	}
	return []limited{{value: ductleak.Plain(Scale[units.Rate](est, 1/float64(v.Value)))}}, ""
}

// garagePressures are the garages' pressures to the house, house at 50 Pa.
func garagePressures(c *Case, e *zonal.Estimate) (found []limited, missing string) {
	if e != nil {
		for _, z := range e.Zones {
			if c.Kinds[z.Space] == sheet.Garage && bearsOn(c, z.Space) {
				found = append(found, limited{units.Sanitize(c.Names[z.Space]), ductleak.Plain(z.ToHouse)})
			}
		}
	}
	return found, "no garage was read"
}

// garageDoors is the rise of the fan flow at 50 Pa when a garage's own door is
// open to outside, from the two fan readings.
func garageDoors(c *Case) (found []limited, missing string) {
	for _, k := range c.Order {
		for z := range c.Zones() {
			h := &c.Model.Holds[k]
			if c.Kinds[z] != sheet.Garage || h.Fan == nil || len(h.Fans)+len(h.Sealed) > 0 || !onlyOpens(c, h, z, zonal.Outside) {
				continue
			}
			if a := c.holdNamed(""); a >= 0 && c.Model.Holds[a].Fan != nil && sheetHold(c, a).AsFound() {
				found = append(found, limited{units.Sanitize(c.Names[z]), garageRise(c, a, k)})
			}
		}
	}
	return found, "it needs a fan reading as found and one with the garage open to outside"
}

// garageRise is by how much the fan flow at 50 Pa of hold b is above that of hold a,
// as a share. The calibration cancels; repeatability and pressures do not.
func garageRise(c *Case, a, b int) units.Estimate[float64] {
	n := float64(pressure.DefaultExponent)
	variance := 0.0
	for _, k := range []int{b, a} {
		h := &c.Model.Holds[k]
		variance += h.Fan.SDLn*h.Fan.SDLn + math.Pow(n*float64(h.HouseSD)/float64(h.House), 2)
	}
	ratio := float64(c.FlowAt50(b) / c.FlowAt50(a))
	return pressure.Interval90(units.Measured[float64]{Value: ratio - 1, SD: ratio * math.Sqrt(variance)})
}

// roomPressures are the sizes of the closed rooms' pressures.
func roomPressures(c *Case) (found []limited, missing string) {
	for _, x := range c.Sheet.Rooms {
		if !x.Pressure.Given {
			continue
		}
		found = append(found, limited{units.Sanitize(x.Name.Value), ductleak.Plain(absEstimate(pressure.Interval90(c.pressureWithin(x.Pressure.Value))))})
	}
	return found, "no room has a pressure"
}

// ownLimit is a limit in the reader's own words.
func ownLimit(c *Case, m parts, log *Log, l sheet.Limit) []LimitCheck {
	amount, sense := l.AtMost, ductleak.AtMost
	if !amount.Given {
		amount, sense = l.AtLeast, ductleak.Above
	}
	words := units.Sanitize(l.Quantity.Value)
	est, unit, missing := statedResult(c, m, l.Quantity.Value, amount)
	if missing != "" {
		log.Notice(Note, "limit on "+words, "it was not set against anything: %s", missing)
		return nil
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
	return []LimitCheck{{Document: document, Quantity: words, Limit: said + units.Sanitize(amount.Text),
		Result: limitResult(est, unit), Verdict: string(limit.Judge(est)), Chance: chance(limit.Chance(est)), Source: "the sheet"}}
}

// amountUnits are the units of each kind of amount, as limitResult takes them.
var amountUnits = map[sheet.AmountKind]units.Unit{
	sheet.FlowAmount: units.CFM, sheet.PressureAmount: units.Pascal, sheet.RateAmount: units.PerHour,
	sheet.ShareAmount: units.One, sheet.FlowPerAreaAmount: units.CFMPerSquareFoot,
}

// statedResult is the result that a limit of the reader's own speaks of, in the kind
// of its amount.
func statedResult(c *Case, m parts, key string, a sheet.Amount) (est units.Estimate[float64], u units.Unit, missing string) {
	u = amountUnits[a.Kind]
	if a.Kind == sheet.PressureAmount {
		est, missing = statedPressure(c, m, key)
		return est, u, missing
	}
	if a.Kind == sheet.AreaAmount {
		return est, u, "areas are not compared; state the limit as a flow"
	}
	flow, ok := flowNamed(c, m, key)
	if !ok {
		return est, u, fmt.Sprintf("no result is called %q, or no reading resolves it; write one of %s", units.Sanitize(key), flowKeys)
	}
	var found []limited
	switch a.Kind {
	case sheet.FlowAmount:
		found, missing = onBasis(c, flow, ductleak.NoBasis)
	case sheet.ShareAmount:
		found, missing = ofHandler(c, flow)
	case sheet.FlowPerAreaAmount:
		basis := ductleak.PerFloorArea
		if key == "flow_50_per_envelope_area" {
			basis = ductleak.PerEnvelopeArea
		}
		found, missing = onBasis(c, flow, basis)
	case sheet.RateAmount:
		if v := c.Sheet.House.Volume; v.Given && v.Value > 0 {
			return ductleak.Plain(Scale[units.Rate](flow, 1/float64(v.Value))), u, ""
		}
		return est, u, "give house.volume"
	}
	if len(found) == 0 {
		return est, u, missing
	}
	return found[0].value, u, ""
}

// The pressures that a limit of the reader's own may speak of.
const (
	garage = "house_to_garage_pressure"
	room   = "room_pressure"
)

// statedPressure is the worst of the pressures that a limit of that key speaks of.
func statedPressure(c *Case, m parts, key string) (e units.Estimate[float64], missing string) {
	var found []limited
	switch key {
	case garage:
		found, missing = garagePressures(c, m.tightness)
	case room:
		found, missing = roomPressures(c)
	default:
		return e, fmt.Sprintf("no pressure is called %q; write %s or %s", units.Sanitize(key), garage, room)
	}
	if len(found) == 0 {
		return e, missing
	}
	worst := found[0]
	for _, x := range found {
		if (x.value.Value > worst.value.Value) == (key == room) {
			worst = x
		}
	}
	return worst.value, ""
}

// flowKeys are the flows that a limit of the reader's own may speak of.
const flowKeys = "flow_50, air_changes_50, flow_50_per_floor_area, flow_50_per_envelope_area, leakage_outside_25, leakage_total_25, supply_leakage, return_leakage"

// flowNamed is a flow of the findings by its key.
func flowNamed(c *Case, m parts, key string) (units.Estimate[units.Flow], bool) {
	var q *Q
	d := m.ducts
	if d == nil {
		d = &Ducts{}
	}
	switch key {
	case "flow_50", "air_changes_50", "flow_50_per_floor_area", "flow_50_per_envelope_area":
		q = m.flow50
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
