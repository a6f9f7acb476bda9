package check

import (
	"slices"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// Possible is the sheet without the pressures that the check says no house could read, and
// which spaces those were of. The sheet itself stays as it is.
func (c *Report) Possible(s *sheet.Sheet) (_ *sheet.Sheet, refused []string) {
	t := *s
	t.Holds = slices.Clone(s.Holds)
	for k := range t.Holds {
		h := &t.Holds[k]
		h.Readings = slices.DeleteFunc(slices.Clone(h.Readings), func(x sheet.Reading) bool {
			bad := slices.ContainsFunc(c.Items, func(i Item) bool {
				return i.Impossible && i.Line == x.Pressure.Pos.Line && i.Column == x.Pressure.Pos.Column
			})
			if bad {
				refused = append(refused, units.Sanitize(x.Of.Name))
			}
			return bad
		})
	}
	if refused == nil {
		return s, nil
	}
	return &t, refused
}
