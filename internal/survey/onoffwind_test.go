package survey

import (
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
)

var onCFM = regexp.MustCompile(`on = "([0-9.]+) cfm"`)

// gusty moves each on reading of the stations up and down by turns.
func gusty(text string, cfm float64) string {
	k := 0
	return onCFM.ReplaceAllStringFunc(text, func(line string) string {
		v, _ := strconv.ParseFloat(onCFM.FindStringSubmatch(line)[1], 64)
		k++
		return "on = \"" + strconv.FormatFloat(v+cfm*math.Pow(-1, float64(k)), 'f', 2, 64) + " cfm\""
	})
}

// Stations that scatter more than the stated errors are said to, in words and in
// JSON, and the intervals are as much wider.
func TestOnOffScatterIsSaid(t *testing.T) {
	text := calmGauge + "[air_handler]\nflow = \"1180 cfm\"\n" + onOffStations(-25, -20, -15, -10, -5, 5, 10, 15, 20, 25)
	calm, windy := surveyed(t, text), surveyed(t, gusty(text, 12))
	assert.NotContains(t, noticeText(calm), "stations scatter")
	assert.Zero(t, calm.Ducts.OnOff.Widened)
	written, err := json.Marshal(calm.Ducts.OnOff)
	require.NoError(t, err)
	assert.NotContains(t, string(written), "widened")

	factor := windy.Ducts.OnOff.Widened
	assert.Greater(t, factor, 2.0)
	assert.Contains(t, noticeText(windy), "times as much as the stated errors")
	assert.Contains(t, noticeText(windy), "their errors are counted "+strconv.FormatFloat(factor, 'f', 1, 64)+" times")
	written, err = json.Marshal(windy.Ducts.OnOff)
	require.NoError(t, err)
	assert.Contains(t, string(written), `"widened":`)
	before, after := calm.Ducts.NetImbalance, ductTestOf(t, windy.Ducts, "on/off test", netOfLeaks).Result
	ofScatter := func(r *Q) float64 { // the half width without what the test errs by besides
		return math.Sqrt(math.Pow((r.High-r.Low)/2, 2) - math.Pow(fit.Z90*0.01*1180, 2))
	}
	assert.InDelta(t, factor, ofScatter(after)/ofScatter(before), 0.5*factor)
}
