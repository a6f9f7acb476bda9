package hpxml

type systems struct {
	Distribution *distribution `xml:"HVAC>HVACDistribution"`
	Fan          *fan          `xml:"MechanicalVentilation>VentilationFans>VentilationFan"`
}

type distribution struct {
	ID        identifier      `xml:"SystemIdentifier"`
	Air       airDistribution `xml:"DistributionSystemType>AirDistribution"`
	Heating   *number         `xml:"AnnualHeatingDistributionSystemEfficiency"` // a fraction
	Cooling   *number         `xml:"AnnualCoolingDistributionSystemEfficiency"`
	Extension *extension      `xml:"extension"`
}

type airDistribution struct {
	Leakage []ductLeakage `xml:"DuctLeakageMeasurement"`
}

type ductLeakage struct {
	Side      string     `xml:"DuctType,omitempty"`
	Method    string     `xml:"DuctLeakageTestMethod,omitempty"`
	Leakage   *ductAir   `xml:"DuctLeakage"`
	Extension *extension `xml:"extension"`
}

type ductAir struct {
	Units string  `xml:",omitempty"`
	Value *number // cfm
	Where string  `xml:"TotalOrToOutside"`
}

type fan struct {
	ID     identifier `xml:"SystemIdentifier"`
	Type   string     `xml:"FanType,omitempty"`
	Tested number     `xml:"TestedFlowRate"` // cfm
	Whole  bool       `xml:"UsedForWholeBuildingVentilation"`
}
