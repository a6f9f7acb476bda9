package survey

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/learned"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// connect keeps the silent zones that alone join a zone spoken of to the house
// or outside, and refuses a zone that nothing joins to either.
func connect(c *Case, spoken map[string]bool) error {
	joined := joinedTo(c.Sheet.Touching(), spoken)
	for _, z := range c.Sheet.Zones {
		if name := z.Name.Value; spoken[name] && !joined[name] {
			all := joinedTo(c.Sheet.Touching(), nil)
			if !all[name] {
				return c.ErrorAt(z.Pos, fmt.Sprintf("%s touches neither the house nor outside, nor anything that does; correct its touches", units.Sanitize(name)))
			}
			for _, t := range c.Sheet.Zones {
				spoken[t.Name.Value] = spoken[t.Name.Value] || all[t.Name.Value]
			}
			return nil
		}
	}
	return nil
}

// joinedTo is every space that is joined to the house or outside through spaces
// that are in; nil: through any.
func joinedTo(pairs [][2]string, in map[string]bool) map[string]bool {
	joined := map[string]bool{sheet.HouseName: true, sheet.OutsideName: true}
	for grew := true; grew; {
		grew = false
		for _, p := range pairs {
			for k, name := range p {
				if !joined[name] && joined[p[1-k]] && (in == nil || in[name]) {
					joined[name], grew = true, true
				}
			}
		}
	}
	return joined
}

// laySpaces makes a space of every zone that some hold speaks of; all: of every zone.
func laySpaces(c *Case, log *Log, spoken map[string]bool, all bool) {
	c.Spaces = map[string]zonal.SpaceID{sheet.HouseName: zonal.House, sheet.OutsideName: zonal.Outside}
	c.Names = []string{sheet.HouseName, sheet.OutsideName}
	c.Kinds = []sheet.Kind{houseKind, outsideKind}
	for _, z := range c.Sheet.Zones {
		name := z.Name.Value
		if !spoken[name] && !all {
			log.Notice(Note, name, "no hold says anything of it; it is left out, and its leaks count in house–outside")
			continue
		}
		c.Spaces[name] = zonal.SpaceID(len(c.Names))
		c.Names, c.Kinds = append(c.Names, name), append(c.Kinds, z.Kind)
		c.Model.Spaces = append(c.Model.Spaces, zonal.Space{Name: name, Kind: z.Kind, Vented: z.IsVented()})
	}
}

// spokenOf are the names in some reading, opening, seal or fan of a finished hold.
func spokenOf(s *sheet.Sheet) map[string]bool {
	in := map[string]bool{}
	for _, h := range s.Holds {
		if !h.Finished() {
			continue
		}
		for _, x := range h.Readings {
			in[x.Of.Name], in[x.To.Name] = true, true
		}
		for _, o := range h.Opened {
			in[o.Between[0].Name], in[o.Between[1].Name] = true, true
		}
		for _, o := range h.Sealed {
			in[o.Between[0].Name], in[o.Between[1].Name] = true, true
		}
		for _, g := range h.Guards {
			in[g.Name] = true
		}
		for _, f := range h.Fans {
			in[f.From.Name], in[f.To.Name] = true, true
		}
	}
	return in
}

// layPaths makes a path of every boundary between two spaces of the model.
func layPaths(c *Case, log *Log, known *learned.Stock) error {
	taken := 0
	for _, pair := range c.Sheet.Touching() {
		a, inA := c.Spaces[pair[0]]
		b, inB := c.Spaces[pair[1]]
		if !inA || !inB {
			continue
		}
		k, err := c.Model.Join(a, b)
		if err != nil {
			return err
		}
		p := &c.Model.Paths[k]
		stated, _ := c.sheetPath(*p)
		from := applyStock(p, known.Leak(c.Kinds[p.A], c.Kinds[p.B]), known)
		from = applyPath(p, stated, from)
		if from.of(known) {
			taken++
		}
		ventedPath(c, p, &from)
		listPath(c, *p, from)
	}
	noteStock(log, known, taken)
	return layPresumed(c)
}

// layPresumed makes a path of every boundary that nobody spoke of but houses often have. A
// sheet that says what one of the two touches is taken at its word.
func layPresumed(c *Case) error {
	for a := range c.Zones() {
		for b := range c.Zones() {
			x, _ := c.Sheet.Zone(c.Names[a])
			y, _ := c.Sheet.Zone(c.Names[b])
			if a == b || len(x.Touches)+len(y.Touches) > 0 || c.Model.PathBetween(a, b) >= 0 || !x.Kind.MayTouch(y.Kind, y.MeantInside()) {
				continue
			}
			k, err := c.Model.Join(a, b)
			if err != nil {
				return err
			}
			c.Model.Paths[k].Flow50 = zonal.PresumedSize()
			listPath(c, c.Model.Paths[k], pathSource{"judgement, not published; no touches speaks of it", judgement})
		}
	}
	return nil
}

// Vented tells whether a space has vents that stand open.
func (c *Case) Vented(id zonal.SpaceID) bool {
	z, ok := c.Sheet.Zone(c.Names[id])
	return ok && z.IsVented()
}

// CoveredPath is the path by which the covered registers of a duct zone leak; −1 if no
// hold has them covered.
func (c *Case) CoveredPath(ducts zonal.SpaceID) int {
	return slices.IndexFunc(c.Model.Paths, func(p zonal.Path) bool { return p.Covered && p.Joins(zonal.House, ducts) })
}

// layCoveredPath is what the covered registers of a duct zone still leak.
func layCoveredPath(c *Case, ducts zonal.SpaceID) int {
	if i := c.CoveredPath(ducts); i >= 0 {
		return i
	}
	p := zonal.CoveredRegisters(ducts)
	c.Model.Paths = append(c.Model.Paths, p)
	listPath(c, p, pathSource{judgement, judgement})
	return len(c.Model.Paths) - 1
}

// addCalibration is the index of a shared flow error of that name in a model, made when
// first named. none is an error of zero.
func addCalibration(m *zonal.Model, name string, sd units.Ratio) []int {
	if sd <= 0 {
		return nil
	}
	i := slices.IndexFunc(m.Calibrations, func(known zonal.Calibration) bool { return SameName(known.Name, name) })
	if i < 0 {
		i = len(m.Calibrations)
		m.Calibrations = append(m.Calibrations, zonal.Calibration{Name: name, SDLn: float64(sd)})
	}
	return []int{i}
}

// AddFanErrors are the calibrations of a fan with a flow range fitted, made where the model
// does not have them.
func AddFanErrors(m *zonal.Model, g pressure.Gauge, fan, flowRange string) []int {
	cal := g.FanCalibration()
	label := fan + ", range not stated"
	if flowRange != "" {
		label = fan + ", range " + units.Sanitize(flowRange)
	}
	return append(addCalibration(m, fan, cal.Common), addCalibration(m, label, cal.PerRange)...)
}

// listCalibrations notes what was assumed of the flow errors that the model has beyond the
// first n.
func listCalibrations(c *Case, n int) {
	from := "common practice, no source"
	if c.Sheet.Gauge.Flow.Given {
		from = theSheet
	}
	for _, cal := range c.Model.Calibrations[n:] {
		listRatio(c, "calibration of the "+cal.Name, 1, cal.SDLn, from)
	}
}

// layFanErrors are the calibrations of a fan with a flow range fitted.
func layFanErrors(c *Case, fan, flowRange string) []int {
	n := len(c.Model.Calibrations)
	list := AddFanErrors(c.Model, c.Gauge, fan, flowRange)
	listCalibrations(c, n)
	return list
}

// SameName matches names as the sheet does: without regard to case and to the
// number of blanks.
func SameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// layOpening is the index of something opened, made when first named: one name
// between the same spaces is one size.
func layOpening(c *Case, hold, i int, o sheet.Opening) (int, error) {
	a, b := c.Spaces[o.Between[0].Name], c.Spaces[o.Between[1].Name]
	name := o.Name.Value
	if name != "" {
		k := slices.IndexFunc(c.Model.Openings, func(q zonal.Opening) bool {
			return SameName(q.Name, name) && q.Joins(a, b)
		})
		if k >= 0 {
			return k, nil
		}
	}
	q := zonal.Opening{Name: name, A: a, B: b}
	if o.Sized() {
		hole, err := HoleOf(o)
		if err != nil {
			return 0, c.ErrorAt(o.Ajar.Pos, err.Error())
		}
		q.Area, q.AreaSDLn, q.Cd = hole.Area, float64(hole.AreaSD), float64(o.Cd.Or(0))
		listHole(c, openingLabel(hold, i, name), q)
	} else {
		q.Flow50, q.Exponent = zonal.OpeningPrior(c.Kinds[a], c.Kinds[b]), zonal.OpeningExponentPrior()
		q.Second = zonal.SecondPrior()
		listSize(c, openingLabel(hold, i, name), q.Flow50, judgement)
		listRatioOnce(c, "exponent of openings", q.Exponent.Mean, q.Exponent.SD)
	}
	c.Model.Openings = append(c.Model.Openings, q)
	return len(c.Model.Openings) - 1, nil
}

// HoleOf is an opening of stated size as a hole: its area, or what a leaf leaves open that
// stands ajar.
func HoleOf(o sheet.Opening) (pressure.Hole, error) {
	if !o.Ajar.Given {
		return pressure.SharpHole(o.Area.Value), nil
	}
	a, err := pressure.AjarArea(pressure.Leaf{HingeSide: o.Leaf.HingeSide, Width: o.Leaf.Width}, o.Ajar.Value)
	if err != nil {
		return pressure.Hole{}, err
	}
	return pressure.AjarHole(a.Value), nil
}

// openingLabel names an opening among the priors.
func openingLabel(hold, i int, name string) string {
	if name == "" {
		return fmt.Sprintf("opening %d of hold %d", i+1, hold+1)
	}
	return units.Sanitize(name)
}

// listHole notes what is taken of a hole whose area is stated.
func listHole(c *Case, label string, o zonal.Opening) {
	if e, err := pressure.LogEstimate(o.Area, o.AreaSDLn); err == nil {
		c.Priors = append(c.Priors, Prior{Of: label + ", area", Median: *leakArea(e, pressure.AreaReference{}), From: "the sheet; its error judgement, not published"})
	}
	if o.Cd == 0 {
		listRatioOnce(c, "discharge coefficient of known holes, common to all", float64(sharpHole.Cd), float64(sharpHole.CdSD))
	}
}

func listRatioOnce(c *Case, of string, mean, sd float64) {
	if !slices.ContainsFunc(c.Priors, func(p Prior) bool { return p.Of == of }) {
		listRatio(c, of, mean, sd, judgement)
	}
}
