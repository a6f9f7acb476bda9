package zonal

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/fit"
	"holdbook/pressure"
)

// The leak between house and garage of 25 houses: 140 cm² in the mean, 4 to 400 (CMHC 01-122,
// abstract). The mean lies within the 90 % range of what is assumed; the extremes of 25 within that
// which 25 houses would have, whichever leak area is meant.
func TestGarageLeaksOfOttawa(t *testing.T) {
	prior := SizePrior(HouseKind, Garage)
	n := ExponentPrior(HouseKind, Garage, false).Mean
	for _, area := range []pressure.AreaReference{pressure.At4Pa, pressure.At10Pa} {
		at := func(sd float64) float64 {
			q := float64(prior.Median) * math.Exp(sd*prior.SDLn) * math.Pow(float64(area.Pressure)/50, n)
			return 1e4 * q / float64(area.Cd) * math.Sqrt(1.2041/2/float64(area.Pressure))
		}
		assert.Less(t, at(-fit.Z90), 140.0)
		assert.Greater(t, at(fit.Z90), 140.0)
		assert.Less(t, at(-2.33), 4.0, "one house in a hundred has less")
		assert.Greater(t, at(2.33), 400.0)
	}
}

// Interzone flow between house and garage at 4 Pa: with two fans good to 16 %, with the best
// tests of one fan to 25 to 30 %, the exponent of the interface fixed (Hult & Sherman 2014; LBNL-5887E,
// abstracts). Simulated with the usual instruments, the estimate is no worse.
func TestInterzoneFlowOfHouseAndGarage(t *testing.T) {
	long(t)
	garage := func() *Model {
		m := houseModel(1)
		m.garage(zone1)
		m.Paths[1].Exponent.SD = 0
		return m
	}
	for _, c := range []struct {
		name  string
		build func() *Model
		rms   float64
	}{{"two fans", func() *Model {
		m := garage()
		for range 2 {
			m.hold(-50, true, m.opening(zone1, Outside))
			m.hold(-50, true).Fans = []FanSource{{zone1, Outside, FlowReading{Flow: 1000 * cfm, SDLn: 0.01, Cal: []int{2}}}}
		}
		return m
	}, 0.16}, {"one fan", func() *Model {
		m := garage()
		door, overhead := m.opening(House, zone1), m.opening(zone1, Outside)
		for range 3 {
			m.hold(-50, true)
			m.hold(-50, true, door)
			m.hold(-50, true, overhead)
			m.hold(50, true, overhead)
		}
		return m
	}, 0.30}} {
		f := family{name: c.name, build: c.build, narrow: 0.2, turn: nulled}
		r := rand.New(rand.NewPCG(2014, 12))
		sum, count := 0.0, houses(12)
		for range count {
			m, p, x := f.house(r)
			e, err := Solve(m, Options{})
			require.NoError(t, err)
			i := m.PathBetween(House, zone1)
			truth := p.pathFlow(i, 4).value(nil, x)
			sum += math.Pow(math.Log(float64(e.Paths[i].Area4.Value)/float64(pressure.At4Pa.Area(1, m.Air))/truth), 2)
		}
		rms := math.Sqrt(sum / float64(count))
		t.Logf("%s: rms error %.1f %% of %d houses", c.name, 100*rms, count)
		assert.Less(t, rms, c.rms, c.name)
	}
}

// nulled sets further fans so that they hold their zone level with the house.
func nulled(p *problem, x []float64, r *rand.Rand) {
	for h := range p.holds {
		for f, s := range p.holds[h].fanSlots {
			out := p.model.PathBetween(p.holds[h].fans[f].From, Outside)
			x[s] = x[p.size[out]] + 0.02*r.NormFloat64()
		}
	}
}
