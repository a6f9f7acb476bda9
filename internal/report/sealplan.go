package report

import (
	"io"
	"maps"
	"math"
	"slices"
	"strconv"

	"holdbook/internal/advise"
	"holdbook/internal/survey"
	"holdbook/units"
)

// WriteSeal writes a sealing forecast as Text, Markdown, JSON or HTML: the work order,
// with the working also the flows behind it.
func WriteSeal(w io.Writer, f *advise.SealForecast, format Format, o Options) error {
	f, err := viewed(f, f.Job, func(f *advise.SealForecast) *[]survey.Notice { return &f.Notices }, nil)
	if err != nil {
		return err
	}
	if format == JSON {
		return encode(w, f)
	}
	return sealDocument(f, o).Write(w, format, o)
}

// sealDocument is the work order as a document.
func sealDocument(f *advise.SealForecast, o Options) *Document {
	d := &Document{Title: "Work order: " + title(f.Job)}
	if f.Order == nil {
		d.Sections = []Section{{ID: "order", Heading: d.Title}, {ID: "notices", Notices: unnumbered(f.Notices)}}
		return d
	}
	d.Order = append(workOrder(f.Order, f.Job, f.Choices), leaving(foreground(f.Notices, o)))
	if f.Job.Invented {
		d.Order[0].Lead = append([]string{invented}, d.Order[0].Lead...)
	}
	if o.Working {
		notes := newFootnotes(f.Notices)
		d.Sections = append(d.Sections, sealHead(f), seal(&survey.Findings{SealFirst: f.Choices}, notes), sealSteps(f, notes), sealTogether(f, notes), sealedAir(f))
	}
	return d
}

// sealHead heads the flows behind a work order.
func sealHead(f *advise.SealForecast) Section {
	s := Section{ID: "flows", Heading: "Working: the flows behind it"}
	if f.FanNow != nil {
		s.Lead = append(s.Lead, "In brackets: 90 % intervals; of fan readings, for the same fan in the same flow range, whose own error then cancels. Falls and targets are flows, corrected for the density of the air; the gauge shows others.")
	}
	if f.Target != nil {
		s.Lead = append(s.Lead, "Target "+targetFlow(f.Target)+" at 50 Pa: "+f.Target.Text+".")
	}
	return s
}

// targetFlow is the flow to reach, and what the fan's gauge shows then where that
// is another number.
func targetFlow(t *advise.SealTarget) string {
	s := units.Put(number(t.Flow.Value), t.Flow.Unit)
	if r := t.FanReads; r != nil && math.Abs(r.Value/t.Flow.Value-1) > 0.01 {
		s += " (the fan then reads " + units.Put(units.Fixed(r.Value, 0), r.Unit) + ")"
	}
	return s
}

// sealSteps is the order of work, with what the fan should read.
func sealSteps(f *advise.SealForecast, n *footnotes) Section {
	further := "falls further by"
	if fallsHead(n) == flowFalls {
		further = "flow falls further by"
	}
	t := NewTable(Column{Head: "step"}, Column{Head: "seal"},
		Column{Head: further, Kind: Interval},
		Column{Head: "fan should read", Kind: Interval},
		Column{Head: "air changes", Unit: "1/h", Kind: Interval},
		Column{Head: "target met", Unit: "%", Kind: Numbers})
	for _, s := range f.Steps {
		chance := Say("")
		if s.Chance != nil {
			chance = Num(units.Chance(*s.Chance))
		}
		t.Add(Say(strconv.Itoa(s.Step)), Say(between(s.Between)), EstIf(s.Drop50, bounded(s.Drop50)), Est(s.FanAfter), Est(s.AirChanges), chance)
	}
	after := []string{"After each step hold 50 Pa again and compare: a reading outside its interval means that something else was closed, or that the leak was not."}
	if f.Target != nil && slices.ContainsFunc(f.Steps, func(s advise.SealStep) bool { return !bounded(s.Drop50) }) {
		after = append(after, "Target met: counts every house that the readings allow; what is not resolved rests mostly on what houses usually are, so read it before relying on it.")
	}
	return Section{ID: "steps", Heading: "Step by step, fan running", Table: t, After: after}
}

func sealTogether(f *advise.SealForecast, n *footnotes) Section {
	if len(f.Together) == 0 {
		return Section{}
	}
	t := NewTable(Column{Head: "together"},
		Column{Head: fallsHead(n), Kind: Interval},
		Column{Head: "fan should read", Kind: Interval})
	for _, c := range f.Together {
		t.Add(Say(c.What), EstIf(c.Drop50, bounded(c.Drop50)), Est(c.FanAfter))
	}
	return Section{ID: "together", Heading: "Sealed together", Table: t}
}

// sealedAir is the ventilation before and after.
func sealedAir(f *advise.SealForecast) Section {
	s := Section{ID: "ventilation", Heading: "Ventilation, as found and after all the steps"}
	if f.Air == nil {
		return Section{}
	}
	after := maps.Collect(survey.Estimates(f.Air.After))
	s.Table = NewTable(Column{Head: "quantity"}, Column{Head: "as found", Kind: Interval, PerCell: true}, Column{Head: "after", Kind: Interval, PerCell: true}, Column{Head: "unit"})
	for key, q := range survey.Estimates(f.Air.Found) {
		if q != nil || after[key] != nil {
			s.Table.Add(Say(quantity(key)), Est(q), Est(after[key]), unitCell(q))
		}
	}
	if f.Air.After.Text != "" {
		s.After = append(s.After, "After: "+f.Air.After.Text)
	}
	if f.Air.After.Model != "" {
		s.After = append(s.After, "Model: "+f.Air.After.Model)
	}
	return s
}
