package hpxml

import (
	"bytes"
	"encoding/xml"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

var update = flag.Bool("update", false, "rewrite the golden documents; read the difference")

// The findings of the golden documents are kept beside them: what the program makes of
// the demonstration may change.
func TestGoldenDocuments(t *testing.T) {
	kept := golden(t, "demo")
	var both bytes.Buffer
	require.NoError(t, WriteComparison(&both, []*advise.ComparePlan{invented()}, []*survey.Findings{kept, {Job: survey.Job{Date: "2026-04-02"}}}, made))
	for name, text := range map[string][]byte{"demo": documentOf(t, kept), "compared": both.Bytes(), "nothing": documentOf(t, &survey.Findings{Results: 1})} {
		path := filepath.Join("testdata", name+".xml")
		if *update {
			require.NoError(t, os.WriteFile(path, text, 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, string(want), string(text), name)
	}
}

const measured1 = "Building/BuildingDetails/Enclosure/AirInfiltration/AirInfiltrationMeasurement"

// What the sheet says of the test, in the words of the standard.
func TestWordsOfTheTest(t *testing.T) {
	d := parsed(t, documentOf(t, surveyed(t, allKinds)))
	for path, want := range map[string]string{
		measured1 + "/TypeOfBlowerDoorTest":                                                             "pressurization",
		measured1 + "/TypeOfInfiltrationLeakage":                                                        "unit total",
		measured1 + "/WindConditions":                                                                   "windy",
		measured1 + "/OutsideTemperature":                                                               "95",
		measured1 + "/HousePressure":                                                                    "50",
		measured1 + "/Date":                                                                             "2026-05-04",
		"Building/Site/Elevation":                                                                       "-9.84251969",
		"Building/ProjectStatus/EventType":                                                              "audit",
		"XMLTransactionHeaderInformation/Transaction":                                                   "create",
		"XMLTransactionHeaderInformation/CreatedDateAndTime":                                            "2026-03-14T14:09:26Z",
		"SoftwareInfo/SoftwareProgramVersion":                                                           "v1.2.3",
		"Building/BuildingDetails/Enclosure/Attics/Attic/AtticType/Attic/Vented":                        "false",
		"Building/BuildingDetails/Enclosure/Attics/Attic/WithinInfiltrationVolume":                      "false",
		"Building/BuildingDetails/Enclosure/Garages/Garage/GarageType/Vented":                           "true",
		"Building/BuildingDetails/Zones/Zone/Spaces/Space/FloorArea":                                    "861.112833",
		"Building/BuildingDetails/Systems/MechanicalVentilation/VentilationFans/VentilationFan/FanType": "balanced",
	} {
		assert.Equal(t, want, d.one(t, path), path)
	}
	enclosure := d.all("Building/BuildingDetails/Enclosure")[0]
	require.Len(t, d.all("Building/BuildingDetails/Zones/Zone"), 7, "all but the ducts")
	require.Len(t, enclosure.all("Foundations/Foundation"), 2)
	require.Equal(t, "true", enclosure.all("Foundations/Foundation/FoundationType/Crawlspace/Vented")[0].Text)
	require.Len(t, enclosure.all("Foundations/Foundation/FoundationType/Basement"), 1)
	require.Empty(t, enclosure.all("AirInfiltration/AirSealing/Hours"), "the standard has whole hours only")
	require.NotEmpty(t, enclosure.all("AirInfiltration/extension/Findings/SealFirst/Seal"))
}

func TestWind(t *testing.T) {
	for text, want := range map[string]string{"": "", "calm": "normal", "Light, some gusts": "normal", "breezy": "windy", "breezy;": "windy",
		"strong": "", "very breezy": ""} {
		assert.Equal(t, want, wind(text), text)
	}
}

// A share of one is a house that stands alone; any neighbour makes it a dwelling.
func TestExtent(t *testing.T) {
	for share, want := range map[float64]string{0: "building total", 1: "building total", 0.999: "unit total"} {
		m := maker{Findings: &survey.Findings{Building: &survey.Building{ExteriorShare: share}}}
		assert.Equal(t, want, m.extent(), share)
	}
	m := maker{Findings: &survey.Findings{Building: &survey.Building{}, Zones: []survey.Zone{{Kind: "neighbour"}}}}
	assert.Equal(t, "unit total", m.extent())
}

// The efficiency of the distribution is of heating or of cooling, a fraction that is
// neither zero nor above one.
func TestModeOfTheEfficiency(t *testing.T) {
	for _, c := range []struct {
		mode             string
		percent          float64
		heating, cooling string
	}{
		{"heating", 77.2, "0.772", ""}, {"cooling", 64, "", "0.64"}, {"", 64, "", ""},
		{"heating", 100, "1", ""}, {"heating", 100.001, "", ""}, {"heating", 0, "", ""}, {"cooling", -3, "", ""},
	} {
		f := &survey.Findings{Ducts: &survey.Ducts{Mode: c.mode, DistributionEfficiency: &survey.Q{Value: c.percent, Low: c.percent - 1, High: c.percent + 1, Unit: units.Percent}}}
		d := parsed(t, documentOf(t, f))
		text := func(which string) string {
			found := d.all("Building/BuildingDetails/Systems/HVAC/HVACDistribution/Annual" + which + "DistributionSystemEfficiency")
			if len(found) == 0 {
				return ""
			}
			return found[0].Text
		}
		assert.Equal(t, c.heating, text("Heating"), c)
		assert.Equal(t, c.cooling, text("Cooling"), c)
		assert.NotEmpty(t, d.all("Building/BuildingDetails/Systems/HVAC/HVACDistribution/extension/Findings/DistributionEfficiency"))
	}
}

// Hours are whole in the standard; others stand in the extension.
func TestHoursAreWhole(t *testing.T) {
	for hours, want := range map[float64]int{4: 1, 4.5: 0, 0: 0, 0.5: 0} {
		f := &survey.Findings{SealFirst: []survey.SealChoice{{Between: [2]string{"house", "attic"}, Step: 1, Hours: hours}}}
		d := parsed(t, documentOf(t, f))
		assert.Len(t, d.all("Building/BuildingDetails/Enclosure/AirInfiltration/AirSealing/Hours"), want, hours)
	}
}

// A result that is no number is left out, with what only it gave; nothing else is.
func TestNoNumberThatIsNone(t *testing.T) {
	f := golden(t, "demo")
	f.House.Flow50.High, f.Zones[0].ToHouse.Low, f.House.AirChanges50.Value = math.Inf(1), math.NaN(), math.Inf(-1)
	text := string(documentOf(t, f))
	for _, none := range []string{"NaN", "Inf\"", "Inf<", "UnitofMeasure"} {
		require.False(t, strings.Contains(text, none), none)
	}
	for _, said := range []string{"no finite number and were left out", "<NotResolved>leakage of the house</NotResolved>", "<NotResolved>pressure of the attic</NotResolved>"} {
		require.True(t, strings.Contains(text, said), said)
	}
}

// A number that must be above zero is left out where it is not.
func TestNothingBelowZero(t *testing.T) {
	f := golden(t, "demo")
	f.House.Flow50.Value, f.House.LeakArea4.Value, f.Building.Volume.Value = 0, 0, 0
	d := parsed(t, documentOf(t, f))
	require.Len(t, d.all(measured1), 1, "the air changes")
	require.Empty(t, d.all(measured1+"/InfiltrationVolume"))
	require.Empty(t, d.all("Building/BuildingDetails/BuildingSummary/BuildingConstruction/ConditionedBuildingVolume"))
	f = golden(t, "demo")
	f.House.LeakArea4.Value = 0
	require.Empty(t, parsed(t, documentOf(t, f)).all(measured1+"/EffectiveLeakageArea"))
}

// What the readings only bound has bounds and no value, in the standard's element
// neither.
func TestUnresolved(t *testing.T) {
	f := surveyed(t, "[[hold]]\nhouse = \"50 Pa\"\nto_house = { attic = \"44 Pa\" }\n[[duct_test]]\nmethod = \"total\"\npressure = \"25 Pa\"\nflow = \"0 cfm\"\n")
	require.Nil(t, f.House.Flow50)
	text := documentOf(t, f)
	d := parsed(t, text)
	require.Empty(t, d.all(measured1))
	unresolved := d.all("Building/extension/Findings/NotResolved")
	require.NotEmpty(t, unresolved)
	require.Equal(t, "leakage of the house", unresolved[0].Text)
	sizes := d.all("Building/BuildingDetails/Enclosure/AirInfiltration/extension/Findings/Leaks/Leak/Size")
	require.NotEmpty(t, sizes)
	for _, q := range sizes {
		require.Empty(t, q.attr("value"))
		require.NotEmpty(t, q.attr("low"))
	}
	require.NotEmpty(t, d.all("Building/BuildingDetails/Zones/Zone/extension/Findings/PressureToHouse")[0].attr("value"))
	for _, l := range parsed(t, documentOf(t, golden(t, "demo"))).all("Building/BuildingDetails/Systems/HVAC/HVACDistribution/DistributionSystemType/AirDistribution/DuctLeakageMeasurement") {
		if q := l.all("extension/Findings/DuctLeakage"); len(q) > 0 {
			require.Equal(t, q[0].attr("value") == "", len(l.all("DuctLeakage/Value")) == 0, l.one(t, "extension/Findings/Name"))
		}
	}
}

// What is worked out of another test is no measurement beside one; alone it stands as
// what the report gives.
func TestMeasurementsAreMeasured(t *testing.T) {
	const path = "Building/BuildingDetails/Systems/HVAC/HVACDistribution/DistributionSystemType/AirDistribution/DuctLeakageMeasurement"
	supply := func(f *survey.Findings) (names []string) {
		for _, l := range parsed(t, documentOf(t, f)).all(path) {
			if side := l.all("DuctType"); len(side) > 0 && side[0].Text == "supply" && l.one(t, "DuctLeakage/Units") == "CFM per Std 152" {
				names = append(names, l.one(t, "extension/Findings/Name"))
			}
		}
		return names
	}
	f := golden(t, "demo")
	require.Equal(t, []string{"on/off test"}, supply(f))
	for i, x := range f.Ducts.Tests {
		if x.Method == survey.CarriedTest && x.Quantity == "supply_leakage" {
			f.Ducts.SupplyLeakage, f.Ducts.Tests = x.Result, f.Ducts.Tests[i:i+1]
			break
		}
	}
	require.Equal(t, []string{"all tests together"}, supply(f))
	f.Ducts.SupplyLeakage = nil
	require.Empty(t, supply(f))
}

// A name is text whatever stands in it, and no name makes an id.
func TestNamesAreText(t *testing.T) {
	const odd = `</Zone><x a="1"> & ]]> 日本 🏠`
	f := golden(t, "demo")
	f.Zones[0].Name, f.Job.Name, f.Job.Place = odd, odd+"\x1b[31m\u202e\x00\ufffe", odd
	d := parsed(t, documentOf(t, f))
	require.Equal(t, odd, d.one(t, "Building/BuildingDetails/Zones/Zone/ZoneName"))
	require.Equal(t, odd, d.one(t, "Building/Site/Address/Address1"))
	require.True(t, strings.HasPrefix(d.one(t, "Building/BuildingID/SendingSystemIdentifierValue"), odd))
	for _, r := range d.one(t, "Building/BuildingID/SendingSystemIdentifierValue") {
		require.False(t, r < ' ' || r == '\u202e' || r == '\ufffe', "%q", r)
	}
}

// No maker of a device is named: what the sheet says of instruments and by whom they
// were read stays with the sheet.
func TestNoMakerIsNamed(t *testing.T) {
	const maker = "Zzyzx"
	f := surveyed(t, strings.ReplaceAll(`
[job]
by = "MAKER"
note = "MAKER"
[gauge]
id = "MAKER 12"
note = "MAKER"
[house]
note = "MAKER"
[[hold]]
house = "50 Pa"
fan = "2000 cfm"
range = "MAKER large"
note = "MAKER"
to_house = { attic = "44 Pa" }
[[duct_test]]
method = "total"
pressure = "25 Pa"
flow = "90 cfm"
range = "MAKER"
note = "MAKER"
[air_handler]
flow = "1000 cfm"
note = "MAKER"
`, "MAKER", maker))
	require.NotContains(t, string(documentOf(t, f)), maker)
	for name, text := range documents(t) {
		parsed(t, text).each(func(_ []string, n *node) {
			require.NotContains(t, []string{"Manufacturer", "ModelNumber", "SerialNumber", "AHRINumber"}, n.XMLName.Local, name)
		})
	}
}

func TestCreatedNowUnlessGiven(t *testing.T) {
	d := newDocument(report.Options{})
	at, err := time.Parse(time.RFC3339, d.Header.Created)
	require.NoError(t, err)
	require.WithinDuration(t, time.Now(), at, time.Minute)
}

func TestNoFindings(t *testing.T) {
	var b strings.Builder
	require.Error(t, report.Write(&b, nil, report.HPXML, made))
	plan, demo := []*advise.ComparePlan{invented()}, golden(t, "demo")
	require.Error(t, WriteComparison(&b, plan, []*survey.Findings{nil, demo}, made))
	require.Error(t, WriteComparison(&b, plan, []*survey.Findings{demo, nil}, made))
	require.Error(t, WriteComparison(&b, plan, []*survey.Findings{demo}, made))
	require.Empty(t, b.String())
}

// Visits are buildings in turn, projects what changed between each and the next.
func TestVisitsInTurn(t *testing.T) {
	d := parsed(t, compared(t))
	buildings, projects := d.all("Building"), d.all("Project")
	require.Len(t, buildings, 3)
	require.Len(t, projects, 2)
	for i, p := range projects {
		require.Equal(t, buildings[i].all("BuildingID")[0].attr("id"), p.all("PreBuildingID")[0].attr("idref"))
		require.Equal(t, buildings[i+1].all("BuildingID")[0].attr("id"), p.all("PostBuildingID")[0].attr("idref"))
	}
	for i, want := range []string{audit, finalTest, finalTest} {
		require.Equal(t, want, buildings[i].one(t, "ProjectStatus/EventType"))
	}
	changes := projects[0].all("ProjectDetails/extension/Findings/Changes/Change")
	require.Len(t, changes, 3)
	require.Equal(t, []string{"true", "378"}, []string{changes[0].attr("real"), changes[0].all("Fall")[0].attr("value")})
	require.Equal(t, []string{"false", ""}, []string{changes[2].attr("real"), changes[2].all("Fall")[0].attr("value")}, "a change that may be none has bounds alone")
	require.Equal(t, []string{"", "8", "90"}, []string{changes[1].all("After")[0].attr("value"), changes[1].all("After")[0].attr("low"), changes[1].all("After")[0].attr("high")})
	require.Equal(t, "1.08", projects[0].all("ProjectDetails/extension/Findings/Promise/Share")[0].attr("value"))
}

// The mark by which a document is known stands at its begin.
func TestMark(t *testing.T) {
	text := string(documentOf(t, golden(t, "demo")))
	require.True(t, strings.HasPrefix(text, xml.Header+Mark))
}

const caz1 = "Building/BuildingDetails/HealthAndSafety/CombustionAppliances/CombustionApplianceZone"

// A worst-case depressurisation has the standard's own elements; only the limit that the
// sheet states with its document passes or fails, and nothing that is too close to call.
func TestWorstCase(t *testing.T) {
	const test = "[gauge]\npressure = \"0.01 Pa\"\nwobble = \"0 Pa\"\n[[caz]]\nname = \"boiler room\"\nbaseline = \"-0.6 Pa\"\nexhaust = \"-3.4 Pa\"\nappliance = \"water heater\"\n"
	d := parsed(t, documentOf(t, surveyed(t, test+"limit = \"5 Pa\"\ndocument = \"the local code\"\nco = \"36 ppm\"\nspillage = \"none\"\n")))
	for path, want := range map[string]string{"SystemIdentifier/SendingSystemIdentifierValue": "boiler room", "CAZDepressurizationLimit": "-5", "BaselineTest/Pressure": "-0.6", "PoorCaseTest/Pressure": "-3.4",
		"NetPressureChange": "-2.8", "DepressurizationFindingPoorCase": "pass", "AmountAmbientCOinCAZduringTesting": "36", "AmbientCOinCAZExceeded35ppmduringTesting": "true"} {
		assert.Equal(t, want, d.one(t, caz1+"/"+path), path)
	}
	own := d.all(caz1 + "/extension/Findings/WorstCase")
	require.Len(t, own, 1)
	assert.Equal(t, []string{"exhaust fans on", "none", "within"}, []string{own[0].attr("when"), own[0].attr("spillage"), own[0].attr("verdict")})
	assert.NotEmpty(t, own[0].all("NetChange"))
	for more, want := range map[string]string{"": "", "limit = \"2 Pa\"\ndocument = \"x\"\n": "fail", "limit = \"-2.8 Pa\"\ndocument = \"x\"\n": ""} {
		found := parsed(t, documentOf(t, surveyed(t, test+more))).all(caz1)
		require.Len(t, found, 1, more)
		word := ""
		if f := found[0].all("DepressurizationFindingPoorCase"); len(f) > 0 {
			word = f[0].Text
		}
		assert.Equal(t, want, word, more)
		assert.Empty(t, found[0].all("AmountAmbientCOinCAZduringTesting"))
		assert.Len(t, found[0].all("CAZDepressurizationLimit"), map[bool]int{false: 1}[more == ""])
	}
	dry := parsed(t, documentOf(t, surveyed(t, test+"co = \"35 ppm\"\n")))
	assert.Equal(t, "false", dry.one(t, caz1+"/AmbientCOinCAZExceeded35ppmduringTesting"), "35 ppm is not above 35 ppm")
}

// A dwelling that was tested with its neighbours held level has a third measurement: what it
// leaks to outdoors alone.
func TestExteriorOnly(t *testing.T) {
	const flats = "[[zone]]\nname = \"east\"\nkind = \"neighbour\"\n[[hold]]\nname = \"alone\"\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"1000 cfm\"\n" +
		"opened = [ { between = [\"east\", \"outside\"], name = \"door\" } ]\nto_house = { east = \"49.9 Pa\" }\n"
	d := parsed(t, documentOf(t, surveyed(t, flats+"[[hold]]\nname = \"guarded\"\nhouse = \"-50 Pa\"\nfan = \"300 cfm\"\nguards = [\"east\"]\nto_house = { east = \"0 Pa\" }\n")))
	list := d.all(measured1)
	require.Len(t, list, 2)
	assert.Equal(t, "unit total", list[0].one(t, "TypeOfInfiltrationLeakage"))
	assert.Equal(t, "unit exterior only", list[1].one(t, "TypeOfInfiltrationLeakage"))
	flow, err := strconv.ParseFloat(list[1].one(t, "BuildingAirLeakage/AirLeakage"), 64)
	require.NoError(t, err)
	assert.InDelta(t, 300, flow, 30)
	assert.Len(t, parsed(t, documentOf(t, surveyed(t, flats))).all(measured1), 1)
}
