package advise

import (
	"slices"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/typed"
	"holdbook/units"
	"holdbook/zonal"
)

// CompareVisits compares visits to one house in turn, each with the one before.
func CompareVisits(sheets []*sheet.Sheet, o CompareOptions) (list []*ComparePlan, err error) {
	for k := 1; k < len(sheets); k++ {
		p, err := Compare(sheets[k-1], sheets[k], o)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, nil
}

// whatWasSealed asks for it, with the leaks that were offered.
func whatWasSealed(c *survey.Case) string {
	text := "what was sealed? Nothing is taken as unchanged until that is said"
	var flags []string
	for _, t := range survey.OfferedToSeal(c, nil) {
		p := c.Model.Paths[t.Paths[0]]
		flags = append(flags, "--sealed "+typed.Quote(c.Names[p.A]+"-"+c.Names[p.B]))
	}
	if len(flags) > 0 {
		text += ": " + strings.Join(flags, " ")
	}
	return text
}

// altered are the leaks of which the sheets do not say the same: vents shut, or what was
// known of a leak beforehand. They are not taken as unchanged.
func altered(b, a *survey.Case, sealed []int, log *survey.Log) (paths []int) {
	for i, p := range b.Model.Paths {
		if p.Covered || slices.Contains(sealed, i) {
			continue
		}
		j := pathAfter(b, a, p)
		if j < 0 || a.Model.Paths[j].Flow50 == p.Flow50 && a.Model.Paths[j].Exponent == p.Exponent && b.Keeps(p) == a.Keeps(a.Model.Paths[j]) && ventsOf(b, p) == ventsOf(a, a.Model.Paths[j]) {
			continue
		}
		paths = append(paths, i)
		if len(sealed) > 0 {
			log.Notice(survey.Note, pathName(b, i), "the two sheets do not say the same of it, so it is not taken as unchanged")
		}
	}
	return paths
}

// pathAfter is the same leak in the case after, −1 for none.
func pathAfter(b, a *survey.Case, p zonal.Path) int {
	return slices.IndexFunc(a.Model.Paths, func(q zonal.Path) bool {
		same := func(x, y zonal.SpaceID) bool { return survey.SameName(b.Names[x], a.Names[y]) }
		return !q.Covered && (same(p.A, q.A) && same(p.B, q.B) || same(p.A, q.B) && same(p.B, q.A))
	})
}

// ventsOf tells whether a leak to outside has vents in it.
func ventsOf(c *survey.Case, p zonal.Path) bool {
	return p.B == zonal.Outside && c.Vented(p.A) || p.A == zonal.Outside && c.Vented(p.B)
}

// comparedTarget sets the house after beside what was to be reached: as the sheet after has
// it, else the one before; nil where neither does.
func comparedTarget(b, a *survey.Case, log *survey.Log, after units.Estimate[units.Flow]) *ComparedTarget {
	limit, ok := targetFlow(a, log, SealOptions{})
	if !ok {
		if limit, ok = targetFlow(b, survey.NewLog(false), SealOptions{}); !ok {
			return nil
		}
	}
	exactly := ductleak.Exactly(limit)
	words := map[ductleak.Verdict]string{ductleak.Meets: "reached", ductleak.Fails: "not reached", ductleak.TooClose: string(ductleak.TooClose)}
	verdict := ductleak.Limit{Sense: ductleak.AtMost, Value: float64(limit)}.Judge(ductleak.Plain(after))
	return &ComparedTarget{Flow: *survey.Flow(exactly), FanReads: a.FanShows(exactly), Verdict: words[verdict]}
}

// otherGauge tells whether the two sheets name different instruments.
func otherGauge(b, a *survey.Case) bool {
	one, two := b.Sheet.Gauge.ID.Value, a.Sheet.Gauge.ID.Value
	return one != "" && two != "" && !survey.SameName(one, two)
}

// compareNotices say what the two tests do not have in common.
func compareNotices(b, a *survey.Case, status string, log *survey.Log) {
	if otherGauge(b, a) {
		log.Notice(survey.Warning, "", "the two sheets name different gauges: their calibration errors do not cancel")
	}
	for _, cal := range a.Model.Calibrations {
		if !otherGauge(b, a) && !slices.ContainsFunc(b.Model.Calibrations, func(d zonal.Calibration) bool { return survey.SameName(d.Name, cal.Name) }) {
			log.Notice(survey.Note, "after", "%s was not used before: its calibration error does not cancel", cal.Name)
		}
	}
	survey.NoteFanRatio(log, a.FanRatio(), "flows here are for the density of the air: after, %.3f of what the fan's gauge showed")
	for _, name := range missing(b.Names, a.Names) {
		log.Notice(survey.Warning, units.Sanitize(name), "the sheet after does not declare it: there its leaks count in house–outside, so that the two do not compare")
	}
	for _, name := range missing(a.Names, b.Names) {
		log.Notice(survey.Warning, units.Sanitize(name), "the sheet before does not declare it: there its leaks count in house–outside, so that the two do not compare")
	}
	for _, v := range []struct {
		visit string
		c     *survey.Case
	}{{"before", b}, {"after", a}} {
		if v.c.Estimated.Weather.Stack == zonal.UnknownStack() {
			log.Notice(survey.Warning, v.visit, "no temperatures were typed: what the fan's flow is, and so the fall, is then known to within a twentieth only; type those of the visit")
		}
	}
	if b.Below() != a.Below() {
		log.Notice(survey.Warning, "", "one test was depressurised, the other pressurised: flaps and dampers open one way only, so that a change may be none")
	}
	if status != "converged" {
		log.Notice(survey.Warning, "", "the estimate did not settle (%s): take the intervals with care", status)
	}
	log.Notice(survey.Danger, "", "where sealing was done, appliances that draw on house air are tested for spillage in the worst case before the crew leaves; local code and licensed practice come first")
}
