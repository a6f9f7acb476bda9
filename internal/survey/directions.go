package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// The words of the two directions a house is held in, as the sheet has them, and of the
// mean of both.
const (
	Depressurised = "depressurised"
	Pressurised   = "pressurised"
	MeanOfBoth    = "mean of both"
)

// differenceReasons are the usual reasons why a house leaks more in one direction.
const differenceReasons = "flaps of fans and dryers, dampers, sashes and hatches that one direction presses shut and the other lifts (common practice, no source)"

// series is the holds of one state that have a fan flow, by the side of the outdoor pressure on
// which they were held.
type series struct{ below, above []pressure.Station }

// of is the series of one direction.
func (s series) of(direction string) []pressure.Station {
	if direction == Pressurised {
		return s.above
	}
	return s.below
}

// longer is the direction with more stations; that of most holds where neither has.
func (s series) longer(c *Case) string {
	if len(s.above) > len(s.below) || len(s.above) == len(s.below) && !c.Below() {
		return Pressurised
	}
	return Depressurised
}

// seriesOf are the holds that differ only in house pressure: those of the state with the
// most fan flows in one direction, the first of several.
func seriesOf(c *Case) series {
	states := map[string]*series{}
	best, most := &series{}, 0
	for _, k := range c.Order {
		h := &c.Model.Holds[k]
		if h.Fan == nil || len(h.Fans) > 0 {
			continue
		}
		key := fmt.Sprint(h.Opened, h.Sealed)
		s := states[key]
		if s == nil {
			s = &series{}
			states[key] = s
		}
		list := &s.below
		if h.House > 0 {
			list = &s.above
		}
		*list = append(*list, stationOf(c, k))
		if len(*list) > most {
			best, most = s, len(*list)
		}
	}
	return *best
}

// LongestSeries are the holds that differ only in house pressure, all on one side of that
// outdoors, and have a fan reading: the largest such group, as found if there is a choice.
func LongestSeries(c *Case) []pressure.Station {
	s := seriesOf(c)
	return s.of(s.longer(c))
}

// directionFindings sets the two directions of a test side by side; nil where the house was
// held in one.
func directionFindings(c *Case, s series) *Directions {
	below, above := flowIn(c, s.below), flowIn(c, s.above)
	if below == nil || above == nil {
		return nil
	}
	d := &Directions{Depressurised: *below, Pressurised: *above, Mean: meanOf(*below, *above), Reasons: differenceReasons}
	d.Difference = 100 * (above.Value/below.Value - 1)
	return d
}

// flowIn is the flow at 50 Pa of the stations of one direction: by the standard regression,
// or where they are too few for it, by the one nearest to 50 Pa.
func flowIn(c *Case, stations []pressure.Station) *Q {
	if m, err := pressure.FitStandard(stations); err == nil {
		if q, err := m.FlowAt(zonal.Reference); err == nil {
			return levelled(Flow(q), m)
		}
	}
	t, ok := nearest50(c, stations)
	if !ok {
		return nil
	}
	q, err := t.FlowAt(zonal.Reference)
	if err != nil {
		return nil
	}
	return Flow(q)
}

// levelled marks an estimate with the level of the fit it comes from.
func levelled(q *Q, m pressure.MultiPoint) *Q {
	if q != nil {
		q.Level = float64(m.Level) * 100
	}
	return q
}

// nearest50 is the one-point test of the station nearest to 50 Pa.
func nearest50(c *Case, stations []pressure.Station) (pressure.OnePoint, bool) {
	if len(stations) == 0 {
		return pressure.OnePoint{}, false
	}
	best := slices.MinFunc(stations, func(a, b pressure.Station) int { return cmp.Compare(off50(a), off50(b)) })
	return pressure.OnePoint{Station: best, Calibration: c.Gauge.FanCalibration(),
		Exponent: pressure.DefaultExponent, ExponentSD: pressure.DefaultExponentSD}, true
}

// off50 is how far from 50 Pa the house was held at a station.
func off50(s pressure.Station) units.Pressure {
	return units.Abs(units.Abs(s.Pressure) - zonal.Reference)
}

// meanOf is the mean of a quantity in two directions. The scatter of two regressions is
// independent; a calibration is the same in both, and the intervals that hold it are
// averaged.
func meanOf(a, b Q) Q {
	mean := a
	reach := func(x, y float64) float64 {
		if a.Level > 0 && b.Level > 0 {
			return math.Hypot(x, y) / 2
		}
		return (x + y) / 2
	}
	mean.Value = (a.Value + b.Value) / 2
	mean.Low = mean.Value - reach(a.Value-a.Low, b.Value-b.Low)
	mean.High = mean.Value + reach(a.High-a.Value, b.High-b.Value)
	if a.Level != b.Level {
		mean.Level = 0
	}
	return mean
}

// layOneWay lets the direct leak of a house differ between the two directions, where it was held
// in both.
func layOneWay(c *Case, m *zonal.Model) {
	both := seriesOf(c)
	if len(both.below) == 0 || len(both.above) == 0 {
		return
	}
	m.OneWaySDLn = zonal.UsualOneWay()
	listRatio(c, "house–outside held above over held below, as a logarithm", 0, m.OneWaySDLn, judgement)
}
