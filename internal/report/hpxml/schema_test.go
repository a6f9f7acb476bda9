package hpxml

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// order is the order of the elements that are written, by the names of an element and
// of the one around it where that is needed: HPXML 4.2 (2025-06-30), HPXMLBaseElements,
// where each of these is an xs:sequence.
var order = map[string]string{
	"HPXML":                           "XMLTransactionHeaderInformation SoftwareInfo Building Project",
	"XMLTransactionHeaderInformation": "XMLType XMLGeneratedBy CreatedDateAndTime Transaction",
	"SoftwareInfo":                    "SoftwareProgramUsed SoftwareProgramVersion extension",
	"Building":                        "BuildingID Site ProjectStatus BuildingDetails extension",
	"BuildingID":                      identifiers,
	"SiteID":                          identifiers,
	"ProjectID":                       identifiers,
	"SystemIdentifier":                identifiers,
	"Site":                            "SiteID Address Elevation",
	"Address":                         "Address1",
	"ProjectStatus":                   "EventType Date",
	"BuildingDetails":                 "BuildingSummary Zones Enclosure Systems HealthAndSafety",
	"HealthAndSafety":                 "CombustionAppliances",
	"CombustionAppliances":            "CombustionApplianceZone",
	"CombustionApplianceZone":         "SystemIdentifier CAZDepressurizationLimit BaselineTest PoorCaseTest NetPressureChange DepressurizationFindingPoorCase AmountAmbientCOinCAZduringTesting AmbientCOinCAZExceeded35ppmduringTesting extension",
	"BaselineTest":                    "Pressure",
	"PoorCaseTest":                    "Pressure",
	"DepressurizationFindingPoorCase": "pass|fail",
	"AmbientCOinCAZExceeded35ppmduringTesting": "true|false",
	"BuildingSummary":                          "BuildingConstruction",
	"BuildingConstruction":                     "NumberofBedrooms ConditionedFloorArea ConditionedBuildingVolume",
	"Zones":                                    "Zone",
	"Zone":                                     "SystemIdentifier ZoneName Spaces extension",
	"Spaces":                                   "Space",
	"Space":                                    "SystemIdentifier SpaceName FloorArea",
	"Enclosure":                                "AirInfiltration Attics Foundations Garages",
	"AirInfiltration":                          "AirInfiltrationMeasurement AirSealing extension",
	"AirInfiltrationMeasurement":               "SystemIdentifier Date OutsideTemperature WindConditions TypeOfInfiltrationMeasurement TypeOfBlowerDoorTest TypeOfInfiltrationLeakage HousePressure BuildingAirLeakage EffectiveLeakageArea InfiltrationVolume InfiltrationHeight extension",
	"BuildingAirLeakage":                       "UnitofMeasure AirLeakage",
	"AirSealing":                               "SystemIdentifier Hours ComponentsAirSealed",
	"ComponentsAirSealed":                      "Attic BasementCrawlspace LivingSpace",
	"Attics":                                   "Attic",
	"Attics/Attic":                             "SystemIdentifier AttachedToSpace AtticType WithinInfiltrationVolume",
	"AtticType":                                "Attic",
	"AtticType/Attic":                          "Vented",
	"Foundations":                              "Foundation",
	"Foundation":                               "SystemIdentifier AttachedToSpace FoundationType WithinInfiltrationVolume",
	"FoundationType":                           "Basement Crawlspace",
	"Crawlspace":                               "Vented",
	"Garages":                                  "Garage",
	"Garage":                                   "SystemIdentifier AttachedToSpace GarageType",
	"GarageType":                               "Vented",
	"Systems":                                  "HVAC MechanicalVentilation",
	"HVAC":                                     "HVACDistribution",
	"HVACDistribution":                         "SystemIdentifier DistributionSystemType AnnualHeatingDistributionSystemEfficiency AnnualCoolingDistributionSystemEfficiency extension",
	"DistributionSystemType":                   "AirDistribution",
	"AirDistribution":                          "DuctLeakageMeasurement",
	"DuctLeakageMeasurement":                   "DuctType DuctLeakageTestMethod DuctLeakage extension",
	"DuctLeakage":                              "Units Value TotalOrToOutside",
	"MechanicalVentilation":                    "VentilationFans",
	"VentilationFans":                          "VentilationFan",
	"VentilationFan":                           "SystemIdentifier FanType TestedFlowRate UsedForWholeBuildingVentilation",
	"Project":                                  "ProjectID PreBuildingID PostBuildingID ProjectDetails",
	"ProjectDetails":                           "Title ProjectStatus extension",
	"XMLType":                                  "HPXML",
	"PreBuildingID":                            "",
	"PostBuildingID":                           "",
	"AttachedToSpace":                          "",
	"Basement":                                 "",
	"EventType":                                "audit|job completion testing/final inspection",
	"Transaction":                              "create",
	"WindConditions":                           "windy|normal",
	"TypeOfInfiltrationMeasurement":            "blower door",
	"TypeOfBlowerDoorTest":                     "pressurization|depressurization",
	"TypeOfInfiltrationLeakage":                "building total|unit total|unit exterior only",
	"UnitofMeasure":                            "CFM|ACH",
	"ComponentsAirSealed/Attic":                "attic floor|kneewall transitions|other",
	"BasementCrawlspace":                       "other",
	"LivingSpace":                              "home-garage connection|other",
	"DuctType":                                 "supply|return",
	"DuctLeakageTestMethod":                    "duct leakage tester|blower door subtract|pressure pan",
	"Units":                                    "CFM25|CFM per Std 152",
	"TotalOrToOutside":                         "to outside|total",
	"FanType":                                  "balanced",
	"Vented":                                   "true|false",
	"WithinInfiltrationVolume":                 "true|false",
	"UsedForWholeBuildingVentilation":          "true|false",
	"XMLGeneratedBy":                           "holdbook",
	"SoftwareProgramUsed":                      "holdbook",
	"SendingSystemIdentifierType":              "job name|proposed, not done|space",
}

const identifiers = "SendingSystemIdentifierType SendingSystemIdentifierValue"

// texts are the elements that hold any text, and numbers those that hold a number, with
// the least that the schema lets it be; exclusive of zero where that stands for it.
var (
	texts   = []string{"SendingSystemIdentifierValue", "SoftwareProgramVersion", "Address1", "ZoneName", "SpaceName", "Title"}
	numbers = map[string]string{
		"Elevation": "any", "OutsideTemperature": "any", "TestedFlowRate": "any", "Hours": "whole", "NumberofBedrooms": "whole",
		"ConditionedFloorArea": "above", "ConditionedBuildingVolume": "above", "FloorArea": "above", "HousePressure": "above", "AirLeakage": "above",
		"EffectiveLeakageArea": "above", "InfiltrationVolume": "above", "InfiltrationHeight": "above", "Value": "zero",
		"CAZDepressurizationLimit": "any", "Pressure": "any", "NetPressureChange": "any", "AmountAmbientCOinCAZduringTesting": "zero",
		"AnnualHeatingDistributionSystemEfficiency": "fraction", "AnnualCoolingDistributionSystemEfficiency": "fraction",
	}
)

// rule is what the tables say of an element; ok is false for one that they do not know.
func rule(path []string) (string, bool) {
	name := path[len(path)-1]
	if len(path) > 1 {
		if r, ok := order[path[len(path)-2]+"/"+name]; ok {
			return r, true
		}
	}
	r, ok := order[name]
	return r, ok
}

// Every element of a document stands where the standard wants it and holds what it
// allows there.
func TestOrderAndWords(t *testing.T) {
	seen := map[string]bool{}
	for name, text := range documents(t) {
		var walk func(n *node, path ...string)
		walk = func(n *node, path ...string) {
			path = append(path, n.XMLName.Local)
			seen[n.XMLName.Local] = true
			if keeps(t, name, path, n) {
				for _, c := range n.Children {
					walk(c, path[:len(path):len(path)]...)
				}
			}
		}
		walk(parsed(t, text))
	}
	for name := range numbers {
		assert.True(t, seen[name], "no document has %s", name)
	}
}

// keeps holds an element to the tables; it tells whether those know its children.
func keeps(t *testing.T, document string, path []string, n *node) bool {
	t.Helper()
	at, value := document+": "+strings.Join(path, "/"), strings.TrimSpace(n.Text)
	require.Equal(t, namespace, n.XMLName.Space, at)
	switch r, known := rule(path); {
	case n.XMLName.Local == "extension":
		require.Len(t, n.Children, 1, at)
		n.Children[0].each(func(_ []string, c *node) { require.Equal(t, "urn:holdbook:1", c.XMLName.Space, at) })
		return false
	case len(n.Children) > 0:
		require.True(t, known, at)
		inOrder(t, at, strings.Fields(r), n)
	case numbers[n.XMLName.Local] != "":
		inRange(t, at, numbers[n.XMLName.Local], value)
	case slices.Contains(texts, n.XMLName.Local):
		require.NotEmpty(t, value, at)
	case strings.HasPrefix(n.XMLName.Local, "Created"):
		_, err := time.Parse(time.RFC3339, value)
		require.NoError(t, err, at)
	case n.XMLName.Local == "Date":
		_, err := time.Parse(time.DateOnly, value)
		require.NoError(t, err, at)
	default:
		require.True(t, known, "%s is not in the tables", at)
		require.True(t, value == "" || slices.Contains(strings.Split(r, "|"), value), "%s is %q", at, value)
	}
	return true
}

// inOrder holds children to an order; only some may come again.
func inOrder(t *testing.T, at string, order []string, n *node) {
	t.Helper()
	again := []string{"Building", "Project", "Zone", "AirInfiltrationMeasurement", "AirSealing", "Attic", "Foundation", "Garage", "DuctLeakageMeasurement", "CombustionApplianceZone"}
	last := -1
	for _, c := range n.Children {
		i := slices.Index(order, c.XMLName.Local)
		require.GreaterOrEqual(t, i, 0, "%s/%s is not in the table", at, c.XMLName.Local)
		require.True(t, i > last || i == last && slices.Contains(again, c.XMLName.Local), "%s/%s is out of order", at, c.XMLName.Local)
		last = i
	}
}

func inRange(t *testing.T, at, rule, value string) {
	t.Helper()
	v, err := strconv.ParseFloat(value, 64)
	require.NoError(t, err, at)
	switch rule {
	case "whole":
		require.Regexp(t, `^\d+$`, value, at)
	case "above":
		require.Positive(t, v, at)
	case "zero":
		require.GreaterOrEqual(t, v, 0.0, at)
	case "fraction":
		require.True(t, v > 0 && v <= 1, "%s is %s", at, value)
	}
}

// An id is an xs:ID: unique in the document, a letter first, nothing but letters,
// digits and dashes; what is pointed to is there.
func TestIdentifiers(t *testing.T) {
	for name, text := range documents(t) {
		ids, refs := map[string]bool{}, []string{}
		parsed(t, text).each(func(path []string, n *node) {
			if id := n.attr("id"); id != "" {
				require.Regexp(t, regexp.MustCompile(`^[a-z][a-z0-9-]*$`), id, name)
				require.False(t, ids[id], "%s: %s twice", name, id)
				ids[id] = true
			} else {
				require.NotContains(t, []string{"SystemIdentifier", "BuildingID", "SiteID", "ProjectID"}, n.XMLName.Local, "%s: without an id", name)
			}
			refs = append(refs, n.attr("idref"), n.attr("sealing"))
		})
		for _, r := range refs {
			require.True(t, r == "" || ids[r], "%s: no %s", name, r)
		}
	}
}
