package report

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// blank is a hold to fill in as a block of the sheet: whoever holds the gauge puts a number
// in place of every "…".
func blank(h sheet.Hold) string {
	var b strings.Builder
	line := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%-8s = %s\n", key, value)
		}
	}
	b.WriteString("[[hold]]\n")
	line("name", inQuotes(h.Name.Value))
	line("baseline", baselines(h))
	line("house", inQuotes(h.House.Text))
	line("fan", inQuotes(h.Fan.Text))
	line("range", inQuotes(h.Range.Value))
	line("sealed", inBrackets(h.Sealed, func(s sheet.Seal) string { return endsOf(s.Between) }))
	line("opened", inBrackets(h.Opened, func(o sheet.Opening) string {
		if o.Area.Given {
			return endsOf(o.Between) + ", area = " + inQuotes(o.Area.Text)
		}
		if o.Ajar.Given {
			return endsOf(o.Between) + ", ajar = " + inQuotes(o.Ajar.Text) + ", leaf = " + inQuotes(o.Leaf.Text)
		}
		return endsOf(o.Between)
	}))
	if len(h.Fans) > 0 {
		list := "[\n"
		for _, f := range h.Fans {
			list += fmt.Sprintf("  { name = %s, from = %s, to = %s, flow = %s },\n", inQuotes(f.Name.Value), inQuotes(f.From.Name), inQuotes(f.To.Name), inQuotes(f.Flow.Text))
		}
		line("fans", list+"]")
	}
	for _, to := range []string{sheet.HouseName, sheet.OutsideName} {
		var reads []string
		for _, r := range h.Readings {
			if r.To.Name == to {
				reads = append(reads, sheet.KeyText(units.SanitizeTo(r.Of.Name, 100))+" = "+inQuotes(r.Pressure.Text))
			}
		}
		if len(reads) > 0 {
			line("to_"+to, "{ "+strings.Join(reads, ", ")+" }")
		}
	}
	return b.String()
}

func endsOf(p sheet.Pair) string {
	return "between = [" + inQuotes(p[0].Name) + ", " + inQuotes(p[1].Name) + "]"
}

// inBrackets is a list of tables on one line; nothing where there are none.
func inBrackets[T any](list []T, keys func(T) string) string {
	if len(list) == 0 {
		return ""
	}
	items := make([]string, len(list))
	for i, x := range list {
		items[i] = "{ " + keys(x) + " }"
	}
	return "[ " + strings.Join(items, ", ") + " ]"
}

// inQuotes is a text as the sheet writes it; nothing where there is none.
func inQuotes(s string) string {
	if s == "" {
		return ""
	}
	return sheet.StringText(units.SanitizeTo(s, 100))
}

// baselines is the baseline of the house, or with those of zones a table of them all.
func baselines(h sheet.Hold) string {
	if len(h.ZoneBaselines) == 0 {
		return inQuotes(h.Baseline.Text)
	}
	var list []string
	if h.Baseline.Given {
		list = append(list, sheet.HouseName+" = "+inQuotes(h.Baseline.Text))
	}
	for _, r := range h.ZoneBaselines {
		list = append(list, sheet.KeyText(units.SanitizeTo(r.Of.Text, 100))+" = "+inQuotes(r.Pressure.Text))
	}
	return "{ " + strings.Join(list, ", ") + " }"
}

// temperatures is what is to be typed of the air.
func temperatures(u units.Unit) string {
	return "[house]\nindoor  = " + inQuotes("… "+u.Symbol()) + "\noutdoor = " + inQuotes("… "+u.Symbol()) + "\n"
}
