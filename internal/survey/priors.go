package survey

import (
	"fmt"
	"math"

	"holdbook/internal/fit"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// judgement is where every prior below comes from.
const judgement = "judgement, not published"

// theSheet is where a prior comes from that the sheet states itself.
const theSheet = "the sheet"

// pathSource says where the two priors of a path come from.
type pathSource struct{ size, exponent string }

// The spreads and exponents assumed of leaks.
const (
	sizeSD     = 1.5 // of the logarithm: nine in ten within a factor of 12
	exponentSD = 0.06
	crackMean  = 0.65
	ventMean   = 0.60 // vents to outside, and the leaks of ducts to anything but the house
	openMean   = 0.5  // registers and deliberate openings: an orifice
	openingSD  = 2.0  // of the logarithm of the size of an opening
	registerSD = 1.2  // of that of a register opened: nine in ten from 35 to 1800 cfm
	anyOther   = 150  // cfm, a pair of spaces that the table does not have
	openingCFM = 3000
	// registerCFM is of one register of 6 by 10 in, two thirds of it free; a grille
	// of the return is in reach.
	registerCFM = 250
	coveredCFM  = 50
)

// kindPair is an unordered pair of kinds; house and outside count as kinds.
type kindPair [2]sheet.Kind

const (
	houseKind   sheet.Kind = sheet.HouseName
	outsideKind sheet.Kind = sheet.OutsideName
)

// medianCFM is the flow at 50 Pa across a leak, by what it joins, before any
// reading.
var medianCFM = map[kindPair]float64{
	{houseKind, outsideKind}:            1500,
	{houseKind, sheet.Attic}:            300,
	{sheet.Attic, outsideKind}:          2000,
	{houseKind, sheet.Garage}:           150,
	{sheet.Garage, outsideKind}:         1000,
	{sheet.Garage, sheet.Attic}:         100,
	{houseKind, sheet.Crawlspace}:       250,
	{sheet.Crawlspace, outsideKind}:     1500,
	{houseKind, sheet.Basement}:         1000,
	{sheet.Basement, outsideKind}:       300,
	{houseKind, sheet.Kneewall}:         200,
	{sheet.Kneewall, outsideKind}:       300,
	{sheet.Kneewall, sheet.Attic}:       300,
	{houseKind, sheet.Neighbour}:        200,
	{sheet.Neighbour, outsideKind}:      800,
	{houseKind, sheet.RoomKind}:         300,
	{sheet.RoomKind, outsideKind}:       100,
	{houseKind, sheet.DuctsKind}:        3000,
	{sheet.DuctsKind, outsideKind}:      100,
	{sheet.DuctsKind, sheet.Attic}:      100,
	{sheet.DuctsKind, sheet.Crawlspace}: 100,
	{sheet.DuctsKind, sheet.DuctsKind}:  1500,
}

// sizePrior is the prior of the size of a leak between two kinds.
func sizePrior(a, b sheet.Kind) zonal.LogNormal {
	cfm, ok := medianCFM[kindPair{a, b}]
	if !ok {
		if cfm, ok = medianCFM[kindPair{b, a}]; !ok {
			cfm = anyOther
		}
	}
	return zonal.LogNormal{Median: units.Flow(units.CFM.ToSI(cfm)), SDLn: sizeSD}
}

// openingPrior is the prior of the size of something opened between two kinds: a
// register between house and ducts, else a hatch, a door or a window.
func openingPrior(a, b sheet.Kind) zonal.LogNormal {
	if (kindPair{a, b}) == (kindPair{houseKind, sheet.DuctsKind}) || (kindPair{b, a}) == (kindPair{houseKind, sheet.DuctsKind}) {
		return zonal.LogNormal{Median: units.Flow(units.CFM.ToSI(registerCFM)), SDLn: registerSD}
	}
	return zonal.LogNormal{Median: units.Flow(units.CFM.ToSI(openingCFM)), SDLn: openingSD}
}

// exponentPrior is the prior of the exponent of a leak. vented says that one of
// the two is a space with vents.
func exponentPrior(a, b sheet.Kind, vented bool) zonal.Normal {
	ducts := a == sheet.DuctsKind || b == sheet.DuctsKind
	house := a == houseKind || b == houseKind
	outside := a == outsideKind || b == outsideKind
	switch {
	case ducts && (house || a == b):
		return zonal.Normal{Mean: openMean}
	case ducts, outside && vented:
		return zonal.Normal{Mean: ventMean, SD: exponentSD}
	}
	return zonal.Normal{Mean: crackMean, SD: exponentSD}
}

// applyPath replaces the priors of a path by what the sheet says of it.
func applyPath(p *zonal.Path, s sheet.Path) pathSource {
	from := pathSource{judgement, judgement}
	if s.Exponent.Given {
		p.Exponent = zonal.Normal{Mean: float64(s.Exponent.Value), SD: float64(s.ExponentSD.Or(sheet.DefaultExponentSD))}
		from.exponent = theSheet
	}
	if s.Flow50.Given {
		p.Flow50.Median = s.Flow50.Value
		from.size = theSheet
	}
	if s.Spread.Given {
		p.Flow50.SDLn = math.Log(float64(s.Spread.Value)) / fit90
		from.size = theSheet
	}
	return from
}

// fit90 is the reach of a 90 % interval in standard deviations.
var fit90 = fit.NormalQuantile(0.95)

// listPrior notes what was assumed of a path, an opening or a fan.
func (r *run) listSize(of string, p zonal.LogNormal, from string) {
	if q := r.flow(spread(p.Median, p.SDLn)); q != nil {
		r.priors = append(r.priors, Prior{Of: of + ", flow at 50 Pa", Median: *q, From: from})
	}
}

func (r *run) listRatio(of string, mean, sd float64, from string) {
	e := units.Estimate[units.Ratio]{Value: units.Ratio(mean), Low: units.Ratio(mean - fit90*sd), High: units.Ratio(mean + fit90*sd)}
	if q := r.ratio(e); q != nil {
		r.priors = append(r.priors, Prior{Of: of, Median: *q, From: from})
	}
}

// listPath notes the priors of a path.
func (r *run) listPath(p zonal.Path, from pathSource) {
	of := fmt.Sprintf("%s–%s", r.names[p.A], r.names[p.B])
	if p.Covered {
		of += ", registers covered"
	}
	r.listSize(of, p.Flow50, from.size)
	e := zonal.Normal{Mean: p.Exponent.Mean, SD: p.Exponent.SD}
	low, high := math.Max(0.5, e.Mean-fit90*e.SD), math.Min(1, e.Mean+fit90*e.SD)
	q := r.ratio(units.Estimate[units.Ratio]{Value: units.Ratio(e.Mean), Low: units.Ratio(low), High: units.Ratio(high)})
	r.priors = append(r.priors, Prior{Of: of + ", exponent", Median: *q, From: from.exponent})
}
