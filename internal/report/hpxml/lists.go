package hpxml

import "encoding/xml"

// What the lists of an extension hold.

// leak is one leak: its size is what it alone passes with 50 Pa across it.
type leak struct {
	XMLName xml.Name `xml:"Leak"`
	pair
	Note     string `xml:"note,attr,omitempty"`
	Resolved bool   `xml:"resolved,attr"`
	Size     *estimate
	Area     *estimate
	Exponent *estimate
	FlowNow  *estimate // with the house at 50 Pa
}

// step is one leak to seal: what it alone would save, and what the fan would read.
type step struct {
	XMLName xml.Name `xml:"Seal"`
	Step    int      `xml:"step,attr,omitempty"` // place in the best order, from 1
	Sealing string   `xml:"sealing,attr,omitempty"`
	pair
	What        string  `xml:"what,attr,omitempty"`
	Direct      bool    `xml:"direct,attr,omitempty"`
	Health      bool    `xml:"health,attr,omitempty"`
	Hours       number  `xml:"hours,attr,omitempty"`
	ChanceFirst *number `xml:"chanceFirst,attr,omitempty"`
	Fall        *estimate
	FallPerHour *estimate
	FanAfter    *estimate
	FanAtStep   *estimate
	Note        string `xml:",omitempty"`
}

// register is a register with the pressure across it, covered, at 50 Pa.
type register struct {
	XMLName xml.Name `xml:"Register"`
	Name    string   `xml:"name,attr"`
	Side    string   `xml:"side,attr,omitempty"`
	Cover50 *estimate
}

// ductZone is the pressure in ducts while the house is held.
type ductZone struct {
	XMLName            xml.Name `xml:"DuctZone"`
	Name               string   `xml:"name,attr"`
	PressureToHouse    *estimate
	ConnectionFraction *estimate
	ThroughFlow        *estimate
}

// change is a flow at 50 Pa before and after.
type change struct {
	XMLName xml.Name `xml:"Change"`
	pair
	Covered bool   `xml:"covered,attr,omitempty"`
	Sealed  bool   `xml:"sealed,attr,omitempty"`
	Tied    bool   `xml:"takenAsUnchanged,attr,omitempty"`
	Real    bool   `xml:"real,attr"` // the interval of the fall excludes zero
	Text    string `xml:"text,attr"`
	Before  *estimate
	After   *estimate
	Fall    *estimate
}

type promise struct {
	Of       string `xml:"of,attr"`
	Fraction number `xml:"fraction,attr,omitempty"`
	Verdict  string `xml:"verdict,attr"`
	Fall     *estimate
	Came     *estimate
	Over     *estimate
	Share    *estimate
}

type notice struct {
	XMLName xml.Name `xml:"Notice"`
	Level   string   `xml:"level,attr"`
	About   string   `xml:"about,attr,omitempty"`
	Text    string   `xml:",chardata"`
}

// worstCase is what the standard has no element for of a worst-case depressurisation.
type worstCase struct {
	When             string `xml:"when,attr"` // what ran when it was worst
	Appliance        string `xml:"appliance,attr,omitempty"`
	Setup            string `xml:"setup,attr,omitempty"`
	Spillage         string `xml:"spillage,attr,omitempty"`
	Limit            string `xml:"limit,attr,omitempty"`
	Verdict          string `xml:"verdict,attr,omitempty"`
	NetChange        *estimate
	AirHandlerChange *estimate
}
