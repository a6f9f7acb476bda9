package hpxml

import "encoding/xml"

// group is an element that holds others of one kind, at least one.
type group[T any] struct{ Items []T }

// grouped is a group; nil for none.
func grouped[T any](items []T) *group[T] {
	if len(items) == 0 {
		return nil
	}
	return &group[T]{items}
}

type zone struct {
	XMLName   xml.Name   `xml:"Zone"`
	ID        identifier `xml:"SystemIdentifier"`
	Name      string     `xml:"ZoneName"`
	Space     space      `xml:"Spaces>Space"`
	Extension *extension `xml:"extension"`
}

type space struct {
	ID        identifier `xml:"SystemIdentifier"`
	Name      string     `xml:"SpaceName"`
	FloorArea *number    // ft²
}

type enclosure struct {
	Air         *airInfiltration `xml:"AirInfiltration"`
	Attics      *group[attic]
	Foundations *group[foundation]
	Garages     *group[garage]
}

type airInfiltration struct {
	Measurements []measurement `xml:"AirInfiltrationMeasurement"`
	Sealing      []sealing     `xml:"AirSealing"`
	Extension    *extension    `xml:"extension"`
}

type measurement struct {
	ID          identifier  `xml:"SystemIdentifier"`
	Date        string      `xml:",omitempty"`
	Outside     *number     `xml:"OutsideTemperature"` // °F
	Wind        string      `xml:"WindConditions,omitempty"`
	Type        string      `xml:"TypeOfInfiltrationMeasurement"`
	Test        string      `xml:"TypeOfBlowerDoorTest,omitempty"`
	Leakage     string      `xml:"TypeOfInfiltrationLeakage"`
	House       number      `xml:"HousePressure"` // Pa, above zero whichever the direction
	Air         *airLeakage `xml:"BuildingAirLeakage"`
	LeakageArea *number     `xml:"EffectiveLeakageArea"` // in², at 4 Pa
	Volume      *number     `xml:"InfiltrationVolume"`   // ft³
	Height      *number     `xml:"InfiltrationHeight"`   // ft
	Extension   *extension  `xml:"extension"`
}

type airLeakage struct {
	Unit  string `xml:"UnitofMeasure"`
	Value number `xml:"AirLeakage"`
}

// sealing is work on one leak. It has no extension: what it would do stands in that of
// airInfiltration.
type sealing struct {
	ID         identifier       `xml:"SystemIdentifier"`
	Hours      *int             // whole ones, as the schema asks
	Components sealedComponents `xml:"ComponentsAirSealed"`
}

type sealedComponents struct {
	Attic      string `xml:"Attic,omitempty"`
	Foundation string `xml:"BasementCrawlspace,omitempty"`
	Living     string `xml:"LivingSpace,omitempty"`
}

type attic struct {
	XMLName xml.Name   `xml:"Attic"`
	ID      identifier `xml:"SystemIdentifier"`
	Space   reference  `xml:"AttachedToSpace"`
	Type    vented     `xml:"AtticType>Attic"`
	Within  bool       `xml:"WithinInfiltrationVolume"`
}

type foundation struct {
	XMLName xml.Name       `xml:"Foundation"`
	ID      identifier     `xml:"SystemIdentifier"`
	Space   reference      `xml:"AttachedToSpace"`
	Type    foundationType `xml:"FoundationType"`
	Within  bool           `xml:"WithinInfiltrationVolume"`
}

type foundationType struct {
	Basement   *struct{}
	Crawlspace *vented
}

type vented struct {
	Vented *bool
}

type garage struct {
	XMLName xml.Name   `xml:"Garage"`
	ID      identifier `xml:"SystemIdentifier"`
	Space   reference  `xml:"AttachedToSpace"`
	Type    vented     `xml:"GarageType"`
}
