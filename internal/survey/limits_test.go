package survey

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ductLimit is a sheet with one total duct test and one limit.
func ductLimit(cfm float64, limit string) string {
	return fmt.Sprintf(`
[house]
floor_area = "1500 ft2"
[air_handler]
flow = "1200 cfm"
[[duct_test]]
method = "total"
pressure = "25 Pa"
flow = "%g cfm"
[[limit]]
%s
`, cfm, limit)
}

// IECC 2012: 4 cfm at 25 Pa for each 100 ft2, which is 60 cfm here (ICC flyer;
// Washington sheet). Title 24 2008: 6 % of 1200 cfm is 72 cfm.
func TestPublishedDuctLimits(t *testing.T) {
	for _, c := range []struct {
		cfm     float64
		name    string
		verdict string
	}{
		{50, "iecc-2012-total", "meets"}, {60, "IECC-2012-total", "too close to call"}, {70, "iecc-2012-total", "fails"},
		{55, "title24-2008-new", "meets"}, {72, "title24-2008-new", "too close to call"}, {90, "title24-2008-new", "fails"},
	} {
		f := surveyed(t, ductLimit(c.cfm, fmt.Sprintf("name = %q", c.name)))
		require.Len(t, f.Limits, 1, c.name)
		assert.Equal(t, c.verdict, f.Limits[0].Verdict, "%g cfm, %s", c.cfm, c.name)
	}
}

// A limit in the sheet's own words, on each basis.
func TestOwnLimits(t *testing.T) {
	for _, c := range []struct{ limit, verdict, unit string }{
		{"quantity = \"leakage_total_25\"\nat_most = \"4 cfm per 100 ft2\"", "meets", "cfm/ft2"},
		{"quantity = \"leakage_total_25\"\nat_most = \"3 %\"", "fails", "%"},
		{"quantity = \"leakage_total_25\"\nat_most = \"100 cfm\"", "meets", "cfm"},
		{"quantity = \"leakage_total_25\"\nat_least = \"100 cfm\"", "fails", "cfm"},
	} {
		f := surveyed(t, ductLimit(50, c.limit+"\ndocument = \"the local code\""))
		require.Len(t, f.Limits, 1, c.limit)
		assert.Equal(t, c.verdict, f.Limits[0].Verdict, c.limit)
		assert.Equal(t, c.unit, f.Limits[0].Result.Unit.Symbol(), c.limit)
		assert.Equal(t, "the local code", f.Limits[0].Document)
	}
}

// A limit that nothing in the sheet answers is named with what it lacks.
func TestLimitsWithoutResult(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{strings.Replace(ductLimit(50, `name = "iecc-2012-total"`), `floor_area = "1500 ft2"`, "", 1), "house.floor_area"},
		{ductLimit(50, `name = "iecc-2012-house"`), "no fan flow was read"},
		{ductLimit(50, `name = "garage-pressure"`), "no garage was read"},
		{ductLimit(50, `name = "no such"`), "not in the table"},
		{ductLimit(50, "quantity = \"leakage\"\nat_most = \"50 cfm\""), `no result is called "leakage"`},
	} {
		f := surveyed(t, c.text)
		assert.Empty(t, f.Limits)
		assert.Contains(t, noticeText(f), c.want)
	}
}

// The garage's first step: the house-to-garage pressure must exceed 45 Pa; its
// second: opening its door must not raise the fan flow by more than 6 % (PNNL
// garage-to-house guide).
func TestGarageLimits(t *testing.T) {
	const sheet = `
[gauge]
pressure = "0.1 %% or 0.02 Pa"
repeat = "0.1 %%"
wobble = "0.02 Pa"
[[hold]]
house = "50 Pa"
fan = "1000 cfm"
baseline = "0 Pa"
to_house = { garage = "%g Pa" }
[[hold]]
house = "50 Pa"
fan = "%g cfm"
opened = [ { between = ["garage", "outside"], name = "door" } ]
to_house = { garage = "49.9 Pa" }
[[limit]]
name = "garage-pressure"
[[limit]]
name = "garage-door"
`
	for _, c := range []struct {
		toHouse, fan float64
		want         [2]string
	}{{46, 1010, [2]string{"meets", "meets"}}, {42, 1100, [2]string{"fails", "fails"}}} {
		f := surveyed(t, fmt.Sprintf(sheet, c.toHouse, c.fan))
		require.Len(t, f.Limits, 2)
		assert.Equal(t, c.want, [2]string{f.Limits[0].Verdict, f.Limits[1].Verdict})
		assert.InDelta(t, c.fan/10-100, f.Limits[1].Result.Value, 0.01)
	}
}

// ventilated is the computed house of the facts (envelope, 5.2), exponent 0.65.
func ventilated(cfm float64, more string) string {
	return exactGauge + fmt.Sprintf(`
[house]
floor_area = "2000 ft2"
volume = "16000 ft3"
height = "16 ft"
bedrooms = 3
[[path]]
between = ["house", "outside"]
exponent = 0.65
[climate]
weather_factor = 0.60
[[hold]]
house = "50 Pa"
baseline = "0 Pa"
fan = "%g cfm"
%s
`, cfm, more)
}

// ASHRAE 62.2 for that house: 90 cfm in all; by air changes 3, 5 and 7 the
// infiltration and the fan of the computed table. The table takes the leak area
// as flow/2628, a rounding of what exponent 0.65 gives here: 0.3 %.
func TestVentilation(t *testing.T) {
	for _, c := range []struct{ cfm, infiltration, balanced, exhaust float64 }{
		{800, 32.7, 57.3, 78.1}, {1333.3, 54.5, 35.5, 57.0}, {1866.7, 76.3, 13.7, 25.4},
	} {
		v := surveyed(t, ventilated(c.cfm, "")).Ventilation
		require.NotNil(t, v)
		assert.InDelta(t, 90, v.Required.Value, 1e-9)
		assert.InEpsilon(t, c.infiltration, v.Infiltration.Value, 0.005)
		assert.InDelta(t, c.exhaust, v.Fan.Value, 0.5)
		v = surveyed(t, ventilated(c.cfm, "[ventilation]\nflow = \"10 cfm\"\nbalanced = true")).Ventilation
		assert.InDelta(t, c.balanced, v.Fan.Value, 0.5)
	}
}

// A house tighter than its ventilation is warned of; one with a fan that is
// enough is not; and nothing certifies.
func TestTighterThanItsVentilation(t *testing.T) {
	f := surveyed(t, ventilated(800, "[ventilation]\nflow = \"20 cfm\""))
	assert.Contains(t, noticeText(f), "tighter than its ventilation")
	assert.Contains(t, f.Ventilation.Text, "not enough")
	assert.Contains(t, f.Ventilation.Text, "Not a certificate")
	f = surveyed(t, ventilated(800, "[ventilation]\nflow = \"100 cfm\""))
	assert.NotContains(t, noticeText(f), "tighter than its ventilation")
	assert.Contains(t, f.Ventilation.Text, "is enough")
}

// Without the weather factor a model stands in, and no fan is asked for by it.
func TestVentilationModels(t *testing.T) {
	plain := strings.Replace(ventilated(1000, ""), "weather_factor = 0.60", "", 1)
	v := surveyed(t, plain).Ventilation
	assert.Contains(t, v.Model, "twentieth")
	assert.InDelta(t, 50, v.Infiltration.Value, 0.1)
	assert.Nil(t, v.Fan)
	weather := strings.Replace(ventilated(1000, ""), "weather_factor = 0.60", "shelter = 3\noutdoor = \"20 F\"\nindoor = \"70 F\"\nwind = \"8 mph\"", 1)
	weather = strings.Replace(weather, "bedrooms = 3", "bedrooms = 3\nstoreys = 2", 1)
	v = surveyed(t, weather).Ventilation
	assert.Contains(t, v.Model, "enhanced")
	assert.Nil(t, v.Fan)
	f := surveyed(t, "[ventilation]\nflow = \"10 cfm\"")
	assert.Nil(t, f.Ventilation)
	assert.Contains(t, noticeText(f), "house.bedrooms")
}

// The limits of a garage are applied without being asked for, where one was read, and once.
func TestGarageLimitsUnasked(t *testing.T) {
	found := func(text string) (list []string) {
		for _, l := range surveyed(t, exactGauge+text).Limits {
			list = append(list, l.Quantity+": "+l.Verdict)
		}
		return list
	}
	hold := "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\nto_house = { %s = \"%s Pa\" }\n"
	assert.Empty(t, found(fmt.Sprintf(hold, "attic", "30")))
	assert.Equal(t, []string{"house to garage pressure, garage: fails"}, found(fmt.Sprintf(hold, "garage", "44")))
	assert.Equal(t, []string{"house to garage pressure, garage: meets"}, found(fmt.Sprintf(hold, "garage", "46")))
	assert.Equal(t, []string{"house to garage pressure, garage: meets"}, found(fmt.Sprintf(hold, "garage", "46")+"[[limit]]\nname = \"garage-pressure\"\n"))
	open := "[[hold]]\nhouse = \"-50 Pa\"\nfan = \"2300 cfm\"\nopened = [{ between = [\"garage\", \"outside\"] }]\n"
	assert.Equal(t, []string{"house to garage pressure, garage: fails", "garage door rise, garage: fails"}, found(fmt.Sprintf(hold, "garage", "44")+open))
	assert.Empty(t, found("[[zone]]\nname = \"garage\"\n"+fmt.Sprintf(hold, "attic", "30")), "a garage that was not read")
}
