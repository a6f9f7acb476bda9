package advise

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
	"holdbook/zonal"
)

// oneHold is a house with a garage and an attic held once.
const oneHold = `
[[zone]]
name = "attic"
kind = "attic"
[[zone]]
name = "garage"
kind = "garage"
`

const asFoundHold = `
[[hold]]
house = "-50 Pa"
fan = "2200 cfm"
range = "large"
to_house = { attic = "43 Pa", garage = "46 Pa" }
`

func next(t *testing.T, text string, o NextOptions) *NextPlan {
	t.Helper()
	p, err := Next(testkit.Sheet(t, text), o)
	require.NoError(t, err)
	return testkit.Shown(t, p, p.Job.Units)
}

// whats are the actions of a plan in a line.
func (p *NextPlan) whats() string {
	var list []string
	for _, a := range p.Actions {
		list = append(list, a.What)
	}
	return strings.Join(list, "; ")
}

// What has been read is not asked for again, nor are vents opened.
func TestNextAsksForWhatIsOpen(t *testing.T) {
	p := next(t, oneHold+asFoundHold, NextOptions{})
	all := p.whats()
	for _, s := range []string{"open the attic to the house", "read the attic to outside", "hold the garage level", "open the garage to outside", "hold at 25 Pa", "repeat"} {
		assert.Contains(t, all, s)
	}
	for _, s := range []string{"read the attic to the house", "open the attic to outside", "hold the attic level"} {
		assert.NotContains(t, all, s)
	}
	more := `
[[hold]]
house = "-25 Pa"
fan = "1400 cfm"
to_house = { attic = "21.6 Pa" }
to_outside = { attic = "-3.4 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2700 cfm"
opened = [ { between = ["house", "attic"] }, { between = ["garage", "house"], area = "40 in2" } ]
to_house = { attic = "20 Pa", garage = "30 Pa" }
[[hold]]
house = "-50 Pa"
fan = "2100 cfm"
fans = [ { from = "garage", to = "outside", flow = "500 cfm" } ]
to_house = { garage = "0 Pa" }
`
	all = next(t, oneHold+asFoundHold+more, NextOptions{}).whats()
	for _, s := range []string{"open the attic to the house", "read the attic to outside", "hold the garage level", "hold at 25 Pa", "between the garage and the house"} {
		assert.NotContains(t, all, s)
	}
	assert.Contains(t, all, "between the attic and the house", "a known hole there is still open")
	assert.Contains(t, all, "open the garage to the house")
}

// Only what bears on the space asked about is ranked, and the most useful first.
func TestNextAbout(t *testing.T) {
	p := next(t, oneHold+asFoundHold, NextOptions{About: "Garage"})
	for i, a := range p.Actions {
		assert.NotContains(t, a.What, "attic")
		for _, v := range a.Narrows {
			assert.Contains(t, v.Of, "garage")
			assert.Less(t, math.Log(v.Then), 1.06*math.Log(v.Now), a.What)
			assert.InEpsilon(t, v.Narrowing.High/v.Narrowing.Low, v.Then, 1e-6)
		}
		if i > 0 {
			assert.GreaterOrEqual(t, p.Actions[i-1].worth, a.worth)
		}
	}
}

// Where an outer door moves, the plan says how; no opening goes without a look.
func TestNextCautions(t *testing.T) {
	p := next(t, oneHold+asFoundHold, NextOptions{})
	for _, a := range p.Actions {
		if strings.HasPrefix(a.What, "open ") || strings.HasPrefix(a.What, "add a hole") {
			want := "asbestos, vermiculite, mould or sewage"
			if strings.HasSuffix(a.What, "outside") {
				want = "slow or cover the fan before an outer door is moved"
			}
			assert.Contains(t, a.Caution, want, a.What)
			assert.Equal(t, strings.Contains(a.What, "garage"), strings.Contains(a.Caution, "engine"), a.What)
		}
	}
	text := ""
	for _, v := range p.Notices {
		text += v.Text + "\n"
	}
	for _, want := range []string{"combustion appliances off", "races", "over-drives", "friable asbestos, vermiculite, mould, sewage", "licensed practice"} {
		assert.Contains(t, text, want)
	}
}

// Once everything is read and read again, enough is known.
func TestNextEnough(t *testing.T) {
	assert.False(t, next(t, oneHold+asFoundHold, NextOptions{}).Enough)
	hatch := `
[[hold]]
house = "-50 Pa"
fan = "2600 cfm"
range = "large"
opened = [ { between = ["house", "attic"], area = "100 in2" } ]
to_house = { attic = "26 Pa" }
`
	attic := "[gauge]\nwobble = \"0.1 Pa\"\n[[zone]]\nname = \"attic\"\nkind = \"attic\"\n"
	once := strings.Replace(asFoundHold, ", garage = \"46 Pa\"", "", 1)
	low := strings.NewReplacer("-50", "-25", "2200", "1402", "43", "21.5").Replace(once)
	outside := "\n[[hold]]\nhouse = \"-50 Pa\"\nto_outside = { attic = \"-7 Pa\" }\n"
	open := strings.NewReplacer(", area = \"100 in2\"", "", "2600", "2750", "26", "18").Replace(hatch)
	p := next(t, attic+strings.Repeat(once+hatch, 4)+low+low+outside+outside+open+open, NextOptions{})
	assert.True(t, p.Enough, p.whats())
	assert.Contains(t, p.Text, "enough is known")
}

// A visit starts with the hold as found, keeps to its time, and each step leaves
// less doubt than the one before.
func TestNextVisit(t *testing.T) {
	for _, minutes := range []float64{0, 12, 30} {
		p := next(t, oneHold, NextOptions{Minutes: minutes})
		require.True(t, p.Visit)
		require.False(t, p.Enough)
		require.NotEmpty(t, p.Actions)
		assert.Contains(t, p.Actions[0].What, "as found")
		sum := 0.0
		for i, a := range p.Actions {
			sum += a.Minutes
			if i > 0 {
				assert.Greater(t, a.Gain+a.FirstThen, p.Actions[i-1].Gain+p.Actions[i-1].FirstThen)
				for k, v := range a.Narrows {
					assert.InEpsilon(t, p.Actions[i-1].Narrows[k].Then, v.Now, 1e-9, "a step starts where the last one ended")
				}
			}
		}
		assert.True(t, minutes == 0 || sum <= minutes, "%g of %g minutes", sum, minutes)
	}
	p := next(t, oneHold, NextOptions{Minutes: 2})
	assert.Empty(t, p.Actions)
	assert.Contains(t, p.Text, "too few")
}

// A fan that holds a zone level blows into it where the house is pressurised.
func TestNextFanDirection(t *testing.T) {
	for hold, want := range map[string]zonal.SpaceID{"depressurised": zonal.Outside, "pressurised": 3} {
		s := "[job]\nhold = \"" + hold + "\"\n" + oneHold + strings.ReplaceAll(asFoundHold, `"-50 Pa"`, `"50 Pa"`)
		if hold == "pressurised" {
			s = strings.NewReplacer("43 Pa", "-43 Pa", "46 Pa", "-46 Pa").Replace(s)
		}
		c, err := survey.NewCase(testkit.Sheet(t, s), survey.Options{AllZones: true}, survey.NewLog(false))
		require.NoError(t, err)
		list := proposeFan(c, kit{}, 3)
		require.Len(t, list, 1)
		assert.Equal(t, want, list[0].candidate.Holds[0].Fans[0].To, hold)
		assert.Equal(t, hold == "pressurised", list[0].candidate.Holds[0].House > 0)
	}
}

// The same sheet gives the same plan.
func TestNextIsRepeatable(t *testing.T) {
	for _, s := range []string{oneHold, oneHold + asFoundHold} {
		one, two := next(t, s, NextOptions{}), next(t, s, NextOptions{Options: survey.Options{Workers: 1}})
		assert.Equal(t, one, two)
	}
}

func BenchmarkNext(b *testing.B) {
	s, err := sheet.Read(filepath.Join("..", "..", "testdata", "demo.toml"))
	require.NoError(b, err)
	for b.Loop() {
		_, err := Next(s, NextOptions{})
		require.NoError(b, err)
	}
}

// What is known now is what the report tells, to the last figure: both rest on
// the same draws.
func TestNextAgreesWithTheReport(t *testing.T) {
	f, p := found(t, oneHold+asFoundHold), next(t, oneHold+asFoundHold, NextOptions{})
	told := map[string]*survey.Q{}
	for _, z := range f.Zones {
		told["through the "+z.Name] = z.ThroughFlow50
	}
	most := 0.0
	for _, c := range f.SealFirst {
		if !c.Direct {
			told["gained by sealing "+c.Between[0]+"–"+c.Between[1]] = c.Drop50
			most = max(most, c.ChanceFirst)
		}
	}
	require.Len(t, told, 4)
	for _, n := range p.Actions[0].Narrows {
		require.Contains(t, told, n.Of)
		assert.InEpsilon(t, told[n.Of].Low, n.Interval.Low, 2e-3, n.Of)
		assert.InEpsilon(t, told[n.Of].High, n.Interval.High, 2e-3, n.Of)
	}
	assert.InDelta(t, most, p.FirstNow, 1e-9)
}

// Without a second fan nothing that takes one is proposed.
func TestNextWithOneFan(t *testing.T) {
	const fan = "by a second fan"
	assert.Contains(t, next(t, oneHold+asFoundHold, NextOptions{}).whats(), fan)
	p := next(t, oneHold+asFoundHold, NextOptions{OneFan: true})
	assert.NotContains(t, p.whats(), fan)
	assert.NotEmpty(t, p.Actions)
}

// The plan of a visit starts with the hold that the sheet has begun, in its name and with
// its baseline; a name that the sheet has is not given again.
func TestNextTakesUpTheHoldBegun(t *testing.T) {
	first := next(t, oneHold, NextOptions{}).Actions[0]
	assert.Equal(t, "as found", first.Hold.Name.Value)
	assert.True(t, first.Hold.Baseline.Given)
	assert.NotContains(t, first.How, "begun")
	first = next(t, oneHold+"[[hold]]\nname = \"as found\"\n", NextOptions{}).Actions[0]
	assert.Equal(t, "as found", first.Hold.Name.Value)
	assert.Contains(t, first.How, "fill in the hold that the sheet has begun")
	for _, a := range next(t, oneHold+asFoundHold+"[[hold]]\nname = \"attic opened to house\"\n", NextOptions{}).Actions {
		assert.NotEqual(t, "attic opened to house", a.Hold.Name.Value)
	}
}

// A proposal says in the sheet's own terms what is done: what is opened, sealed or blown, and
// what is read to where.
func TestProposalsAreHolds(t *testing.T) {
	holds := map[string]sheet.Hold{}
	p, err := Next(testkit.Sheet(t, oneHold+"opens = \"panel\"\n[[zone]]\nname = \"ducts\"\ntouches = [\"house\", \"attic\"]\n"+asFoundHold), NextOptions{})
	require.NoError(t, err)
	for _, a := range p.Actions {
		holds[a.Hold.Name.Value] = a.Hold
	}
	h := holds["attic opened to house"]
	assert.Equal(t, []sheet.Opening{{Between: sheet.Between("house", "attic")}}, h.Opened)
	assert.Equal(t, []sheet.Reading{{Of: sheet.Ref("attic"), To: sheet.Ref("house"), Pressure: sheet.Pressure{Text: "… Pa", Given: true}}}, h.Readings)
	assert.Equal(t, "… cfm", h.Fan.Text)
	assert.Equal(t, "large", h.Range.Value)
	h = holds["hole, garage to outside"]
	require.Len(t, h.Opened, 1)
	assert.True(t, h.Opened[0].Area.Given)
	assert.Equal(t, sheet.Between("outside", "garage"), h.Opened[0].Between)
	assert.Equal(t, []sheet.Seal{{Between: sheet.Between("house", "ducts")}}, holds["registers covered"].Sealed)
	require.Len(t, holds["second fan, garage"].Fans, 1)
	assert.Equal(t, "outside", holds["second fan, garage"].Fans[0].To.Name)
	assert.False(t, holds["as found, attic to outside"].Fan.Given, "the fan runs, and is not read again")
}
