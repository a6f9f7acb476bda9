package report

import "github.com/olekukonko/tablewriter/pkg/twwidth"

// width is the number of terminal columns that s takes, counted as the table
// library counts when it pads.
func width(s string) int {
	if ascii(s) {
		return len(s)
	}
	return twwidth.WidthNoCache(s)
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}
