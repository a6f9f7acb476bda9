package check

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/testkit"
	"holdbook/units"
)

// slipper plants slips in a good sheet and keeps what it planted.
type slipper struct {
	*rand.Rand
	*sheet.Sheet
	planted []string
}

// contradictory is the simulated good sheet of a number with one to three slips in it.
func contradictory(t *testing.T, number uint64) *slipper {
	t.Helper()
	s, err := sheet.Parse([]byte(newGoodHouse(number).sheet(int(number))), fmt.Sprintf("slips%d.toml", number))
	require.NoError(t, err)
	p := &slipper{Rand: rand.New(rand.NewPCG(58, number)), Sheet: s}
	slips := []func() string{p.fanFactor, p.fanFactor, p.fanUnit, p.zoneSign, p.swappedTaps, p.zoneTenfold, p.houseSlip, p.secondFanReading}
	for wanted := 1 + p.IntN(3); len(p.planted) < wanted; {
		if what := slips[p.IntN(len(slips))](); what != "" {
			p.planted = append(p.planted, what)
		}
	}
	return p
}

// fanRead draws a hold with a fan reading; nil when the sheet has none.
func (p *slipper) fanRead() *sheet.Hold {
	return p.holdWith(func(h *sheet.Hold) bool { return h.Fan.Given })
}

func (p *slipper) holdWith(has func(*sheet.Hold) bool) *sheet.Hold {
	var list []int
	for i := range p.Holds {
		if has(&p.Holds[i]) {
			list = append(list, i)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return &p.Holds[list[p.IntN(len(list))]]
}

func (p *slipper) timesFan(factor float64, what string) string {
	h := p.fanRead()
	if h == nil {
		return ""
	}
	h.Fan.Value *= units.Flow(factor)
	return h.Name.Value + ", fan " + what
}

func (p *slipper) fanFactor() string {
	factor := []float64{0.1, 0.3, 3, 10}[p.IntN(4)]
	return p.timesFan(factor, fmt.Sprint("× ", factor))
}

// fanUnit writes L/s for cfm, or the reverse: 0.4719474 L/s a cfm, of the foot by definition.
func (p *slipper) fanUnit() string {
	const litres = 0.4719474
	if p.IntN(2) == 0 {
		return p.timesFan(litres, "in L/s for cfm")
	}
	return p.timesFan(1/litres, "in cfm for L/s")
}

// secondFanReading adds a hold as found that repeats another with a fan flow far off.
func (p *slipper) secondFanReading() string {
	h := p.holdWith(func(h *sheet.Hold) bool { return h.Fan.Given && h.AsFound() })
	if h == nil {
		return ""
	}
	again, factor := *h, []float64{0.1, 0.4, 2, 8}[p.IntN(4)]
	again.Name.Value += " again"
	again.Readings = slices.Clone(h.Readings)
	again.Fan.Value *= units.Flow(factor)
	p.Holds = append(p.Holds, again)
	return fmt.Sprint(again.Name.Value, ", fan × ", factor)
}

// zoneRead draws a zone pressure; nil when the sheet has none.
func (p *slipper) zoneRead() (h *sheet.Hold, x *sheet.Reading) {
	h = p.holdWith(func(h *sheet.Hold) bool { return len(h.Readings) > 0 })
	if h == nil {
		return nil, nil
	}
	return h, &h.Readings[p.IntN(len(h.Readings))]
}

// write puts a pressure in with its sign, as a crew that reads it off would.
func write(q *sheet.Pressure, v units.Pressure) {
	q.Value, q.Text = v, fmt.Sprintf("%+.1f Pa", float64(v))
}

func (p *slipper) zoneSign() string {
	h, x := p.zoneRead()
	if x == nil {
		return ""
	}
	write(&x.Pressure, -x.Pressure.Value)
	return h.Name.Value + ", " + x.Of.Name + " with the wrong sign"
}

func (p *slipper) zoneTenfold() string {
	h, x := p.zoneRead()
	if x == nil {
		return ""
	}
	factor := []units.Pressure{0.1, 10}[p.IntN(2)]
	write(&x.Pressure, factor*x.Pressure.Value)
	return fmt.Sprint(h.Name.Value, ", ", x.Of.Name, " × ", factor)
}

// swappedTaps reads a zone to the other reference.
func (p *slipper) swappedTaps() string {
	h, x := p.zoneRead()
	if x == nil {
		return ""
	}
	to := sheet.HouseName
	if x.To.Name == to {
		to = sheet.OutsideName
	}
	if slices.ContainsFunc(h.Readings, func(y sheet.Reading) bool { return y.Of.Name == x.Of.Name && y.To.Name == to }) {
		return "" // it stands there already
	}
	x.To = sheet.Ref(to)
	return h.Name.Value + ", " + x.Of.Name + " to " + to
}

func (p *slipper) houseSlip() string {
	h := &p.Holds[p.IntN(len(p.Holds))]
	factor := []units.Pressure{-1, 0.1, 0.5, 10}[p.IntN(4)]
	write(&h.House, factor*h.House.Value)
	return fmt.Sprint(h.Name.Value, ", house × ", factor)
}

// placed tells whether an error is one of the sheet, with its place.
func placed(err error) bool {
	var list sheet.Problems
	return errors.As(err, &list) && len(list) > 0 && !slices.ContainsFunc(list, func(p sheet.Problem) bool { return p.Pos.Line == 0 })
}

// aRepeat is how far beyond the fan readings the leakage of a house may lie and agree with
// them: by the 1 % to which a reading of a fan repeats, and by the pascal of 50 that wind and
// stack may drive its leaks with where nothing is said of the weather.
const aRepeat = 1.03

// slipTally counts how contradictory sheets fare.
type slipTally struct{ all, refused, outside, lone, said, without int }

// judge runs one contradictory sheet: what it says of the house lies within what a fan
// reading scales to, or the report says that the readings do not fit.
func (n *slipTally) judge(t *testing.T, number uint64) {
	p := contradictory(t, number)
	about := fmt.Sprintf("sheet %d: %s", number, strings.Join(p.planted, "; "))
	n.all++
	f, err := survey.Run(p.Sheet, survey.Options{CurvatureOnly: true})
	if err != nil {
		n.refused++
		assert.Truef(t, placed(err), "%s: an error that names no reading: %v", about, err)
		return
	}
	_, err = json.Marshal(f)
	require.NoError(t, err, about)
	if f.House.Flow50 == nil {
		return
	}
	f = testkit.Shown(t, f, f.Job.Units)
	low, high := scaledFan(t, p.Sheet)
	q := f.House.Flow50.Value
	if q*aRepeat >= low && q <= high*aRepeat {
		return
	}
	n.outside++
	if foundWithFan(p.Sheet) == 1 {
		n.lone++
	}
	assert.NotEmptyf(t, f.House.Doubt, "%s: %.0f, readings scale to %.0f–%.0f, and nothing is said", about, q, low, high)
	if f.House.Doubt != "" {
		n.said++
	}
	if f.House.Without != nil {
		n.without++
	}
	if len(f.Suspects) > 0 && f.Suspects[0].Hold != "" {
		assert.NotNilf(t, f.House.Without, "%s: %s", about, f.House.Doubt)
	}
	t.Logf("%s: %.0f of %.0f–%.0f: %s", about, math.Round(q), low, high, f.House.Doubt)
}

// Sheets whose readings contradict each other, by one to three slips each: what each says of
// the house lies within what its fan readings scale to at 50 Pa, with any exponent a leak
// can have, or it says that the readings do not fit. HOLDBOOK_SHEETS tries another number
// of them, 700 in six minutes of one processor.
func TestContradictorySheets(t *testing.T) {
	count := 60
	if testing.Short() {
		count = 6
	}
	if v, err := strconv.Atoi(os.Getenv("HOLDBOOK_SHEETS")); err == nil && v > 0 {
		count = v
	}
	n := &slipTally{}
	for i := range count {
		n.judge(t, uint64(5000+i))
	}
	t.Logf("%d sheets, %d refused; %d outside the fan readings, %d of them with a lone fan reading as found; %d with doubt said, %d with the flow without",
		n.all, n.refused, n.outside, n.lone, n.said, n.without)
	assert.LessOrEqual(t, 2*n.refused, n.all, "most are accepted")
	assert.LessOrEqual(t, n.outside, 1+n.all/12, "outside the fan readings")
}
