package report

import (
	"holdbook/internal/survey"
)

// dangers are the line of every hold, or where a combustion space was tested those of its own.
func (q Quick) dangers(held string) []string {
	if len(q.Findings.CAZ) == 0 {
		return []string{held}
	}
	lines := []string{"Danger: no figure here passes an appliance; local code comes first."}
	for _, n := range q.Findings.Notices {
		if n.Level == survey.Danger && n.About != "" {
			lines = append(lines, "Danger, "+n.About+": "+n.Text+".")
		}
	}
	return lines
}

// worstCases are the combustion spaces, each in a line.
func (q Quick) worstCases() [][]Cell {
	rows := [][]Cell{}
	for _, z := range q.Findings.CAZ {
		line := "worst case " + inline(z.NetChange) + ", " + z.When
		if z.Verdict != "" {
			line += "; " + againstLimit(z.Verdict) + ": " + z.Limit
		}
		rows = append(rows, []Cell{Say(z.Name), Say(joinWords("; ", line, prefixed("spillage ", z.Spillage), prefixed("carbon monoxide ", z.CO)))})
	}
	return rows
}
