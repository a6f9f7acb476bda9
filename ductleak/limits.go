package ductleak

import (
	"bytes"
	"cmp"
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"holdbook/internal/fit"
	"holdbook/units"
)

//go:embed limits.csv
var limitsTable []byte

// Quantity is what a limit is set on.
type Quantity string

// The quantities that published limits are set on.
const (
	DuctLeakageOutside   Quantity = "duct_leakage_outside"
	DuctLeakageTotal     Quantity = "duct_leakage_total"
	GaragePressure       Quantity = "house_to_garage_pressure"
	CAZDepressurisation  Quantity = "caz_depressurisation"
	GarageDoorRise       Quantity = "garage_door_rise"
	ClosedRoomPressure   Quantity = "room_pressure"
	NeighbourPressure    Quantity = "unit_to_neighbour_pressure"
	HouseAirChanges      Quantity = "house_air_changes"
	HouseFlowPerEnvelope Quantity = "house_flow_per_envelope"
)

// Basis is what a flow is divided by before it is set against a limit.
type Basis string

// The bases.
const (
	NoBasis         Basis = "none"
	PerFloorArea    Basis = "floor_area"
	PerEnvelopeArea Basis = "envelope_area"
	OfAirHandler    Basis = "air_handler"
)

// Sense is on which side of a limit a result must lie.
type Sense string

// The senses.
const (
	AtMost Sense = "at most"
	Below  Sense = "below"
	Above  Sense = "above"
)

// Limit is one published limit. It is there to be named by the user: the code
// in force where the house stands decides.
type Limit struct {
	ID                string // what the user names it by
	Document, Edition string
	Quantity          Quantity
	Pressure          units.Pressure // of the test; 0 for normal operation
	Basis             Basis
	Condition         string // when it applies
	Sense             Sense
	Value             float64 // SI
	Unit              units.Unit
	Known             string // "published": its text was read; "second text": known through another
	Source            string
}

// Verdict is how a result stands against a limit.
type Verdict string

// The verdicts.
const (
	Meets      Verdict = "meets"
	Fails      Verdict = "fails"
	TooClose   Verdict = "too close to call"
	limitSlack         = 1e-9 // relative; conversions must not decide
)

// Limits are all published limits of the table.
func Limits() []Limit {
	all, err := parsedLimits()
	if err != nil {
		panic("ductleak: the embedded table of limits is damaged: " + err.Error()) // tests read every line
	}
	return slices.Clone(all)
}

var parsedLimits = sync.OnceValues(func() ([]Limit, error) { return parseLimits(limitsTable) })

// FindLimit is the limit of that name, without regard to case.
func FindLimit(id string) (Limit, error) {
	var names []string
	for _, l := range Limits() {
		if strings.EqualFold(l.ID, id) {
			return l, nil
		}
		names = append(names, l.ID)
	}
	return Limit{}, wrong("limit", "write one of "+strings.Join(names, ", "), "%q is not in the table", units.Sanitize(id))
}

// LimitsOn are the limits on one quantity.
func LimitsOn(q Quantity) []Limit {
	return slices.DeleteFunc(Limits(), func(l Limit) bool { return l.Quantity != q })
}

// Judge sets an estimate, in SI and on the limit's basis, against the limit.
// Where the 90 % interval lies on both sides it is too close to call.
func (l Limit) Judge(e units.Estimate[float64]) Verdict {
	slack := limitSlack * l.Value
	var meets, fails bool
	switch l.Sense {
	case AtMost:
		meets, fails = e.High <= l.Value+slack, e.Low > l.Value+slack
	case Below:
		meets, fails = e.High < l.Value-slack, e.Low >= l.Value-slack
	case Above:
		meets, fails = e.Low > l.Value+slack, e.High <= l.Value+slack
	}
	switch {
	case meets:
		return Meets
	case fails:
		return Fails
	}
	return TooClose
}

// Chance is the probability that what an estimate, in SI and on the limit's basis, is of
// meets the limit. On either side of its median it counts as normal, of a positive
// quantity in the logarithm, so that a limit at an end of the 90 % interval has 5 %
// beyond it, as Judge has it. An estimate without a spread meets the limit or does not.
func (l Limit) Chance(e units.Estimate[float64]) float64 {
	scale := func(v float64) float64 { return v }
	if e.Low > 0 && l.Value > 0 {
		scale = math.Log
	}
	end := e.High
	if l.Value < e.Value {
		end = e.Low
	}
	sd := math.Abs(scale(end)-scale(e.Value)) / fit.Z90
	switch {
	case sd > 0:
	case l.Judge(e) == Meets:
		return 1
	default:
		return 0
	}
	off := (scale(l.Value) - scale(e.Value)) / (sd * math.Sqrt2)
	if l.Sense == Above {
		off = -off
	}
	return 0.5 * math.Erfc(-off)
}

// Plain takes the quantity's type off an estimate.
func Plain[Q ~float64](e units.Estimate[Q]) units.Estimate[float64] {
	return units.Estimate[float64]{Value: float64(e.Value), Low: float64(e.Low), High: float64(e.High)}
}

// PerArea is a flow per area of floor or envelope.
func PerArea(q units.Estimate[units.Flow], a units.Area) (units.Estimate[units.SpecificFlow], error) {
	if err := cmp.Or(checkPositive("area", units.Known(a)), checkEstimate("flow", q)); err != nil {
		return units.Estimate[units.SpecificFlow]{}, err
	}
	per := func(v units.Flow) units.SpecificFlow { return units.SpecificFlow(float64(v) / float64(a)) }
	return units.Estimate[units.SpecificFlow]{Value: per(q.Value), Low: per(q.Low), High: per(q.High)}, nil
}

// ShareOf is a leakage as a share of the air handler's flow; the two are
// taken to be independent.
func ShareOf(q, handler units.Estimate[units.Flow]) (units.Estimate[units.Ratio], error) {
	if err := cmp.Or(checkEstimate("leakage", q), checkPositiveEstimate("air-handler flow", handler)); err != nil {
		return units.Estimate[units.Ratio]{}, err
	}
	if q.Low == q.High && handler.Low == handler.High {
		return Exactly(units.Ratio(q.Value / handler.Value)), nil
	}
	e := simulateOne(func(n fit.Noise) units.Ratio { return units.Ratio(draw(n, q) / draw(n, handler)) })
	return e, checkResult("leakage as a share of air-handler flow", e)
}

// Text writes the limit in the reader's units.
func (l Limit) Text(s units.System) string {
	text := string(l.Sense) + " " + l.number(s)
	switch l.Basis {
	case PerFloorArea:
		text += " of floor area"
	case PerEnvelopeArea:
		text += " of envelope area"
	case OfAirHandler:
		text += " of air-handler flow"
	}
	if l.Pressure > 0 {
		text += " at " + units.Fixed(float64(l.Pressure), 0) + " Pa"
	}
	return text
}

func (l Limit) number(s units.System) string {
	shown, decimals := l.Unit, 2
	switch {
	case l.Unit == units.One:
		return units.Fixed(100*l.Value, 0) + " %"
	case l.Unit == units.CFM:
		shown, decimals = s.Flow(), 0
	case l.Quantity == DuctLeakageOutside || l.Quantity == DuctLeakageTotal:
		if s == units.IP {
			return units.Fixed(100*units.CFMPerSquareFoot.FromSI(l.Value), 0) + " cfm per 100 ft²"
		}
		shown = s.SpecificFlow()
	case l.Basis == PerEnvelopeArea:
		shown = s.SpecificFlow()
	default:
		decimals = 1
	}
	return units.Fixed(shown.FromSI(l.Value), decimals) + " " + shown.Pretty()
}

var limitUnits = map[string]units.Unit{
	"cfm/ft2": units.CFMPerSquareFoot, "m3/(h*m2)": units.CubicMetrePerHourSquareMetre,
	"cfm": units.CFM, "Pa": units.Pascal, "1/h": units.PerHour, "1": units.One,
}

const limitColumns = 12

// parseLimits reads the table; the error names the line.
func parseLimits(table []byte) ([]Limit, error) {
	r := csv.NewReader(bytes.NewReader(table))
	r.Comment, r.FieldsPerRecord = '#', limitColumns
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	var out []Limit
	for i, row := range rows[min(1, len(rows)):] {
		l, err := parseLimit(row)
		if err != nil {
			return nil, fmt.Errorf("limit %d, %q: %w", i+1, row[0], err)
		}
		out = append(out, l)
	}
	return out, nil
}

func parseLimit(row []string) (Limit, error) {
	l := Limit{
		ID: row[0], Document: row[1], Edition: row[2], Quantity: Quantity(row[3]), Basis: Basis(row[5]),
		Condition: row[6], Sense: Sense(row[7]), Known: row[10], Source: row[11],
	}
	unit, ok := limitUnits[row[9]]
	value, err := strconv.ParseFloat(row[8], 64)
	if !ok || err != nil {
		return l, fmt.Errorf("value %q in unit %q", row[8], row[9])
	}
	l.Unit, l.Value = unit, unit.ToSI(value)
	if row[4] != "" {
		p, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			return l, fmt.Errorf("pressure %q", row[4])
		}
		l.Pressure = units.Pressure(p)
	}
	return l, nil
}
