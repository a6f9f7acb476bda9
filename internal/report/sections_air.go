package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/survey"
)

// zones says where the air goes.
func zones(f *survey.Findings, n *footnotes, o Options) Section {
	s := Section{ID: "zones", Heading: "Where the air goes, house at 50 Pa"}
	s.Table = NewTable(Column{Head: "zone"},
		Column{Head: "to house", Kind: Interval},
		Column{Head: "connection", Kind: Interval},
		Column{Head: "through-flow", Kind: Interval})
	if o.full {
		s.Table.Columns = append(s.Table.Columns, Column{Head: "house leak : outside leak", Kind: Interval}, Column{Head: "meant"})
	}
	for _, z := range f.Zones {
		s.Table.Add(Say(z.Name+n.mark(z.Name)), Est(z.ToHouse), Est(z.ConnectionFraction), EstIf(z.ThroughFlow50, z.Resolved))
		if o.full {
			last := len(s.Table.rows) - 1
			s.Table.rows[last] = append(s.Table.rows[last], EstIf(z.LeakRatio, z.Near == ""), sayIf(z.Meant))
		}
	}
	if s.Table.Rows() == 0 {
		return s
	}
	legend := "Connection: 0 the zone is outdoors, 1 it is indoors."
	if o.record() {
		legend = "To house: as estimated from all readings together, which moves a reading within its own error. " + legend
	}
	s.After = append(s.After, legend)
	for _, z := range f.Zones {
		if z.Near != "" {
			s.After = append(s.After, fmt.Sprintf("%s: within 2 Pa of %s, where its two leaks are only bounded.",
				sentence(z.Name), theSpace(z.Near)))
		}
	}
	return s
}

func theSpace(name string) string {
	if name == "house" {
		return "the house"
	}
	return name
}

// paths is the leaks by size.
func paths(f *survey.Findings, n *footnotes, o Options) Section {
	s := Section{ID: "paths", Heading: "Leaks by size"}
	all := bySize(f.Paths)
	list := all
	if !o.Working && !o.full {
		list = worthARow(f, all)
	}
	flows := each(list, func(p survey.Path) *survey.Q { return p.Flow50 })
	areas := each(list, func(p survey.Path) *survey.Q { return p.Area4 })
	s.Table = NewTable(Column{Head: "between"}, Column{Head: "size at 50 Pa", Kind: Interval},
		Column{Head: "area at 4 Pa", Kind: Interval}, Column{Head: "low ─●─ high", Kind: Picture})
	if o.Working || o.full {
		s.Table.Columns[3] = Column{Head: "exponent", Kind: Interval}
	}
	if o.full {
		s.Table.Columns = slices.Insert(s.Table.Columns, 2, Column{Head: "house at 50 Pa", Kind: Interval})
	}
	bars := newBars(flows)
	for i, p := range list {
		row := []Cell{Say(pathName(p) + n.mark(between(p.Between))), EstWithin(p.Flow50, p.Resolved, p.Bound), EstIf(p.Area4, p.Resolved)}
		if !p.Resolved {
			row[2] = Cell{} // its size says it
		}
		if o.full {
			row = slices.Insert(row, 2, EstIf(flowNow(p), nowResolved(p)))
		}
		if o.Working || o.full {
			row = append(row, Est(p.Exponent))
		} else {
			row = append(row, Cell{value: bars.draw(flows[i], p.Resolved), free: true})
		}
		s.Table.Add(row...)
	}
	s.After = pathNotes(all, list, areas)
	return s
}

// bySize puts the paths that are resolved first, the largest on top. Those that
// need a note are no leaks to compare with (open registers) and stand last.
func bySize(list []survey.Path) []survey.Path {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b survey.Path) int {
		for _, first := range [][2]bool{{a.Note == "", b.Note == ""}, {a.Resolved, b.Resolved}} {
			if first[0] != first[1] {
				return map[bool]int{true: -1, false: 1}[first[0]]
			}
		}
		return compareSize(b.Flow50, a.Flow50)
	})
	return out
}

func compareSize(a, b *survey.Q) int {
	size := func(q *survey.Q) float64 {
		if q == nil {
			return -1
		}
		return q.Value
	}
	return cmp.Compare(size(a), size(b))
}

// openRegisters is the note of the path between ducts and house as found.
const openRegisters = "registers, open"

// worthARow leaves out the paths that a reader beside the fan has no use for:
// those without a number, open registers that are only known to be wide, and
// the one leak of a house that has no other, which is told as the house.
func worthARow(f *survey.Findings, list []survey.Path) []survey.Path {
	if len(list) == 1 && isBetween(list[0], "house", "outside") && f.House.Flow50 != nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(list), func(p survey.Path) bool {
		return p.Flow50 == nil && p.Area4 == nil || p.Note == openRegisters && !p.Resolved
	})
}

func pathName(p survey.Path) string {
	if p.Note == "" {
		return between(p.Between)
	}
	return between(p.Between) + ", " + p.Note
}

// pathNotes explains the rows of list, and tells of all paths which of them the
// readings hardly touch: those have been left out of list, or are mostly prior.
func pathNotes(all, list []survey.Path, areas []*survey.Q) []string {
	if len(list) == 0 {
		return nil
	}
	if !slices.ContainsFunc(list, func(p survey.Path) bool { return p.Resolved }) {
		areas = nil // none is printed
	}
	notes := []string{"Size: what each leak alone passes with 50 Pa across it." + areaBasis(areas...)}
	var prior, absent, stated []string
	for _, p := range all {
		switch {
		case p.MostlyPrior && p.Stated:
			stated = append(stated, pathName(p))
		case p.MostlyPrior && slices.ContainsFunc(list, func(q survey.Path) bool { return pathName(q) == pathName(p) }):
			prior = append(prior, pathName(p))
		case p.MostlyPrior:
			absent = append(absent, pathName(p))
		}
	}
	if len(stated) > 0 {
		notes = append(notes, "As the sheet states it, hardly touched by the readings: "+strings.Join(stated, "; ")+".")
	}
	if len(prior) > 0 {
		notes = append(notes, "Mostly prior, hardly touched by the readings: "+strings.Join(prior, "; ")+".")
	}
	if len(absent) > 0 {
		notes = append(notes, "Left out, for the readings say nothing of its size: "+strings.Join(absent, "; ")+".")
	}
	return notes
}
