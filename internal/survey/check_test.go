package survey

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// checkDay is when the checks of these tests are made.
var checkDay = time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)

func checked(t *testing.T, text string) *CheckReport {
	t.Helper()
	s, err := sheet.Parse([]byte(text), "house.toml")
	require.NoError(t, err, text)
	return Check(s, Options{}, checkDay)
}

// Good sheets, simulated with the errors that instruments make, give no warning.
func TestGoodSheetsPass(t *testing.T) {
	files, err := filepath.Glob("../../testdata/good/*.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 20)
	for _, f := range append(files, "../../testdata/demo.toml") {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		c := checked(t, string(text))
		for _, i := range c.Items {
			assert.Equal(t, Remarks, i.Level, "%s: %v", f, i)
		}
	}
}

// goodSheet is a sheet without a slip: every zone read both ways, two pressures,
// a change with the fan read, ducts with tests, registers and an on/off pair.
const goodSheet = `sheet = 1
[job]
date = 2026-03-14
[house]
volume = "14400 ft3"
floor_area = "1800 ft2"
indoor = "68 F"
outdoor = "41 F"
[[zone]]
name = "attic"
[[zone]]
name = "garage"
[[hold]]
name = "as found"
time = 10:00:00
baseline = "-1.0 Pa"
house = "-51.0 Pa"
fan = "2000 cfm"
to_house = { attic = "43.1 Pa", garage = "45.4 Pa" }
to_outside = { attic = "-7.9 Pa", garage = "-5.6 Pa" }
[[hold]]
name = "as found, low"
time = 10:05:00
house = "-26.0 Pa"
fan = "1275 cfm"
to_house = { attic = "21.6 Pa", garage = "22.8 Pa" }
to_outside = { attic = "-4.4 Pa", garage = "-3.2 Pa" }
[[hold]]
name = "hatch open"
time = 10:15:00
house = "-51.1 Pa"
fan = "2610 cfm"
opened = [ { between = ["house", "attic"], name = "hatch" } ]
to_house = { attic = "19.0 Pa", garage = "45.4 Pa" }
to_outside = { attic = "-32.1 Pa", garage = "-5.7 Pa" }
[air_handler]
flow = "1150 cfm"
supply_pressure = "60 Pa"
[[register]]
name = "north"
side = "supply"
cover = "1.4 Pa"
flow = "92 cfm"
design = "100 cfm"
[[duct_test]]
method = "total"
pressure = "25 Pa"
flow = "200 cfm"
[[duct_test]]
method = "outside"
pressure = "25 Pa"
flow = "96 cfm"
residual = "0.1 Pa"
[[on_off]]
house = "-25 Pa"
off = "1274 cfm"
on = "1182 cfm"
`

func TestTheGoodSheetIsGood(t *testing.T) {
	for _, i := range checked(t, goodSheet).Items {
		assert.Equal(t, Remarks, i.Level, "%v", i)
	}
}

// Realistic slips, each planted in the good sheet, each with what makes it
// visible: the check names it at its place.
func TestSlipsAreSeen(t *testing.T) {
	for _, slip := range []struct {
		name, from, to string
		at             string // the text its place points to
		seenBy         string
	}{
		{"sign of a zone reading", `attic = "43.1 Pa", garage`, `attic = "-43.1 Pa", garage`, `"-43.1 Pa"`, "the direction of the hold"},
		{"sign of the second reference", `garage = "-5.6 Pa"`, `garage = "+5.6 Pa"`, `"+5.6 Pa"`, "the direction of the hold"},
		{"read to the wrong reference", `attic = "43.1 Pa", garage`, `attic = "7.9 Pa", garage`, "", "the other reference"},
		{"ten times too large", `garage = "45.4 Pa" }` + "\n" + `to_outside = { attic = "-7.9`, `garage = "454 Pa" }` + "\n" + `to_outside = { attic = "-7.9`, "", "the house pressure"},
		{"ten times too small", `attic = "21.6 Pa"`, `attic = "2.16 Pa"`, "", "the other reference"},
		{"closing error", `attic = "-7.9 Pa"`, `attic = "-11.5 Pa"`, `"-11.5 Pa"`, "the other reference"},
		{"inches of water", `attic = "21.6 Pa"`, `attic = "0.0867 Pa"`, "", "the other reference"},
		{"L/s for cfm", `fan = "1275 cfm"`, `fan = "602 cfm"`, `"602 cfm"`, "the hold at 50 Pa"},
		{"m3/h for cfm", `fan = "1275 cfm"`, `fan = "2166 cfm"`, `"2166 cfm"`, "the hold at 50 Pa"},
		{"flow ten times too large", `fan = "1275 cfm"`, `fan = "12750 cfm"`, `"12750 cfm"`, "the hold at 50 Pa"},
		{"fan flow fell when opened", `fan = "2610 cfm"`, `fan = "1710 cfm"`, `"1710 cfm"`, "the hold as found"},
		{"nothing moved when opened", `fan = "2610 cfm"` + "\n" + `opened = [ { between = ["house", "attic"], name = "hatch" } ]` + "\n" + `to_house = { attic = "19.0 Pa", garage = "45.4 Pa" }` + "\n" + `to_outside = { attic = "-32.1 Pa"`, `fan = "2005 cfm"` + "\n" + `opened = [ { between = ["house", "attic"], name = "hatch" } ]` + "\n" + `to_house = { attic = "43.2 Pa", garage = "45.4 Pa" }` + "\n" + `to_outside = { attic = "-7.9 Pa"`, "", "the hold as found"},
		{"opening not listed", `opened = [ { between = ["house", "attic"], name = "hatch" } ]` + "\n", "", "", "its name, and the hold as found"},
		{"baseline too large", `baseline = "-1.0 Pa"`, `baseline = "-6.5 Pa"`, `"-6.5 Pa"`, "the standards' 5 Pa"},
		{"baseline drifting", `baseline = "-1.0 Pa"`, `baseline = "-1.0 Pa"` + "\n" + `baseline_after = "-4.2 Pa"`, `"-1.0 Pa"`, "the second baseline"},
		{"house pressure in the wrong unit", `house = "-26.0 Pa"`, `house = "-2.6 Pa"`, "", "the zone readings"},
		{"over-driven hold", `house = "-51.1 Pa"`, `house = "-88 Pa"`, `"-88 Pa"`, "the target of the hold"},
		{"zone above the hold", `garage = "22.8 Pa"`, `garage = "35.0 Pa"`, "", "the house pressure"},
		{"time going back", `time = 10:15:00`, `time = 09:15:00`, `09:15:00`, "the hold before"},
		{"date to come", `date = 2026-03-14`, `date = 2027-03-14`, `2027-03-14`, "the calendar"},
		{"volume in the wrong unit", `volume = "14400 ft3"`, `volume = "14400 m3"`, `"14400 m3"`, "the floor area"},
		{"indoor degrees", `indoor = "68 F"`, `indoor = "20 F"`, `"20 F"`, "what a room is"},
		{"outside above total", `flow = "96 cfm"`, `flow = "296 cfm"`, `"296 cfm"`, "the total test"},
		{"ducts and house apart", `residual = "0.1 Pa"`, `residual = "2.1 Pa"`, `"2.1 Pa"`, "the method itself"},
		{"cover above the hold", `cover = "1.4 Pa"`, `cover = "140 Pa"`, `"140 Pa"`, "the house pressure"},
		{"plenum in inches", `supply_pressure = "60 Pa"`, `supply_pressure = "0.24 Pa"`, `"0.24 Pa"`, "what a plenum is"},
		{"register in L/s", `flow = "92 cfm"`, `flow = "9.2 cfm"`, `"9.2 cfm"`, "its design flow"},
		{"duct test above the house", `flow = "200 cfm"`, `flow = "4200 cfm"`, `"4200 cfm"`, "the door fan"},
		{"on and off of different ranges", `on = "1182 cfm"`, `on = "118 cfm"`, `"118 cfm"`, "the off flow"},
		{"a hold copied", `house = "-26.0 Pa"` + "\n" + `fan = "1275 cfm"` + "\n" + `to_house = { attic = "21.6 Pa", garage = "22.8 Pa" }` + "\n" + `to_outside = { attic = "-4.4 Pa", garage = "-3.2 Pa" }`, `house = "-51.0 Pa"` + "\n" + `fan = "2000 cfm"` + "\n" + `to_house = { attic = "43.1 Pa", garage = "45.4 Pa" }` + "\n" + `to_outside = { attic = "-7.9 Pa", garage = "-5.6 Pa" }`, "", "the hold it was copied from"},
		{"covered but not listed", `name = "as found, low"`, `name = "registers covered"`, "", "its name"},
	} {
		t.Run(slip.name, func(t *testing.T) {
			require.Equal(t, 1, strings.Count(goodSheet, slip.from), "the slip is planted in one place")
			text := strings.Replace(goodSheet, slip.from, slip.to, 1)
			c := checked(t, text)
			assert.Positive(t, c.Count(Blocks)+c.Count(Warns), "not seen, although %s makes it visible", slip.seenBy)
			lines := strings.Split(text, "\n")
			found := slip.at == ""
			for _, i := range c.Items {
				if i.Level == Remarks || i.Line == 0 {
					continue
				}
				rest := string([]rune(lines[i.Line-1])[i.Column-1:])
				found = found || strings.HasPrefix(rest, slip.at)
			}
			assert.True(t, found, "not at its place: %v", c.Items)
		})
	}
}
