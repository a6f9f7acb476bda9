package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// build turns the sheet into a network of leaks.
func (r *run) build() error {
	r.model = zonal.NewModel()
	r.model.Air = r.leakAir()
	spoken := spokenOf(r.sheet)
	if err := r.connect(spoken); err != nil {
		return err
	}
	r.laySpaces(spoken)
	if err := r.layPaths(); err != nil {
		return err
	}
	return r.layHolds()
}

// connect keeps the silent zones that alone join a zone spoken of to the house
// or outside, and refuses a zone that nothing joins to either.
func (r *run) connect(spoken map[string]bool) error {
	joined := reach(r.sheet.Touching(), spoken)
	for _, z := range r.sheet.Zones {
		if name := z.Name.Value; spoken[name] && !joined[name] {
			all := reach(r.sheet.Touching(), nil)
			if !all[name] {
				return r.place(z.Pos, fmt.Sprintf("%s touches neither the house nor outside, nor anything that does; correct its touches", units.Sanitize(name)))
			}
			for _, t := range r.sheet.Zones {
				spoken[t.Name.Value] = spoken[t.Name.Value] || all[t.Name.Value]
			}
			return nil
		}
	}
	return nil
}

// reach is every space that is joined to the house or outside through spaces
// that are in; nil: through any.
func reach(pairs [][2]string, in map[string]bool) map[string]bool {
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

// laySpaces makes a space of every zone that some hold speaks of.
func (r *run) laySpaces(spoken map[string]bool) {
	r.spaces = map[string]zonal.SpaceID{sheet.HouseName: zonal.House, sheet.OutsideName: zonal.Outside}
	r.names = []string{sheet.HouseName, sheet.OutsideName}
	r.kinds = []sheet.Kind{houseKind, outsideKind}
	for _, z := range r.sheet.Zones {
		name := z.Name.Value
		if !spoken[name] && !r.o.AllZones {
			r.notice(Note, name, "no hold says anything of it; it is left out, and its leaks count in house–outside")
			continue
		}
		r.spaces[name] = zonal.SpaceID(len(r.names))
		r.names, r.kinds = append(r.names, name), append(r.kinds, z.Kind)
		r.model.Spaces = append(r.model.Spaces, zonal.Space{Name: name, Kind: z.Kind, Vented: z.IsVented()})
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
		for _, f := range h.Fans {
			in[f.From.Name], in[f.To.Name] = true, true
		}
	}
	return in
}

// layPaths makes a path of every boundary between two spaces of the model.
func (r *run) layPaths() error {
	for _, pair := range r.sheet.Touching() {
		a, inA := r.spaces[pair[0]]
		b, inB := r.spaces[pair[1]]
		if !inA || !inB {
			continue
		}
		k, err := r.model.Join(a, b)
		if err != nil {
			return err
		}
		p := &r.model.Paths[k]
		from := pathSource{judgement, judgement}
		if i := slices.IndexFunc(r.sheet.Paths, func(q sheet.Path) bool { return q.Between.Same(pair[0], pair[1]) }); i >= 0 {
			from = applyPath(p, r.sheet.Paths[i])
		}
		r.listPath(*p, from)
	}
	return nil
}

func (r *run) vented(id zonal.SpaceID) bool {
	z, ok := r.sheet.Zone(r.names[id])
	return ok && z.IsVented()
}

// pathBetween is the path between two spaces, covered or not; −1 if there is none.
func (r *run) pathBetween(a, b zonal.SpaceID, covered bool) int {
	return slices.IndexFunc(r.model.Paths, func(p zonal.Path) bool {
		return p.Covered == covered && (p.A == a && p.B == b || p.A == b && p.B == a)
	})
}

// coveredPath is what the covered registers of a duct zone still leak.
func (r *run) coveredPath(ducts zonal.SpaceID) int {
	if i := r.pathBetween(zonal.House, ducts, true); i >= 0 {
		return i
	}
	p := zonal.CoveredRegisters(ducts)
	r.model.Paths = append(r.model.Paths, p)
	r.listPath(p, pathSource{judgement, judgement})
	return len(r.model.Paths) - 1
}

// calibration is the index of a shared flow error of that name, made when first
// named. none is an error of zero.
func (r *run) calibration(name string, sd units.Ratio) []int {
	if sd <= 0 {
		return nil
	}
	i := slices.IndexFunc(r.model.Calibrations, func(c zonal.Calibration) bool { return sameName(c.Name, name) })
	if i < 0 {
		i = len(r.model.Calibrations)
		r.model.Calibrations = append(r.model.Calibrations, zonal.Calibration{Name: name, SDLn: float64(sd)})
		from := "common practice, no source"
		if r.sheet.Gauge.Flow.Given {
			from = theSheet
		}
		r.listRatio("calibration of the "+name, 1, float64(sd), from)
	}
	return []int{i}
}

// sameName matches names as the sheet does: without regard to case and to the
// number of blanks.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// fanErrors are the calibrations of a fan with a flow range fitted.
func (r *run) fanErrors(fan, flowRange string) []int {
	c := r.gauge.FanCalibration()
	label := fan + ", range not stated"
	if flowRange != "" {
		label = fan + ", range " + units.Sanitize(flowRange)
	}
	return append(r.calibration(fan, c.Common), r.calibration(label, c.PerRange)...)
}

// opening is the index of something opened, made when first named: one name
// between the same spaces is one size.
func (r *run) opening(hold, i int, o sheet.Opening) (int, error) {
	a, b := r.spaces[o.Between[0].Name], r.spaces[o.Between[1].Name]
	name := o.Name.Value
	if name != "" {
		k := slices.IndexFunc(r.model.Openings, func(q zonal.Opening) bool {
			return sameName(q.Name, name) && (q.A == a && q.B == b || q.A == b && q.B == a)
		})
		if k >= 0 {
			return k, nil
		}
	}
	q := zonal.Opening{Name: name, A: a, B: b}
	if o.Area.Given {
		q.Area, q.AreaSDLn, q.Cd = o.Area.Value, float64(sharpHole.AreaSD), float64(o.Cd.Or(0))
		r.listHole(openingLabel(hold, i, name), q)
	} else {
		q.Flow50 = zonal.OpeningPrior(r.kinds[a], r.kinds[b])
		r.listSize(openingLabel(hold, i, name), q.Flow50, judgement)
	}
	r.model.Openings = append(r.model.Openings, q)
	return len(r.model.Openings) - 1, nil
}

// openingLabel names an opening among the priors.
func openingLabel(hold, i int, name string) string {
	if name == "" {
		return fmt.Sprintf("opening %d of hold %d", i+1, hold+1)
	}
	return units.Sanitize(name)
}

// listHole notes what is taken of a hole whose area is stated.
func (r *run) listHole(label string, o zonal.Opening) {
	if q := r.area(spread(o.Area, o.AreaSDLn), pressure.AreaReference{}); q != nil {
		r.priors = append(r.priors, Prior{Of: label + ", area", Median: *q, From: "the sheet; its error judgement, not published"})
	}
	if o.Cd == 0 {
		r.listRatioOnce("discharge coefficient of known holes, common to all", float64(sharpHole.Cd), float64(sharpHole.CdSD))
	}
}

// spread is the 90 % interval of a quantity that is normal in its logarithm.
func spread[Q ~float64](median Q, sdLn float64) units.Estimate[Q] {
	reach := Q(math.Exp(fit90 * sdLn))
	return units.Estimate[Q]{Value: median, Low: median / reach, High: median * reach}
}

func (r *run) listRatioOnce(of string, mean, sd float64) {
	if !slices.ContainsFunc(r.priors, func(p Prior) bool { return p.Of == of }) {
		r.listRatio(of, mean, sd, judgement)
	}
}

// airPair is the air indoors and outdoors, as far as the sheet gives it.
type airPair struct {
	house, outdoor       units.Density
	houseAir, outdoorAir pressure.Air
	known                bool
}

// airOf is the air of a hold: its own temperatures or the house's.
func (r *run) airOf(h *sheet.Hold) airPair {
	indoor, outdoor := r.sheet.House.Indoor, r.sheet.House.Outdoor
	if h != nil && h.Indoor.Given {
		indoor = h.Indoor
	}
	if h != nil && h.Outdoor.Given {
		outdoor = h.Outdoor
	}
	if !indoor.Given || !outdoor.Given {
		return airPair{}
	}
	barometer, err := pressure.BarometerAt(r.sheet.House.Altitude.Or(0))
	if err != nil {
		return airPair{}
	}
	a := airPair{houseAir: pressure.Air{Temperature: indoor.Value, Barometer: barometer.Value},
		outdoorAir: pressure.Air{Temperature: outdoor.Value, Barometer: barometer.Value}}
	in, errIn := a.houseAir.Density()
	out, errOut := a.outdoorAir.Density()
	if err := cmp.Or(errIn, errOut); err != nil {
		r.notice(Warning, "", "%s; fan flows are taken without a density correction", err)
		return airPair{}
	}
	a.house, a.outdoor, a.known = in.Value, out.Value, true
	return a
}

// leakAir is the density of the air in the leaks: outdoor air in a house that
// is held below outdoors, house air in one held above; standard air for the
// altitude where no temperatures are given.
func (r *run) leakAir() units.Density {
	r.outdoor = r.airOf(nil)
	d := pressure.DirectionOf(-1)
	if !r.below() {
		d = pressure.DirectionOf(1)
	}
	if r.outdoor.known {
		return d.LeakAir(r.outdoor.house, r.outdoor.outdoor)
	}
	return r.airAtAltitude()
}

// airInLeaks is the air whose density leakAir is, with its viscosity.
func (r *run) airInLeaks() pressure.Air {
	switch {
	case r.outdoor.known && r.below():
		return r.outdoor.outdoorAir
	case r.outdoor.known:
		return r.outdoor.houseAir
	}
	a := pressure.Air{Temperature: pressure.StandardTemperature, Barometer: pressure.StandardBarometer}
	if barometer, err := pressure.BarometerAt(r.sheet.House.Altitude.Or(0)); err == nil {
		a.Barometer = barometer.Value
	}
	return a
}

// airAtAltitude is standard air, thinned to the altitude of the house.
func (r *run) airAtAltitude() units.Density {
	if barometer, err := pressure.BarometerAt(r.sheet.House.Altitude.Or(0)); err == nil {
		return pressure.StandardDensity * units.Density(barometer.Value/pressure.StandardBarometer)
	}
	return pressure.StandardDensity
}

// houseAir is the density of the air in the rooms and in the air handler, which
// that of the leaks differs from by the temperature outdoors; standard air for
// the altitude where no indoor temperature is given.
func (r *run) houseAir() units.Density {
	t, given := r.temperature(r.sheet.House.Indoor, r.climate().Indoor)
	barometer, err := pressure.BarometerAt(r.sheet.House.Altitude.Or(0))
	if !given || err != nil {
		return r.airAtAltitude()
	}
	rho, err := pressure.Air{Temperature: t, Barometer: barometer.Value}.Density()
	if err != nil {
		return r.airAtAltitude()
	}
	return rho.Value
}

// abs is the magnitude of a quantity.
func abs[Q ~float64](v Q) Q { return Q(math.Abs(float64(v))) }
