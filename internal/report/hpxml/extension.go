package hpxml

import "holdbook/internal/survey"

// extension holds what the standard has no element for, in one element of our
// namespace.
type extension struct {
	Findings own `xml:"urn:holdbook:1 Findings"`
}

// own is what may stand in it. About says what its numbers are, once in a document.
type own struct {
	About       string   `xml:",omitempty"`
	Invented    bool     `xml:",omitempty"`
	NotResolved []string // what the readings do not tell, in words
	Doubt       string   `xml:",omitempty"`
	Kind        string   `xml:",omitempty"`
	MeantInside *bool
	Name        string `xml:",omitempty"`
	Method      string `xml:",omitempty"`
	Note        string `xml:",omitempty"`

	AirLeakage             *estimate
	AirLeakageWithoutDoubt *estimate
	AirLeakagePerFloorArea *estimate
	AirLeakageStandardAir  *estimate
	Exponent               *estimate
	Coefficient            *estimate
	EffectiveLeakageArea   *estimate
	EquivalentLeakageArea  *estimate
	MultiPointTest         *multiPoint

	PressureToHouse    *estimate
	ConnectionFraction *estimate
	ThroughFlow        *estimate
	LeakRatio          *estimate

	DuctLeakage            *estimate
	NetImbalance           *estimate
	CoveredPressure        *estimate
	DeliveryEffectiveness  *estimate
	DistributionEfficiency *estimate
	Registers              *group[register]
	DuctZones              *group[ductZone]

	Infiltration *estimate
	Required     *estimate

	WorstCase *worstCase

	Leaks     *group[leak]
	SealFirst *group[step]
	Changes   *group[change]
	Promise   *promise
	Intervals string `xml:",omitempty"`
	Status    string `xml:",omitempty"`
	Notices   *group[notice]
}

// estimate is a number with its interval. It has no value where the readings only bound
// it.
type estimate struct {
	Value       *number `xml:"value,attr,omitempty"`
	Low         number  `xml:"low,attr"`
	High        number  `xml:"high,attr"`
	Unit        string  `xml:"unit,attr,omitempty"`
	Level       number  `xml:"level,attr"`
	Coefficient number  `xml:"coefficient,attr,omitempty"` // of an area
	Pressure    number  `xml:"pressure,attr,omitempty"`    // of an area, Pa
	By          string  `xml:"by,attr,omitempty"`          // the standard that it follows
	Assumed     bool    `xml:"assumed,attr,omitempty"`     // no reading tells it
	Bound       string  `xml:"bound,attr,omitempty"`       // where there is no value, the end that the readings tell
}

// ordinary is the level of an interval that does not say, in percent.
const ordinary = 90

// estimated is q; nil for none.
func estimated(q *survey.Q) *estimate { return resolvedIf(true, q) }

// resolvedIf is q, without its value where the readings only bound it; nil for none.
func resolvedIf(resolved bool, q *survey.Q) *estimate {
	if q == nil {
		return nil
	}
	e := &estimate{Low: number(q.Low), High: number(q.High), Unit: q.Unit.Symbol(), Level: ordinary,
		Coefficient: number(q.Coefficient), Pressure: number(q.Pressure)}
	if q.Level != 0 {
		e.Level = number(q.Level)
	}
	if resolved {
		e.Value = numbered(q.Value)
	}
	return e
}

// bounded is q with what the readings tell of it where they do not resolve it.
func bounded(resolved bool, q *survey.Q, b survey.Bound) *estimate {
	e := resolvedIf(resolved, q)
	if e != nil && !resolved {
		e.Bound = string(b)
	}
	return e
}

func numbered(v float64) *number {
	n := number(v)
	return &n
}

// pair names the two spaces that a leak joins.
type pair struct {
	Between string `xml:"between,attr"`
	And     string `xml:"and,attr"`
}

type multiPoint struct {
	Refused               bool   `xml:"refused,attr,omitempty"` // by the standards
	R2                    number `xml:"r2,attr"`
	AirLeakage            *estimate
	Exponent              *estimate
	Coefficient           *estimate
	EffectiveLeakageArea  *estimate
	EquivalentLeakageArea *estimate
	Points                []point `xml:"Point"`
}

type point struct {
	Hold     string `xml:"hold,attr"`
	Pressure number `xml:"pressure,attr"` // Pa
	Flow     number `xml:"flow,attr"`
	Unit     string `xml:"unit,attr"`
}
