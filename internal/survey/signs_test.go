package survey

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A house pressure without a sign takes that of the hold.
func TestSignOfTheHouse(t *testing.T) {
	for name, c := range map[string]struct {
		job, house string
		want       float64
		hold       string
	}{
		"usual":            {"", `"50 Pa"`, -50, "depressurised"},
		"stated":           {`hold = "depressurised"`, `"50 Pa"`, -50, "depressurised"},
		"pressurised":      {`hold = "pressurised"`, `"50 Pa"`, 50, "pressurised"},
		"a written minus":  {"", `"-50 Pa"`, -50, "depressurised"},
		"a written plus":   {"", `"+50 Pa"`, 50, "pressurised"},
		"minus and a hold": {`hold = "depressurised"`, `"-50 Pa"`, -50, "depressurised"},
		"another unit":     {"", `"0.2 inH2O"`, -49.8178, "depressurised"},
	} {
		t.Run(name, func(t *testing.T) {
			built := modelled(t, "[job]\n"+c.job+"\n[[hold]]\nbaseline = \"0 Pa\"\nhouse = "+c.house+"\n")
			assert.InDelta(t, c.want, float64(built.Model.Holds[0].House), 1e-3)
			assert.Equal(t, c.hold, built.Job.Hold)
		})
	}
	p := refused(t, "[job]\nhold = \"pressurised\"\n[[hold]]\nhouse = \"-50 Pa\"\n")
	assert.Equal(t, 5, p.Pos.Line)
	assert.Contains(t, p.Text, `contradicts hold = "pressurised"`)
}

func TestBaselineLargerThanTheHouse(t *testing.T) {
	p := refused(t, "[[hold]]\nbaseline = \"-6 Pa\"\nhouse = \"-5 Pa\"\n")
	assert.Equal(t, 4, p.Pos.Line)
	assert.Contains(t, p.Text, "read both again")
}

// With a single fan a reading more than 3 sd on the wrong side is turned.
func TestWrongSignsAreTurned(t *testing.T) {
	c, log := laid(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
to_house = { attic = "-44 Pa", garage = "47 Pa", porch = "-0.6 Pa", crawlspace = "20 Pa" }
`)
	read := c.Model.Holds[0].Read
	require.Len(t, read, 4)
	assert.InDelta(t, 44, float64(read[0].Pressure), 1e-12)
	assert.InDelta(t, 47, float64(read[1].Pressure), 1e-12)
	assert.InDelta(t, -0.6, float64(read[2].Pressure), 1e-12, "a smaller one keeps its sign")
	require.Equal(t, 1, noticesWith(log.Notices, "can only have the other sign"))
	assert.Contains(t, log.Notices[0].About, "attic")
}

// The two references and the two directions of a hold.
func TestSignsByReference(t *testing.T) {
	for _, c := range []struct{ house, of, to, read, want string }{
		{"-50", "attic", "house", "44", "44"},
		{"-50", "attic", "house", "-44", "44"},
		{"-50", "attic", "outside", "-6", "-6"},
		{"-50", "attic", "outside", "6", "-6"},
		{"-50", "house", "attic", "44", "-44"},
		{"-50", "outside", "attic", "-6", "6"},
		{"+50", "attic", "house", "44", "-44"},
		{"+50", "attic", "outside", "-6", "6"},
	} {
		built := modelled(t, "[[hold]]\nbaseline = \"0 Pa\"\nhouse = \""+c.house+" Pa\"\n"+
			"readings = [ { of = \""+c.of+"\", to = \""+c.to+"\", pressure = \""+c.read+" Pa\" } ]\n")
		want := map[string]float64{"44": 44, "-44": -44, "6": 6, "-6": -6}[c.want]
		assert.InDelta(t, want, float64(built.Model.Holds[0].Read[0].Pressure), 1e-12, "%+v", c)
	}
}

// A baseline read with the same hoses turns with its reading; that of the house
// does not.
func TestTurningWithABaseline(t *testing.T) {
	c := modelled(t, `
[[hold]]
baseline = "-2 Pa"
house = "-52 Pa"
readings = [ { of = "attic", to = "house", pressure = "-44 Pa", baseline = "-1 Pa" },
             { of = "garage", to = "house", pressure = "46 Pa" },
             { of = "porch", to = "house", pressure = "-44 Pa" },
             { of = "crawlspace", to = "house", pressure = "30 Pa" },
             { of = "basement", to = "house", pressure = "3 Pa" } ]
`)
	read := c.Model.Holds[0].Read
	assert.InDelta(t, 43, float64(read[0].Pressure), 1e-12, "44 less 1")
	assert.InDelta(t, 43, float64(read[2].Pressure), 1e-12, "44 less −b/2 = 1")
}

// A second fan can drive a zone past either end.
func TestSignsWithASecondFanAreKept(t *testing.T) {
	c, log := laid(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
fans = [ { from = "garage", to = "outside", flow = "900 cfm" } ]
to_house = { garage = "-8 Pa" }
`)
	assert.InDelta(t, -8, float64(c.Model.Holds[0].Read[0].Pressure), 1e-12)
	assert.Zero(t, noticesWith(log.Notices, "other sign"))
}

// Most readings with a written sign against the hold: the sheet is refused. A
// number without a sign is a magnitude.
func TestDirectionContradicted(t *testing.T) {
	p := refused(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
to_house = { attic = "-44 Pa", garage = "-47 Pa", porch = "30 Pa" }
`)
	assert.Equal(t, 6, p.Pos.Line)
	assert.Contains(t, p.Text, "correct job.hold")
	c, log := laid(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
to_outside = { attic = "6 Pa", garage = "3 Pa" }
`)
	assert.InDelta(t, -6, float64(c.Model.Holds[0].Read[0].Pressure), 1e-12)
	assert.Equal(t, 2, noticesWith(log.Notices, "other sign"))
}

// A zone read to both references closes on the house pressure as read.
func TestClosure(t *testing.T) {
	hold := func(toOutside string) string {
		return "[[hold]]\nbaseline = \"-2 Pa\"\nhouse = \"-52 Pa\"\n" +
			"to_house = { attic = \"44 Pa\" }\nto_outside = { attic = \"" + toOutside + " Pa\" }\n"
	}
	for text, warned := range map[string]int{"-8": 0, "-9": 0, "-11": 1, "-5": 1, "-12.9": 1} {
		_, log := laid(t, hold(text))
		assert.Equal(t, warned, noticesWith(log.Notices, "miss the house pressure"), text)
	}
	p := refused(t, hold("-13.1"))
	assert.Equal(t, 6, p.Pos.Line)
	assert.Contains(t, p.Text, "attic")
	assert.Contains(t, p.Text, "-5.1 Pa")
	assert.Contains(t, p.Text, "read both again")
}

// Within 2 Pa of either end of a hold as found the ratio is only bounded; an
// opened state may well read 0.
func TestNearAnEnd(t *testing.T) {
	f := found(t, `
[[hold]]
baseline = "0 Pa"
house = "-50 Pa"
to_house = { attic = "48.5 Pa", basement = "1.5 Pa", garage = "40 Pa" }
to_outside = { porch = "-1 Pa" }
[[hold]]
house = "-50 Pa"
opened = [ { between = ["house", "garage"] } ]
to_house = { garage = "0 Pa" }
`, Options{CurvatureOnly: true})
	near := map[string]string{}
	for _, z := range f.Zones {
		near[z.Name] = z.Near
	}
	assert.Equal(t, map[string]string{"attic": "outside", "basement": "house", "garage": "", "porch": "outside"}, near)
}

// A hood that shows nothing is no reading.
func TestFlowOfNothing(t *testing.T) {
	p := refused(t, "[[hold]]\nhouse = \"-50 Pa\"\nreadings = [ { of = \"attic\", to = \"house\", flow = \"0 cfm\" } ]\n")
	assert.Equal(t, 4, p.Pos.Line)
	assert.Contains(t, p.Text, "leave it out")
}

// A baseline of the other sign that outweighs the hold is as wrong as one of the
// same sign: most likely another reading.
func TestBaselineBeyondTheHouse(t *testing.T) {
	assert.Contains(t, refused(t, "[[hold]]\nbaseline = \"+2280 Pa\"\nhouse = \"-50 Pa\"\n").Text, "larger than the house pressure")
	assert.NotEmpty(t, found(t, "[[hold]]\nbaseline = \"+9 Pa\"\nhouse = \"-50 Pa\"\nfan = \"2000 cfm\"\n", Options{CurvatureOnly: true}).House.Flow50)
}

// A house without a sign beside a baseline that has one is said to be taken as below
// outdoors, and what is taken off the readings in the spaces is said once.
func TestSaidOfBaselines(t *testing.T) {
	const hold = "[[hold]]\nbaseline = \"-2 Pa\"\nhouse = \"50 Pa\"\nto_house = { attic = \"44 Pa\", garage = \"40 Pa\" }\n"
	f := found(t, hold, Options{CurvatureOnly: true})
	assert.InDelta(t, -48, f.Holds[0].House, 1e-9)
	assert.Equal(t, 1, noticesWith(f.Notices, "stands without a sign"))
	assert.Equal(t, 1, noticesWith(f.Notices, "where a space has no baseline of its own"))
	f = found(t, strings.Replace(hold, "\"50 Pa\"", "\"-50 Pa\"", 1), Options{CurvatureOnly: true})
	assert.Zero(t, noticesWith(f.Notices, "stands without a sign"))
	f = found(t, strings.Replace(hold, "baseline = \"-2 Pa\"\n", "", 1), Options{CurvatureOnly: true})
	assert.Zero(t, noticesWith(f.Notices, "without a sign")+noticesWith(f.Notices, "in the spaces"))
}

// A sheet that closes as it is written is taken as it is written: with a baseline of 4 Pa
// the zone stood above outdoors though the house was held below.
func TestReadingsThatCloseKeepTheirSigns(t *testing.T) {
	text := func(outside string) string {
		return `
[[hold]]
baseline = "4.0 Pa"
house    = "-46.0 Pa"
to_house   = { attic = "48.9 Pa" }
to_outside = { attic = "` + outside + ` Pa" }
`
	}
	c, log := laid(t, text("2.9"))
	assert.Zero(t, noticesWith(log.Notices, "other sign"))
	for _, x := range c.Model.Holds[0].Read {
		if x.To == 1 {
			assert.Positive(t, float64(x.Pressure))
		}
	}
	own, said := laid(t, `
[[hold]]
baseline = "4.0 Pa"
house    = "-46.0 Pa"
to_house = { attic = "48.9 Pa" }
readings = [ { of = "attic", to = "outside", pressure = "2.9 Pa", baseline = "0.3 Pa" } ]
`)
	assert.Zero(t, noticesWith(said.Notices, "other sign"))
	for _, x := range own.Model.Holds[0].Read {
		if x.To == 1 {
			assert.InDelta(t, 2.6, float64(x.Pressure), 1e-9)
		}
	}
	p := refused(t, text("8.5")) // 5.6 Pa off as written; turned, −8.5, further off
	assert.Contains(t, p.Text, "does not close on the house pressure")
	_, log = laid(t, text("-1.5")) // 4.4 Pa off: a warning
	assert.Equal(t, 1, noticesWith(log.Notices, "miss the house pressure"))
}
