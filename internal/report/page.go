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
	d.Title, d.Owner = title(f.Job), owner(f)
	if f.WorkOrder != nil {
		d.Order = append(workOrder(f.WorkOrder, f.Job, f.SealFirst), leaving([]survey.Notice{{Level: survey.Danger, Text: survey.SpillageCaution}}))
	}
	drawings := charts(f)
	for i := range d.Sections {
		d.Sections[i].Drawing = drawings[d.Sections[i].ID]
	}
	return d, nil
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
		"paths":       {chartIntervals(f), "Dot: median. Bar: 90 % interval, dashed where not resolved. Logarithmic scale."},
		"registers":   {chartRegisters(f.Ducts), "Thin line: 90 % interval."},
		"multi-point": {chartFit(f.House.MultiPoint), "Both scales are logarithmic: a power law is straight."},
		"on-off":      {chartOnOff(f.Ducts), "Dots: as measured. Line: fitted."},
	}
}
