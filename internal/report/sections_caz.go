package report

import (
	"fmt"

	"holdbook/internal/survey"
)

// caz is the worst-case depressurisation of spaces with combustion appliances, as it was read.
func caz(f *survey.Findings) Section {
	s := Section{ID: "caz", Heading: "Worst-case depressurisation, as read"}
	s.Table = NewTable(Column{Head: "space"}, Column{Head: "appliance"}, Column{Head: "baseline", Unit: "Pa", Kind: Numbers}, Column{Head: "worst", Unit: "Pa", Kind: Numbers},
		Column{Head: "when"}, Column{Head: "change", Kind: Interval}, Column{Head: "against the limit"})
	for _, z := range f.CAZ {
		s.Table.Add(Say(z.Name), sayIf(z.Appliance), Value(z.Baseline), Value(z.Worst), Say(z.When), Est(z.NetChange), sayIf(z.Verdict))
	}
	for _, z := range f.CAZ {
		line := func(what, text string) {
			if text != "" {
				s.After = append(s.After, fmt.Sprintf("%s, %s: %s", sentence(z.Name), what, text))
			}
		}
		line("limit", z.Limit)
		if z.Handler != nil {
			line("change by the air handler", inline(z.Handler))
		}
		line("set up", z.Setup)
		line("spillage", z.Spillage)
		line("carbon monoxide", z.CO)
		line("note", z.Note)
	}
	return s
}
