package hpxml

import (
	"encoding/xml"
	"strconv"
)

// The standard's elements, in the order that its schema asks for. What may be left out
// is: a nil pointer, an empty list, an empty text.

type document struct {
	XMLName       xml.Name `xml:"HPXML"`
	Namespace     string   `xml:"xmlns,attr"`
	SchemaVersion string   `xml:"schemaVersion,attr"`
	Header        header   `xml:"XMLTransactionHeaderInformation"`
	Software      software `xml:"SoftwareInfo"`
	Buildings     []building
	Projects      []project
}

type header struct {
	Type        string `xml:"XMLType"`
	GeneratedBy string `xml:"XMLGeneratedBy"`
	Created     string `xml:"CreatedDateAndTime"`
	Transaction string
}

type software struct {
	Program   string     `xml:"SoftwareProgramUsed"`
	Version   string     `xml:"SoftwareProgramVersion,omitempty"`
	Extension *extension `xml:"extension"`
}

// identifier is an id that is unique in the document, with what the sender calls the
// thing.
type identifier struct {
	ID    string `xml:"id,attr"`
	Type  string `xml:"SendingSystemIdentifierType,omitempty"`
	Value string `xml:"SendingSystemIdentifierValue,omitempty"`
}

// reference points to an id.
type reference struct {
	ID string `xml:"idref,attr"`
}

type building struct {
	XMLName   xml.Name   `xml:"Building"`
	ID        identifier `xml:"BuildingID"`
	Site      site
	Status    status `xml:"ProjectStatus"`
	Details   details
	Extension *extension `xml:"extension"`
}

type site struct {
	ID        identifier `xml:"SiteID"`
	Address   *address   `xml:"Address"`
	Elevation *number    // ft
}

type address struct {
	Line string `xml:"Address1"`
}

type status struct {
	Event string `xml:"EventType"`
	Date  string `xml:",omitempty"`
}

type details struct {
	XMLName   xml.Name `xml:"BuildingDetails"`
	Summary   *summary `xml:"BuildingSummary"`
	Zones     *group[zone]
	Enclosure *enclosure
	Systems   *systems
	CAZ       *group[caz] `xml:"HealthAndSafety>CombustionAppliances"`
}

type summary struct {
	Construction construction `xml:"BuildingConstruction"`
}

type construction struct {
	Bedrooms  *int    `xml:"NumberofBedrooms"`
	FloorArea *number `xml:"ConditionedFloorArea"`      // ft²
	Volume    *number `xml:"ConditionedBuildingVolume"` // ft³
}

type project struct {
	XMLName xml.Name   `xml:"Project"`
	ID      identifier `xml:"ProjectID"`
	Before  reference  `xml:"PreBuildingID"`
	After   reference  `xml:"PostBuildingID"`
	Details projectDetails
}

type projectDetails struct {
	XMLName   xml.Name   `xml:"ProjectDetails"`
	Title     string     `xml:",omitempty"`
	Status    status     `xml:"ProjectStatus"`
	Extension *extension `xml:"extension"`
}

// number is written with nine digits, more than any reading has: what a conversion
// leaves in the last places of a stated number does not show.
type number float64

const digits = 9

// MarshalText implements encoding.TextMarshaler.
func (n number) MarshalText() ([]byte, error) {
	return strconv.AppendFloat(nil, float64(n), 'g', digits, 64), nil
}
