package advise

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// CompareOptions say what was sealed between two sheets.
type CompareOptions struct {
	survey.Options
	// Sealed are what was worked on, for the promise: a space, or two joined by a
	// dash. A space means its side to the house where `seal` would offer that,
	// else all that it would offer there.
	Sealed []string
	// Fraction of each that was to be sealed; 0 means all.
	Fraction float64
}

// ComparePlan is what changed between two sheets of one house.
type ComparePlan struct {
	Compare int             `json:"compare"` // version of this format: 1
	Before  survey.Job      `json:"before"`
	After   survey.Job      `json:"after"`
	House   ChangeLine      `json:"house"`
	Paths   []ChangeLine    `json:"paths"`
	Promise *PromiseCheck   `json:"promise,omitempty"`
	Notices []survey.Notice `json:"notices"`
	Status  string          `json:"status"`
}

// ChangeLine is one flow at 50 Pa before and after.
type ChangeLine struct {
	Between [2]string `json:"between"`
	Covered bool      `json:"covered,omitempty"` // what covered registers leak
	Before  *survey.Q `json:"before,omitempty"`
	After   *survey.Q `json:"after,omitempty"`
	Fall    *survey.Q `json:"fall,omitempty"` // before less after
	Real    bool      `json:"real"`           // the interval of the fall excludes zero
	Text    string    `json:"text"`
}

// PromiseCheck sets what was forecast of a sealing beside what came.
type PromiseCheck struct {
	Of       string    `json:"of"`
	Fraction float64   `json:"fraction,omitempty"` // that was to be sealed, where not all of it
	Drop50   *survey.Q `json:"drop_50,omitempty"`  // what the sheet before promises
	Came     *survey.Q `json:"came,omitempty"`
	Over     *survey.Q `json:"over,omitempty"`  // what came less what could have, both tests together
	Share    *survey.Q `json:"share,omitempty"` // what came over what could have
	Verdict  string    `json:"verdict"`         // as promised, less than promised, more than promised
}

// compareDraws is more than a report has: what is looked for are differences, in twice
// as many unknowns, and readers hold them against the reports of the two sheets.
const compareDraws = 2000

// Compare estimates two sheets of one house together. The error is like Run's.
func Compare(before, after *sheet.Sheet, o CompareOptions) (*ComparePlan, error) {
	b, a, log, err := casePair(before, after, o.Options)
	if err != nil {
		return nil, err
	}
	target, of, err := sealedPaths(b, o.Sealed)
	if err != nil {
		return nil, err
	}
	both, err := zonal.Compare(b.Model, a.Model, zonal.CompareOptions{Sealed: target.Paths, Fraction: o.Fraction, Apart: otherGauge(b, a),
		Options: zonal.Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly, Draws: compareDraws}})
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.File, after.File, err)
	}
	p := &ComparePlan{Compare: 1, Before: b.Job, After: a.Job, Status: both.Status}
	p.House = changeLine(b, [2]string{"house", "whole"}, both.House)
	for _, q := range both.Paths {
		l := changeLine(b, b.Pair(q.A, q.B), q.Change)
		l.Covered = q.Covered
		p.Paths = append(p.Paths, l)
	}
	if both.Promise != nil {
		if p.Promise, err = promiseCheck(b, o, target, of, both); err != nil {
			return nil, err
		}
	}
	compareNotices(b, a, both.Status, log)
	p.Paths, p.Notices = survey.OrEmpty(p.Paths), survey.OrEmpty(log.Notices)
	return p, nil
}

// casePair makes the cases of both sheets. A space that only one of them has
// readings of stays in both, so that its leaks count in house–outside in neither.
// The log is of the sheet before.
func casePair(before, after *sheet.Sheet, o survey.Options) (b, a *survey.Case, log *survey.Log, err error) {
	log = survey.NewLog(o.Working)
	if b, err = survey.NewCase(before, o, log); err != nil {
		return nil, nil, nil, err
	}
	if a, err = survey.NewCase(after, o, survey.NewLog(false)); err != nil {
		return nil, nil, nil, err
	}
	if !o.AllZones && !sameNames(b.Names, a.Names) {
		o.AllZones = true
		return casePair(before, after, o)
	}
	for _, c := range []*survey.Case{b, a} {
		if !c.FanRead() {
			return nil, nil, nil, c.ErrorAt(sheet.Pos{}, "no fan flow was read: two tests are compared by what the fan reads")
		}
	}
	return b, a, log, nil
}

// sameNames tells whether two lists have the same names, in any order.
func sameNames(a, b []string) bool {
	return len(a) == len(b) && len(missing(a, b)) == 0 && len(missing(b, a)) == 0
}

// missing are the names of a that b does not have.
func missing(a, b []string) []string {
	return slices.DeleteFunc(slices.Clone(a), func(name string) bool {
		return slices.ContainsFunc(b, func(other string) bool { return survey.SameName(name, other) })
	})
}

// sealedPaths finds what was worked on among the paths before.
func sealedPaths(c *survey.Case, names []string) (target zonal.SealTarget, of string, err error) {
	offered := survey.OfferedToSeal(c, nil)
	var parts []string
	for _, name := range names {
		paths := sealedBetween(c, name)
		if paths == nil {
			paths = sealedSide(c, offered, name)
		}
		if paths == nil {
			return target, "", c.ErrorAt(sheet.Pos{}, fmt.Sprintf("nothing of %q could have been sealed; name a space beside the house, or two spaces joined by a dash as in house-attic", units.Sanitize(name)))
		}
		for _, i := range paths {
			if !slices.Contains(target.Paths, i) {
				target.Paths, parts = append(target.Paths, i), append(parts, pathName(c, i))
			}
		}
	}
	return target, strings.Join(parts, ", "), nil
}

// sealedBetween is the path between two spaces joined by a dash; nil for anything
// else.
func sealedBetween(c *survey.Case, name string) []int {
	for i, p := range c.Model.Paths {
		for _, dash := range []string{"-", "–"} {
			a, b := c.Names[p.A], c.Names[p.B]
			if !p.Covered && (survey.SameName(name, a+dash+b) || survey.SameName(name, b+dash+a)) {
				return []int{i}
			}
		}
	}
	return nil
}

// sealedSide is what `seal` would offer of a space: its side to the house, else
// all; where it offers nothing, the side to the house all the same.
func sealedSide(c *survey.Case, offered []zonal.SealTarget, name string) []int {
	id := slices.IndexFunc(c.Names, func(s string) bool { return survey.SameName(s, name) })
	if id <= int(zonal.Outside) {
		return nil
	}
	z := zonal.SpaceID(id)
	plane := offeredOf(c, offered, z)
	house := c.Model.PathBetween(zonal.House, z)
	if house >= 0 && (len(plane) == 0 || slices.Contains(plane, house)) {
		return []int{house}
	}
	return plane
}

func changeLine(c *survey.Case, between [2]string, change zonal.Change) ChangeLine {
	l := ChangeLine{Between: between, Before: survey.Flow(change.Before), After: survey.Flow(change.After), Fall: survey.Flow(change.Fall), Real: change.Real}
	switch {
	case !change.Real:
		l.Text = "no change that the readings can tell"
	case change.Fall.Value > 0:
		l.Text = "tighter"
	default:
		l.Text = "leakier"
	}
	return l
}

// promiseCheck forecasts the sealing of the paths from the sheet before, and compares.
func promiseCheck(c *survey.Case, o CompareOptions, target zonal.SealTarget, of string, both *zonal.Comparison) (*PromiseCheck, error) {
	e, err := survey.Solve(c, o.Options)
	if err != nil {
		return nil, err
	}
	plan, err := e.Posterior.Seal([]zonal.SealTarget{target}, zonal.SealOptions{Fraction: o.Fraction})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	v := both.Promise
	p := &PromiseCheck{Of: of, Fraction: o.Fraction, Drop50: survey.Flow(plan.Choices[0].Drop50), Came: survey.Flow(both.House.Fall), Over: survey.Flow(v.Over), Share: survey.Ratio(v.Share)}
	switch {
	case v.Over.High < 0:
		p.Verdict = "less than promised"
	case v.Over.Low > 0:
		p.Verdict = "more than promised: more of it, or something else, was closed"
	default:
		p.Verdict = "as promised, within what both tests can tell"
	}
	return p, nil
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
	if b.Below() != a.Below() {
		log.Notice(survey.Warning, "", "one test was depressurised, the other pressurised: flaps and dampers open one way only, so that a change may be none")
	}
	if status != "converged" {
		log.Notice(survey.Warning, "", "the estimate did not settle (%s): take the intervals with care", status)
	}
	log.Notice(survey.Danger, "", "where sealing was done, appliances that draw on house air are tested for spillage in the worst case before the crew leaves; local code and licensed practice come first")
}
