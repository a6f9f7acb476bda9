package report

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

func openings(f *survey.Findings, how Options) Section {
	s := Section{ID: "openings", Heading: "What was opened"}
	areas := each(f.Openings, func(o survey.Opening) *survey.Q { return o.Area })
	s.Table = NewTable(Column{Head: "opening"}, Column{Head: "between"}, Column{Head: "at 50 Pa", Kind: Interval},
		Column{Head: "area", Kind: Interval}, Column{Head: "size"})
	for _, o := range f.Openings {
		area, size := Est(o.Area), "estimated"
		if !o.Resolved {
			area = Cell{}
		}
		if o.Known {
			size = "given"
		}
		s.Table.Add(Say(openingName(o)), Say(between(o.Between)), EstWithin(o.Flow50, o.Resolved, o.Bound), area, Say(size))
	}
	if basis := areaBasis(areas...); basis != "" {
		s.After = []string{strings.TrimSpace(basis)}
	}
	if how.record() && slices.ContainsFunc(f.Openings, func(o survey.Opening) bool { return o.Known }) {
		s.After = append(s.After, "Given: as written, with the doubt of its area and of how air passes its edges, settled by the readings as far as they can.")
	}
	return s
}

// openingName says what was opened and in which hold, once where the name of
// the hold says both.
func openingName(o survey.Opening) string {
	if strings.Contains(strings.ToLower(o.Hold), strings.ToLower(o.Name)) {
		return o.Hold
	}
	return joinWords(", ", o.Name, o.Hold)
}

func house(f *survey.Findings) Section {
	s := Section{ID: "house", Heading: "The whole house"}
	s.Table = NewTable(Column{Head: "quantity"}, perCell, Column{Head: "unit"})
	for key, q := range survey.Estimates(f.House) {
		if q == nil {
			continue
		}
		name := quantity(key)
		if q == f.House.StandardAir {
			name = joinWords(", ", name, f.House.StandardBy)
		}
		if q == f.House.Exponent && f.House.ExponentAssumed {
			name += ", assumed"
		}
		s.Table.Add(Say(name), Est(q), unitCell(q))
	}
	for _, a := range []*survey.Q{f.House.LeakArea4, f.House.LeakArea10} {
		if basis := areaBasis(a); basis != "" {
			s.After = append(s.After, strings.TrimSpace(basis))
		}
	}
	if f.House.ExponentAssumed && f.House.LeakArea4 != nil {
		s.After = append(s.After, "The fan was read at one pressure: the exponent, and with it the leak areas, rest on what is assumed of houses.")
	}
	return s
}

func multiPoint(m *survey.MultiPoint, id string) Section {
	s := Section{ID: id}
	if m == nil {
		return s
	}
	s.Heading = joinWords(", ", "Multi-point test", m.Direction, "standard regression")
	s.Table = NewTable(Column{Head: "quantity"}, perCell, Column{Head: "limits"}, Column{Head: "unit"})
	add := func(name string, q *survey.Q, fallback float64) {
		if q != nil {
			s.Table.Add(Say(name), Est(q), Say(fmt.Sprintf("%s %%", number(level(q, fallback)))), unitCell(q))
		}
	}
	add("exponent", &m.Exponent, 95)
	add("flow at 50 Pa", &m.Flow50, 95)
	add("flow coefficient", &m.Coefficient, 95)
	add("leak area at 4 Pa", m.LeakArea4, 95)
	add("leak area at 10 Pa", m.LeakArea10, 95)
	add("exponent, weighted", m.WeightedExponent, 90)
	add("flow at 50 Pa, weighted", m.WeightedFlow50, 90)
	s.After = []string{fmt.Sprintf("%d points, r² %.4f. Limits of 95 %% hold the scatter of the fit alone; weighted: both errors of every point.",
		len(m.Points), m.R2)}
	return s
}

// multiPointLine is the multi-point test in one line.
func multiPointLine(f *survey.Findings) Section {
	s := Section{ID: "multi-point"}
	m := f.House.MultiPoint
	if m == nil {
		return s
	}
	line := fmt.Sprintf("Multi-point test, %s: exponent %s, %s at 50 Pa; limits of %s %%, of the scatter alone; more in --working.",
		joinWords(", ", m.Direction, count(len(m.Points), "point")), inline(&m.Exponent), inline(&m.Flow50), number(level(&m.Flow50, 95)))
	if m.Refused {
		line = strings.TrimSuffix(line, ".") + ", with why no standard would take it."
	}
	s.Lead = []string{line}
	return s
}

// level is the level of an interval in percent.
func level(q *survey.Q, fallback float64) float64 {
	if q.Level > 0 {
		return q.Level
	}
	return fallback
}

func hand(f *survey.Findings) Section {
	s := Section{ID: "hand", Heading: "By hand, beside the estimate"}
	s.Table = NewTable(Column{Head: "method"}, Column{Head: "about"}, Column{Head: "quantity"}, perCell, Column{Head: "unit"})
	for _, h := range f.Hand {
		unit := unitCell(h.Result)
		result := EstIf(h.Result, h.Resolved)
		if !h.Resolved {
			unit = Cell{}
			if h.Result == nil {
				result = Cell{value: "not resolved", free: true}
			}
		}
		s.Table.Add(Say(h.Method), sayIf(h.About), Say(quantity(h.Quantity)), result, unit)
		if h.Note != "" {
			s.After = append(s.After, joinWords(", ", sentence(h.Method), h.About)+": "+h.Note)
		}
	}
	if slices.ContainsFunc(f.Hand, func(h survey.HandAnswer) bool { return h.Quantity == "leak ratio" }) {
		s.After = append(s.After, "Leak ratio: house leak over outside leak.")
	}
	return s
}

func limits(f *survey.Findings) Section {
	s := Section{ID: "limits", Heading: "Against published limits"}
	s.Table = NewTable(Column{Head: "document"}, Column{Head: "quantity"}, Column{Head: "limit"}, Column{Head: "result", Kind: Interval, PerCell: true}, Column{Head: "unit"}, Column{Head: ""},
		Column{Head: "chance", Unit: "%", Kind: Numbers})
	for _, l := range f.Limits {
		s.Table.Add(Say(joinWords(" ", l.Document, l.Edition)), Say(quantity(l.Quantity)), sayIf(l.Limit), Est(l.Result), unitCell(l.Result), sayIf(l.Verdict), Num(units.Chance(l.Chance)))
	}
	return s
}

func ventilation(f *survey.Findings) Section {
	s := Section{ID: "ventilation", Heading: "Ventilation"}
	v := f.Ventilation
	if v == nil {
		return s
	}
	s.Table = NewTable(Column{Head: "quantity"}, perCell, Column{Head: "unit"})
	s.Table.addEstimates(*v)
	if v.Text != "" {
		s.After = append(s.After, v.Text)
	}
	if v.Model != "" {
		s.After = append(s.After, "Model: "+v.Model)
	}
	return s
}

// working is every formula with the reader's own numbers in it.
func working(f *survey.Findings) Section {
	s := Section{ID: "working", Heading: "Working"}
	for _, w := range f.Working {
		line := joinWords(": ", w.About, joinWords("; ", w.Formula, w.Numbers))
		if w.Source != "" {
			line += " [" + w.Source + "]"
		}
		s.After = append(s.After, line)
	}
	return s
}

func readings(f *survey.Findings, n *footnotes) Section {
	s := Section{ID: "readings", Heading: "Every reading against the estimate"}
	s.Table = NewTable(Column{Head: "hold"}, Column{Head: "reading"}, Column{Head: "read", Kind: Numbers},
		Column{Head: "predicted", Kind: Interval, PerCell: true}, Column{Head: "unit"}, Column{Head: "off by", Unit: "sd", Kind: Numbers})
	for _, r := range f.Readings {
		off := Num(units.Fixed(r.OffBySD, 1))
		if !r.Checkable {
			off = Num("unchecked")
		}
		s.Table.Add(Say(r.Hold), Say(pressureName(r.Of, r.To)+n.mark(r.Hold, r.Of)), Value(r.Read), Est(&r.Predicted), sayIf(r.Unit.Pretty()), off)
	}
	for _, r := range f.Readings {
		if !r.Checkable {
			s.After = []string{"Unchecked: no other reading says anything of this one."}
		}
	}
	return s
}

func priors(f *survey.Findings) Section {
	s := Section{ID: "priors", Heading: "What was assumed before any reading"}
	s.Table = NewTable(Column{Head: "of"}, Column{Head: "prior", Kind: Interval, PerCell: true}, Column{Head: "unit"}, Column{Head: "from"})
	for _, p := range f.Priors {
		s.Table.Add(Say(p.Of), Est(&p.Median), unitCell(&p.Median), sayIf(p.From))
	}
	return s
}

// samples is what the samples of readings say of them.
func samples(f *survey.Findings) Section {
	s := Section{ID: "samples", Heading: "Readings taken from samples"}
	if len(f.Samples) == 0 {
		return s
	}
	s.Table = NewTable(Column{Head: "reading"}, Column{Head: "samples", Kind: Numbers}, Column{Head: "mean", Kind: Interval, PerCell: true},
		Column{Head: "spread", Kind: Numbers}, Column{Head: "drift", Kind: Numbers}, Column{Head: "worth", Kind: Numbers}, Column{Head: "unit"})
	short := false
	for _, x := range f.Samples {
		worth := units.Significant(x.Effective, 2)
		if x.Short {
			worth, short = "too short", true
		}
		s.Table.Add(Say(joinWords(", ", x.Hold, x.Reading)), Value(float64(x.Count)), Est(&x.Mean), Num(units.Significant(x.Spread, 2)),
			Num(units.Significant(x.Drift, 2)), Num(worth), sayIf(x.Unit.Pretty()))
	}
	s.After = []string{"Spread: of a single sample about the trend. Worth: how many independent samples tell as much of the mean. The interval holds wind and drift; the gauge's own error comes on top."}
	if short {
		s.After = append(s.After, "Too short to tell its own noise, as slow wind would hide in it: the wobble of the sheet stands in as the least error.")
	}
	return s
}

// record is the holds and how the numbers came about.
func record(f *survey.Findings, n *footnotes) Section {
	s := Section{ID: "record", Heading: "Record", Lead: recordLines(f.Job)}
	if len(f.Holds) == 0 {
		return s
	}
	unit := ""
	for _, h := range f.Holds {
		if h.Fan != nil {
			unit = h.FanUnit.Pretty()
		}
	}
	s.Table = NewTable(Column{Head: "hold"}, Column{Head: "house", Unit: "Pa", Kind: Numbers}, Column{Head: "baseline", Unit: "Pa", Kind: Numbers}, Column{Head: "fan", Unit: unit, Kind: Numbers}, Column{Head: "against as found"})
	for _, h := range f.Holds {
		fan := Cell{}
		if h.Fan != nil {
			fan = Value(*h.Fan)
		}
		name := h.Name + n.mark(h.Name)
		if !h.Used {
			name += ", not used"
		}
		held, baseline := Cell{}, Cell{}
		if h.Used || h.House != 0 {
			held, baseline = Value(h.House), Value(h.Baseline)
		}
		s.Table.Add(Say(name), held, baseline, fan, sayIf(strings.Join(h.Changes, "; ")))
	}
	if unit != "" {
		s.After = append(s.After, "House: less the baseline. Fan: what passes the envelope, for the density of the air where temperatures are given.")
	}
	if line := methodLine(f.Method); line != "" {
		s.After = append(s.After, line)
	}
	return s
}

func recordLines(j survey.Job) []string {
	var out []string
	if line := joinWords("; ", prefixed("by ", j.By), prefixed("place: ", j.Place), prefixed("wind: ", j.Wind)); line != "" {
		out = append(out, sentence(line)+".")
	}
	if line := joinWords(", ", prefixed("gauge ", j.GaugeID), prefixed("calibrated ", j.GaugeCal)); line != "" {
		out = append(out, sentence(line)+".")
	}
	return out
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func methodLine(m survey.Method) string {
	if m.Intervals == "" && m.Status == "" {
		return "" // nothing was estimated
	}
	s := "Intervals: 90 %"
	switch m.Intervals {
	case "curvature":
		s += ", from the curvature of one joint estimate"
	case "sampled":
		s += ", sampled from one joint estimate"
	}
	if m.Status != "" {
		s += "; " + m.Status
	}
	if m.Effective > 0 && m.Status != "converged" {
		s += "; effective samples " + units.Fixed(m.Effective, 0)
	}
	if m.Widened > 0 {
		s += "; widened " + units.Fixed(m.Widened, 1) + " times, for the readings contradict each other"
	}
	return s + "."
}
