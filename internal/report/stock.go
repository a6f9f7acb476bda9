package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"holdbook/internal/survey"
	"holdbook/units"
)

// WriteStock writes what many houses come to as Text, Markdown or JSON.
func WriteStock(w io.Writer, s *survey.Stock, format Format, o Options) error {
	if format == JSON {
		return encode(w, s)
	}
	d := Document{Sections: []Section{stockHead(s), stockPooled(s), stockLeakage(s), stockLimits(s)}}
	return d.Write(w, format, o)
}

// stockName is a finding in words, with its unit.
func stockName(key string, unit units.Unit) string {
	parts := strings.Split(key, ".")
	name := quantity(parts[len(parts)-1])
	switch parts[0] {
	case "zones":
		name = parts[1] + ", " + name
	case "ducts":
		name = "ducts, " + name
	}
	if u := unit.Pretty(); u != "" {
		name += " (" + u + ")"
	}
	return name
}

func stockHead(s *survey.Stock) Section {
	out := Section{ID: "stock", Heading: "The stock of houses"}
	lead := count(s.Sheets, "sheet")
	if s.Failed > 0 {
		lead += fmt.Sprintf(", %d of them could not be used", s.Failed)
	}
	if s.Empty > 0 {
		lead += fmt.Sprintf(", %d without a reading", s.Empty)
	}
	if s.Suspect > 0 {
		lead += fmt.Sprintf(", %d with a reading that does not fit", s.Suspect)
	}
	out.Lead = []string{lead + "."}
	t := NewTable(Column{Head: "finding"}, Column{Head: "houses", Kind: Numbers}, Column{Head: "5 %"}, Column{Head: "25 %"},
		Column{Head: "half"}, Column{Head: "75 %"}, Column{Head: "95 %"}, Column{Head: "not resolved", Kind: Numbers})
	approximate, pooled := false, false
	for _, f := range s.Findings {
		name := stockName(f.Key, f.Unit)
		if f.Pooled {
			name, pooled = name+" *", true
		}
		cells := []Cell{Say(name), Num(strconv.Itoa(f.Houses))}
		for _, q := range f.Quantiles {
			cells = append(cells, Say(units.Significant(q.Value, 3)))
		}
		for len(cells) < 7 {
			cells = append(cells, Cell{})
		}
		approximate = approximate || f.Within > 0
		t.Add(append(cells, Num(strconv.Itoa(f.NotResolved)))...)
	}
	out.Table = t
	if len(s.Findings) > 0 {
		out.After = []string{"Houses: sheets in which the readings resolve it; of the others some bound it only (not resolved), and some say nothing of it. Columns in percent: so many of the houses, each at its median, stay below."}
	}
	if pooled {
		out.After = append(out.After, "* of all houses that have it, from all readings together: houses whose readings only bound it count too, and what is not known of a house does not widen the stock.")
	}
	if approximate {
		out.After = append(out.After, "Quantiles of so many houses are good to a quarter of a percent.")
	}
	return out
}

// stockPooled is what the readings of all houses together tell of the leaks of the stock.
func stockPooled(s *survey.Stock) Section {
	out := Section{ID: "pooled", Heading: "Leaks of the stock, from the readings of all houses together"}
	p := s.Pooled
	if p == nil {
		return out
	}
	t := NewTable(Column{Head: "leak"}, Column{Head: "houses", Kind: Numbers}, Column{Head: "median at 50 Pa", Kind: Interval, PerCell: true}, Column{Head: "unit"},
		Column{Head: "spread", Kind: Interval, PerCell: true}, Column{Head: "exponent", Kind: Interval, PerCell: true}, Column{Head: "its sd", Kind: Interval, PerCell: true})
	for _, l := range p.Leaks {
		t.Add(Say(l.Between[0]+"–"+l.Between[1]), Num(strconv.Itoa(l.Houses)), Est(l.Flow50), unitCell(l.Flow50), Est(l.Spread), Est(l.Exponent), Est(l.ExponentSD))
	}
	out.Table = t
	if len(p.Leaks) > 0 {
		out.After = append(out.After, "Spread: nine in ten houses lie between the median divided by it and times it. Intervals 90 %: of the median and the spread of the stock, not of a house.")
	}
	if len(p.Little) > 0 {
		out.After = append(out.After, "Left out, as these houses tell too little and mostly what was assumed would stand here: "+strings.Join(p.Little, "; ")+".")
	}
	if p.Without > 0 {
		out.After = append(out.After, fmt.Sprintf("Not among them: %s, which an earlier release wrote or whose readings left nothing to pool; run the sheets themselves.", count(p.Without, "row")))
	}
	return out
}

func stockLeakage(s *survey.Stock) Section {
	t := NewTable(Column{Head: "through"}, Column{Head: "houses", Kind: Numbers}, Column{Head: "share (%)", Kind: Numbers})
	for _, l := range s.Leakage {
		t.Add(Say(l.Through), Num(strconv.Itoa(l.Houses)), Num(percent(l.Share)))
	}
	return Section{ID: "leakage", Heading: "Share of leakage at 50 Pa, houses in which it is resolved", Table: t}
}

func stockLimits(s *survey.Stock) Section {
	t := NewTable(Column{Head: "over"}, Column{Head: "houses", Kind: Numbers}, Column{Head: "over (%)", Kind: Numbers},
		Column{Head: "surely (%)", Kind: Numbers}, Column{Head: "too close to call (%)", Kind: Numbers})
	missing := false
	for _, l := range s.Limits {
		name := Say(stockName(l.Key, units.Unit{}) + " over " + units.Put(number(l.Limit), l.Unit))
		if l.Houses == 0 {
			missing = true
			t.Add(name, Num("0"))
			continue
		}
		t.Add(name, Num(strconv.Itoa(l.Houses)), Num(percent(l.Over)), Num(percent(l.Surely)), Num(percent(l.Close)))
	}
	var after []string
	if t.Rows() > 0 {
		after = append(after, "Over: at the median. Surely: the whole interval is over. Too close to call: the limit lies within the interval.")
	}
	if missing {
		after = append(after, "No houses: none of the sheets gives it; air changes need the volume of the house, flow by floor area its floor area.")
	}
	return Section{ID: "limits", Heading: "Houses over a limit", Table: t, After: after}
}
