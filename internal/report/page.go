package report

import "holdbook/internal/survey"

// Page is the findings for a format that has room for everything: the whole record,
// every column of a table, and drawings. Names and texts in it are safe to print.
func Page(f *survey.Findings) (*Document, error) {
	f, err := printed(f)
	if err != nil {
		return nil, err
	}
	d := compose(f, Options{Working: true, Priors: true, full: true})
	d.Title, d.Figures = title(f.Job), headline(f.House)
	drawings := charts(f)
	for i := range d.Sections {
		d.Sections[i].Drawing = drawings[d.Sections[i].ID]
	}
	return d, nil
}

// Figure is one large number at the top of a page.
type Figure struct{ Value, Unit, Name, Interval string }

// headline is the numbers at the top of the page.
func headline(h survey.House) []Figure {
	var out []Figure
	add := func(name string, q *survey.Q, unit string) {
		if q != nil {
			v, i := texts(q)
			out = append(out, Figure{v, unit, name, i})
		}
	}
	if h.Flow50 != nil {
		add("leakage at 50 Pa", h.Flow50, h.Flow50.Unit.Pretty())
	}
	add("air changes an hour at 50 Pa", h.AirChanges50, "")
	if h.LeakArea4 != nil {
		add("leak area at 4 Pa, coefficient "+coefficient(h.LeakArea4.Coefficient), h.LeakArea4, h.LeakArea4.Unit.Pretty())
	}
	return out
}

// Drawing is a picture of a section's numbers with its caption.
type Drawing struct {
	SVG     string // an element of a page; "" where there is nothing to draw
	Caption string
}

// charts are the drawings by the section they belong to. A new chart is one
// file and one line here.
func charts(f *survey.Findings) map[string]Drawing {
	return map[string]Drawing{
		"zones": {chartMap(f), "Arrows: air flow with the house at 50 Pa, as wide as the flow, number and 90 % interval; " +
			"dashed where the readings do not resolve it. Zones are shaded the more, the more they are indoors. The same numbers stand in the tables."},
		"paths":       {chartIntervals(f), "Dot: median. Bar: 90 % interval, dashed where not resolved. Logarithmic scale."},
		"registers":   {chartRegisters(f.Ducts), "Thin line: 90 % interval."},
		"multi-point": {chartFit(f.House.MultiPoint), "Both scales are logarithmic: a power law is straight."},
		"on-off":      {chartOnOff(f.Ducts), "Dots: as measured. Line: fitted."},
	}
}
