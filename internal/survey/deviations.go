package survey

import (
	"fmt"
	"strings"

	"holdbook/pressure"
	"holdbook/units"
)

// The rules of standards that are known through their summaries: ASTM E779 has at least five
// points from 10 to 60 Pa, ISO 9972 allows up to 100 Pa, CAN/CGSB-149.10 of 2019 has one or
// two points at 50 ± 3 Pa. What is known from memory alone judges nothing.
const (
	e779Points = 5
	e779Least  = units.Pressure(10)
	e779Most   = units.Pressure(60)
	isoMost    = units.Pressure(100)
	cgsbOff    = units.Pressure(3)
)

// deviations are those from the standard that the sheet states, and those that its readings
// show.
func deviations(c *Case) []string {
	list := []string{}
	for _, d := range c.Sheet.Job.Deviations {
		list = append(list, d.Value)
	}
	name := strings.ToUpper(c.Sheet.Job.Standard.Value)
	if len(c.Model.Holds) == 0 {
		return list
	}
	both := seriesOf(c)
	for _, direction := range []string{Depressurised, Pressurised} {
		stations := both.of(direction)
		if len(stations) == 0 {
			continue
		}
		if text := deviationOf(name, stations); text != "" {
			list = append(list, direction+": "+text)
		}
	}
	return list
}

// deviationOf is how a series departs from the standard of that name; "" where it does not, or
// where what the standard asks for is not known.
func deviationOf(name string, stations []pressure.Station) string {
	within, highest, nearest := 0, units.Pressure(0), stations[0]
	for _, s := range stations {
		p := units.Abs(s.Pressure)
		if p >= e779Least-0.5 && p <= e779Most+0.5 {
			within++
		}
		highest = max(highest, p)
		if off50(s) < off50(nearest) {
			nearest = s
		}
	}
	switch {
	case strings.Contains(name, "E779") && within < e779Points:
		return fmt.Sprintf("%d of at least five points between 10 and 60 Pa (ASTM E779 by its summaries)", within)
	case strings.Contains(name, "9972") && highest > isoMost:
		return fmt.Sprintf("%s Pa, above the 100 Pa that are allowed (ISO 9972 by its summaries)", units.Fixed(float64(highest), 0))
	case strings.Contains(name, "149.10") && len(stations) < 3 && off50(nearest) > cgsbOff:
		return fmt.Sprintf("%s Pa, not 50 ± 3 Pa (CAN/CGSB-149.10-2019 by its summary)", units.Fixed(float64(units.Abs(nearest.Pressure)), 1))
	}
	return ""
}
