package survey

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/zonal"
)

// carriedBy are the leaks with a resolved size that rests on reading i, which nothing
// checks. Of a leak given by the sheet nothing rests on a reading.
func carriedBy(c *Case, e *zonal.Estimate, s *zonal.Suspicion, i int) (list [][2]string) {
	if s == nil || i >= len(s.Checks) {
		return nil
	}
	for _, k := range s.Checks[i].Carries {
		if e.Paths[k].Resolved {
			p := c.Estimated.Paths[k]
			list = append(list, c.Pair(p.A, p.B))
		}
	}
	return list
}

// Unchecked are the readings that nothing checks and on which a resolved size rests, by
// name, and those sizes; both are empty where there are none, and where no reading has
// another to check it, as after a first hold. The fan flow of a lone hold is left out, which
// has a note of its own: see LoneFan.
func Unchecked(c *Case, e *zonal.Estimate, s *zonal.Suspicion) (readings, sizes []string) {
	if !slices.ContainsFunc(s.Checks, func(k zonal.Check) bool { return k.Checkable }) {
		return nil, nil
	}
	lone, last := LoneFan(c, e, s), -1
	for i, reading := range e.Readings {
		carried := carriedBy(c, e, s, i)
		if len(carried) == 0 || reading.Kind == zonal.FanReading && reading.Hold == lone {
			continue
		}
		of, to := readingOf(c, reading)
		if to != "" {
			of += " to " + to
		}
		if reading.Hold == last {
			before := &readings[len(readings)-1]
			*before = strings.TrimSuffix(*before, ")") + ", " + of + ")"
		} else {
			readings = append(readings, fmt.Sprintf("%q (%s)", c.Estimated.Holds[reading.Hold].Name, of))
		}
		last = reading.Hold
		for _, pair := range carried {
			if size := pair[0] + "–" + pair[1]; !slices.Contains(sizes, size) {
				sizes = append(sizes, size)
			}
		}
	}
	return readings, sizes
}

// UncheckedText says so in a sentence.
func UncheckedText(readings, sizes []string) string {
	rests, them := strings.Join(sizes, ", "), "rests"
	if len(sizes) > 1 {
		them = "rest"
	}
	if len(sizes) > 2 {
		rests = fmt.Sprintf("%d sizes", len(sizes))
	}
	return fmt.Sprintf("a slip in %s would not show, and %s %s on it", strings.Join(readings, " or "), rests, them)
}
