package hpxml

import (
	"fmt"

	"holdbook/internal/advise"
	"holdbook/internal/report/view"
	"holdbook/units"
)

// newProject is number n, what changed between two buildings.
func newProject(p *advise.ComparePlan, n int, before, after identifier) (*project, error) {
	shown, _, err := view.Of(*p, units.IP, oneLine)
	if err != nil {
		return nil, err
	}
	x := &project{ID: identifier{ID: fmt.Sprintf("project-%d", n)}, Before: reference{before.ID}, After: reference{after.ID}}
	x.Details = projectDetails{Title: shown.Before.Name, Status: status{finalTest, day(shown.After.Date)}}
	changes := []change{newChange(shown.House)}
	for _, l := range shown.Paths {
		changes = append(changes, newChange(l))
	}
	o := own{Changes: grouped(changes), Status: shown.Status, Notices: notices(shown.Notices),
		Note: "both tests estimated together: numbers differ a little from those of each building alone"}
	if v := shown.Promise; v != nil {
		o.Promise = &promise{Of: v.Of, Fraction: number(v.Fraction), Verdict: v.Verdict, Fall: estimated(v.Drop50), Came: estimated(v.Came),
			Over: estimated(v.Over), Share: estimated(v.Share)}
	}
	x.Details.Extension = &extension{o}
	return x, nil
}

func newChange(l advise.ChangeLine) change {
	return change{pair: pair{l.Between[0], l.Between[1]}, Covered: l.Covered, Sealed: l.Sealed, Tied: l.Tied, Real: l.Real, Text: l.Text,
		Before: estimatedSpan(l.Before), After: estimatedSpan(l.After), Fall: resolvedIf(l.Real, l.Fall)}
}

// oneLine makes the texts of a sheet safe to read.
func oneLine(_ bool, s string) string { return units.SanitizeTo(s, len(s)+1) }
