package hpxml

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/report"
	"holdbook/internal/survey"
)

// inDocument takes a number of the JSON in SI to the units of the standard. Factors: NIST
// SP 811 (2008), appendix B.8; 1 cfm is 1.699 010 796 m³/h.
var inDocument = map[string]func(float64) float64{
	"m3/h": over(1.699010796), "m3/h/h": over(1.699010796), "m3/h/Pa^n": over(1.699010796), "cm2": over(6.4516), "m2": over(0.09290304), "m3": over(0.028316846592),
	"m": over(0.3048), "m3/(h·m2)": over(18.288), "°C": func(v float64) float64 { return 1.8*v + 32 },
	"Pa": over(1), "1/h": over(1), "": over(1), "%": over(1),
}

func over(factor float64) func(float64) float64 { return func(v float64) float64 { return v / factor } }

// demonstration is the findings of the demonstration sheet and their JSON in SI.
func demonstration(t *testing.T) (*survey.Findings, map[string]any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo.toml"))
	require.NoError(t, err)
	_, body, _ := strings.Cut(string(text), "sheet = 1\n")
	f := surveyed(t, body)
	f.Job.Units = "si"
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, f, report.JSON, report.Options{}))
	var object map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &object))
	return f, object
}

// at is the number at a path of keys and places, in the units of the document.
func at(t *testing.T, object map[string]any, path string) float64 {
	t.Helper()
	var v any = object
	unit := ""
	for key := range strings.SplitSeq(path, ".") {
		if list, ok := v.([]any); ok {
			i, err := strconv.Atoi(key)
			require.NoError(t, err, path)
			require.Less(t, i, len(list), path)
			v = list[i]
			continue
		}
		o, ok := v.(map[string]any)
		require.True(t, ok, path)
		unit, _ = o["unit"].(string)
		v = o[key]
	}
	number, ok := v.(float64)
	require.True(t, ok, path)
	require.NotNil(t, inDocument[unit], unit)
	return inDocument[unit](number)
}

const (
	details1 = "Building/BuildingDetails/"
	air1     = details1 + "Enclosure/AirInfiltration/"
	ducts1   = details1 + "Systems/HVAC/HVACDistribution/"
)

// Each number of the standard's own elements is that of the JSON it stands for.
func TestNumbersAreThoseOfTheJSON(t *testing.T) {
	f, object := demonstration(t)
	d := parsed(t, documentOf(t, f))
	for path, key := range map[string]string{
		"Building/Site/Elevation": "building.altitude.value",
		details1 + "BuildingSummary/BuildingConstruction/NumberofBedrooms":                       "building.bedrooms",
		details1 + "BuildingSummary/BuildingConstruction/ConditionedFloorArea":                   "building.floor_area.value",
		details1 + "BuildingSummary/BuildingConstruction/ConditionedBuildingVolume":              "building.volume.value",
		air1 + "AirInfiltrationMeasurement/OutsideTemperature":                                   "building.outdoor.value",
		air1 + "AirInfiltrationMeasurement/InfiltrationVolume":                                   "building.volume.value",
		air1 + "AirInfiltrationMeasurement/InfiltrationHeight":                                   "building.height.value",
		air1 + "AirInfiltrationMeasurement/BuildingAirLeakage/AirLeakage":                        "house.flow_50.value",
		air1 + "AirInfiltrationMeasurement/EffectiveLeakageArea":                                 "house.leak_area_4.value",
		air1 + "AirSealing/Hours":                                                                "seal_first.0.hours",
		details1 + "Systems/MechanicalVentilation/VentilationFans/VentilationFan/TestedFlowRate": "building.ventilation_fan.value",
	} {
		near(t, at(t, object, key), d.one(t, path), path)
	}
	flows := d.all(air1 + "AirInfiltrationMeasurement/BuildingAirLeakage")
	require.Len(t, flows, 2)
	assert.Equal(t, []string{"CFM", "ACH"}, []string{flows[0].one(t, "UnitofMeasure"), flows[1].one(t, "UnitofMeasure")})
	near(t, at(t, object, "house.air_changes_50.value"), flows[1].one(t, "AirLeakage"), "air changes")
	near(t, at(t, object, "ducts.distribution_efficiency.value")/100, d.one(t, ducts1+"AnnualHeatingDistributionSystemEfficiency"), "efficiency")
	for key, want := range map[string][3]string{
		"ducts.leakage_outside_25.value": {"CFM25", "to outside", ""}, "ducts.leakage_total_25.value": {"CFM25", "total", ""},
		"ducts.supply_leakage.value": {"CFM per Std 152", "to outside", "supply"}, "ducts.return_leakage.value": {"CFM per Std 152", "to outside", "return"},
	} {
		near(t, at(t, object, key), firstLeakage(t, d, want), key)
	}
}

// firstLeakage is the first value in a unit, of a place and a side.
func firstLeakage(t *testing.T, d *node, want [3]string) string {
	t.Helper()
	for _, l := range d.all(ducts1 + "DistributionSystemType/AirDistribution/DuctLeakageMeasurement") {
		side := ""
		if s := l.all("DuctType"); len(s) > 0 {
			side = s[0].Text
		}
		if len(l.all("DuctLeakage/Value")) > 0 && want == [3]string{l.one(t, "DuctLeakage/Units"), l.one(t, "DuctLeakage/TotalOrToOutside"), side} {
			return l.one(t, "DuctLeakage/Value")
		}
	}
	t.Fatalf("no leakage %v", want)
	return ""
}

// near holds a number of a document to nine digits.
func near(t *testing.T, want float64, text, what string) {
	t.Helper()
	got, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err, what)
	assert.InDelta(t, want, got, 1e-8*math.Abs(want), what)
}

// Each number of the extensions, with both ends of its interval, stands in the JSON.
func TestExtensionsHaveNoOtherNumbers(t *testing.T) {
	f, object := demonstration(t)
	var known []float64
	var gather func(v any, unit string)
	gather = func(v any, unit string) {
		switch v := v.(type) {
		case map[string]any:
			own, _ := v["unit"].(string)
			for key, x := range v {
				if key == "pressure" || key == "coefficient" { // of an area: Pa, and a number
					gather(x, "")
				} else {
					gather(x, own)
				}
			}
		case []any:
			for _, x := range v {
				gather(x, unit)
			}
		case float64:
			known = append(known, v)
			if convert := inDocument[unit]; convert != nil {
				known = append(known, convert(v))
			}
		}
	}
	gather(object, "")
	count := 0
	parsed(t, documentOf(t, f)).each(func(path []string, n *node) {
		if n.XMLName.Space == namespace {
			return
		}
		for _, a := range n.Attrs {
			v, err := strconv.ParseFloat(a.Value, 64)
			if err != nil || a.Name.Local == "level" && v == ordinary {
				continue
			}
			count++
			found := false
			for _, k := range known {
				found = found || math.Abs(v-k) <= 1e-8*math.Abs(k)
			}
			assert.True(t, found, "%s/%s is %s", strings.Join(path, "/"), a.Name.Local, a.Value)
		}
	})
	require.Greater(t, count, 150)
}

// The zone's pressure, the leak and the order of sealing stand under the names that the
// JSON has for them.
func TestExtensionsByName(t *testing.T) {
	f, object := demonstration(t)
	d := parsed(t, documentOf(t, f))
	zones := d.all(details1 + "Zones/Zone")
	require.Len(t, zones, 2)
	for i, z := range zones {
		key := "zones." + strconv.Itoa(i)
		assert.Equal(t, f.Zones[i].Name, z.one(t, "ZoneName"))
		for _, end := range []string{"value", "low", "high"} {
			near(t, at(t, object, key+".to_house."+end), z.all("extension/Findings/PressureToHouse")[0].attr(end), key)
			near(t, at(t, object, key+".connection_fraction."+end), z.all("extension/Findings/ConnectionFraction")[0].attr(end), key)
		}
	}
	steps := d.all(air1 + "extension/Findings/SealFirst/Seal")
	require.Len(t, steps, len(f.SealFirst))
	for i, s := range steps {
		key := "seal_first." + strconv.Itoa(i)
		assert.Equal(t, f.SealFirst[i].Between, [2]string{s.attr("between"), s.attr("and")})
		near(t, at(t, object, key+".drop_50.value"), s.all("Fall")[0].attr("value"), key)
		if !f.SealFirst[i].Direct {
			near(t, at(t, object, key+".step"), s.attr("step"), key)
			near(t, at(t, object, key+".drop_per_hour.value"), s.all("FallPerHour")[0].attr("value"), key)
			assert.Equal(t, f.SealFirst[i].Health, s.attr("health") == "true", key)
		}
	}
	house := d.all(air1 + "AirInfiltrationMeasurement/extension/Findings")[0]
	for name, key := range map[string]string{"Exponent": "house.exponent", "Coefficient": "house.coefficient", "EquivalentLeakageArea": "house.leak_area_10",
		"AirLeakage": "house.flow_50", "MultiPointTest/Coefficient": "house.multi_point.coefficient", "MultiPointTest/Exponent": "house.multi_point.exponent"} {
		for _, end := range []string{"value", "low", "high"} {
			near(t, at(t, object, key+"."+end), house.all(name)[0].attr(end), name)
		}
	}
	require.Empty(t, house.all("Exponent")[0].attr("assumed"), "it was held at several pressures")
	require.Equal(t, "true", func() string {
		one := *f
		one.House.ExponentAssumed = true
		return parsed(t, documentOf(t, &one)).all(air1 + "AirInfiltrationMeasurement/extension/Findings")[0].all("Exponent")[0].attr("assumed")
	}())
	near(t, at(t, object, "house.multi_point.r2"), house.all("MultiPointTest")[0].attr("r2"), "r²")
}

// Findings that were read back from metric results give the same document: what the
// sheet states is in the standard's units whatever it came in.
func TestNumbersFromMetricResults(t *testing.T) {
	f, _ := demonstration(t)
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, f, report.JSON, report.Options{}))
	back := &survey.Findings{}
	require.NoError(t, json.Unmarshal(b.Bytes(), back))
	require.Equal(t, string(documentOf(t, f)), string(documentOf(t, back)))
}

// Where the readings tell one end alone, the document says which.
func TestBoundsSayWhichEnd(t *testing.T) {
	f, _ := demonstration(t)
	f.Paths[0].Resolved, f.Paths[0].Bound = false, survey.AtLeast
	for i, x := range parsed(t, documentOf(t, f)).all(air1 + "extension/Findings/Leaks/Leak") {
		size := x.all("Size")[0]
		want := ""
		if !f.Paths[i].Resolved {
			want = string(f.Paths[i].Bound)
		}
		require.Equal(t, want, size.attr("bound"), i)
	}
}
