package survey

import (
	"fmt"
	"math"

	"holdbook/internal/fit"
	"holdbook/internal/learned"
	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// judgement is where every prior below comes from.
const judgement = "judgement, not published"

// theSheet is where a prior comes from that the sheet states itself.
const theSheet = "the sheet"

// pathSource says where the two priors of a path come from.
type pathSource struct{ size, exponent string }

// The kinds that are no zone.
const (
	houseKind   = zonal.HouseKind
	outsideKind = zonal.OutsideKind
)

// applyStock replaces the priors of a path by what a stock tells of such leaks, if anything.
func applyStock(p *zonal.Path, l *learned.Leak, known *learned.Stock) pathSource {
	from := pathSource{judgement, judgement}
	if l != nil && l.Flow50 != nil {
		p.Flow50, from.size = *l.Flow50, theStock(known)
	}
	if l != nil && l.Exponent != nil {
		p.Exponent, from.exponent = *l.Exponent, theStock(known)
	}
	return from
}

// theStock is where a prior comes from that many houses have told.
func theStock(s *learned.Stock) string { return "the stock " + units.Sanitize(s.Name) }

// of tells whether a prior of a path comes from a stock.
func (p pathSource) of(s *learned.Stock) bool {
	return s != nil && (p.size == theStock(s) || p.exponent == theStock(s))
}

// noteStock says how much of what was assumed comes from a stock.
func noteStock(log *Log, s *learned.Stock, taken int) {
	switch {
	case s == nil:
	case taken == 0:
		log.Notice(Warning, "", "%s tells of none of the leaks of this house; nothing of it was used", theStock(s))
	default:
		log.Notice(Note, "", "what was assumed of %d of the leaks before any reading comes from %s (%d houses): right for a house of that stock; --priors has it", taken, theStock(s), s.Houses)
	}
}

// applyPath replaces the priors of a path by what the sheet says of it, if anything; from
// is where they are from.
func applyPath(p *zonal.Path, s sheet.Path, from pathSource) pathSource {
	if s.Exponent.Given {
		p.Exponent = zonal.Normal{Mean: float64(s.Exponent.Value), SD: float64(s.ExponentError())}
		from.exponent = theSheet
	}
	if s.Flow50.Given {
		p.Flow50.Median = s.Flow50.Value
		from.size = theSheet
	}
	if s.Spread.Given {
		p.Flow50.SDLn = math.Log(float64(s.Spread.Value)) / fit.Z90
		from.size = theSheet
	}
	return from
}

// listSize notes what was assumed of the size of a path or an opening.
func listSize(c *Case, of string, p zonal.LogNormal, from string) {
	if e, err := pressure.LogEstimate(p.Median, p.SDLn); err == nil {
		c.Priors = append(c.Priors, Prior{Of: of + ", flow at 50 Pa", Median: *Flow(e), From: from})
	}
}

func listRatio(c *Case, of string, mean, sd float64, from string) {
	if q := Ratio(pressure.Interval90(units.Measured[units.Ratio]{Value: units.Ratio(mean), SD: units.Ratio(sd)})); q != nil {
		c.Priors = append(c.Priors, Prior{Of: of, Median: *q, From: from})
	}
}

// listPath notes the priors of a path.
func listPath(c *Case, p zonal.Path, from pathSource) {
	of := fmt.Sprintf("%s–%s", c.Names[p.A], c.Names[p.B])
	if p.Covered {
		of += ", registers covered"
	}
	listSize(c, of, p.Flow50, from.size)
	e := p.Exponent
	low, high := math.Max(0.5, e.Mean-fit.Z90*e.SD), math.Min(1, e.Mean+fit.Z90*e.SD)
	q := Ratio(units.Estimate[units.Ratio]{Value: units.Ratio(e.Mean), Low: units.Ratio(low), High: units.Ratio(high)})
	c.Priors = append(c.Priors, Prior{Of: of + ", exponent", Median: *q, From: from.exponent})
}
