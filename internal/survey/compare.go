package survey

import (
	"fmt"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// CompareOptions say what was sealed between two sheets.
type CompareOptions struct {
	Options
	// Sealed are what was worked on, for the promise: a space, or two joined by a
	// dash. A space means its side to the house where `seal` would offer that,
	// else all that it would offer there.
	Sealed []string
	// Fraction of each that was to be sealed; 0 means all.
	Fraction float64
}

// ComparePlan is what changed between two sheets of one house.
type ComparePlan struct {
	Compare int           `json:"compare"` // version of this format: 1
	Before  Job           `json:"before"`
	After   Job           `json:"after"`
	House   ChangeLine    `json:"house"`
	Paths   []ChangeLine  `json:"paths"`
	Promise *PromiseCheck `json:"promise,omitempty"`
	Notices []Notice      `json:"notices"`
	Status  string        `json:"status"`
}

// ChangeLine is one flow at 50 Pa before and after.
type ChangeLine struct {
	Between [2]string `json:"between"`
	Covered bool      `json:"covered,omitempty"` // what covered registers leak
	Before  *Q        `json:"before,omitempty"`
	After   *Q        `json:"after,omitempty"`
	Fall    *Q        `json:"fall,omitempty"` // before less after
	Real    bool      `json:"real"`           // the interval of the fall excludes zero
	Text    string    `json:"text"`
}

// PromiseCheck sets what was forecast of a sealing beside what came.
type PromiseCheck struct {
	Of       string  `json:"of"`
	Fraction float64 `json:"fraction,omitempty"` // that was to be sealed, where not all of it
	Drop50   *Q      `json:"drop_50,omitempty"`  // what the sheet before promises
	Came     *Q      `json:"came,omitempty"`
	Over     *Q      `json:"over,omitempty"`  // what came less what could have, both tests together
	Share    *Q      `json:"share,omitempty"` // what came over what could have
	Verdict  string  `json:"verdict"`         // as promised, less than promised, more than promised
}

// compareDraws is more than a report has: what is looked for are differences, in twice
// as many unknowns, and readers hold them against the reports of the two sheets.
const compareDraws = 2000

// Compare estimates two sheets of one house together. The error is like Run's.
func Compare(before, after *sheet.Sheet, o CompareOptions) (*ComparePlan, error) {
	b, a, err := preparePair(before, after, o.Options)
	if err != nil {
		return nil, err
	}
	target, of, err := b.sealedPaths(o.Sealed)
	if err != nil {
		return nil, err
	}
	c, err := zonal.Compare(b.model, a.model, zonal.CompareOptions{Sealed: target.Paths, Fraction: o.Fraction, Apart: b.otherGauge(a),
		Options: zonal.Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly, Draws: compareDraws}})
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.File, after.File, err)
	}
	p := &ComparePlan{Compare: 1, Before: b.f.Job, After: a.f.Job, Status: c.Status}
	p.House = b.changeLine([2]string{"house", "whole"}, c.House)
	for _, q := range c.Paths {
		l := b.changeLine(b.pair(q.A, q.B), q.Change)
		l.Covered = q.Covered
		p.Paths = append(p.Paths, l)
	}
	if c.Promise != nil {
		if p.Promise, err = b.promise(target, of, c, o.Fraction); err != nil {
			return nil, err
		}
	}
	b.compareNotices(a, c)
	p.Paths, p.Notices = orEmpty(p.Paths), orEmpty(b.f.Notices)
	return p, nil
}

// preparePair builds the models of both sheets. A space that only one of them has
// readings of stays in both, so that its leaks count in house–outside in neither.
func preparePair(before, after *sheet.Sheet, o Options) (b, a *run, err error) {
	if b, err = prepare(before, o); err != nil {
		return nil, nil, err
	}
	if a, err = prepare(after, o); err != nil {
		return nil, nil, err
	}
	if !o.AllZones && !sameNames(b.names, a.names) {
		o.AllZones = true
		return preparePair(before, after, o)
	}
	for _, r := range []*run{b, a} {
		if r.fans() == 0 {
			return nil, nil, r.place(sheet.Pos{}, "no fan flow was read: two tests are compared by what the fan reads")
		}
	}
	return b, a, nil
}

// sameNames tells whether two lists have the same names, in any order.
func sameNames(a, b []string) bool {
	return len(a) == len(b) && len(missing(a, b)) == 0 && len(missing(b, a)) == 0
}

// missing are the names of a that b does not have.
func missing(a, b []string) []string {
	return slices.DeleteFunc(slices.Clone(a), func(name string) bool {
		return slices.ContainsFunc(b, func(other string) bool { return sameName(name, other) })
	})
}

// sealedPaths finds what was worked on among the paths before.
func (r *run) sealedPaths(names []string) (target zonal.SealTarget, of string, err error) {
	offered := r.offered()
	var parts []string
	for _, name := range names {
		paths := r.sealedBetween(name)
		if paths == nil {
			paths = r.sealedSide(offered, name)
		}
		if paths == nil {
			return target, "", r.place(sheet.Pos{}, fmt.Sprintf("nothing of %q could have been sealed; name a space beside the house, or two spaces joined by a dash as in house-attic", units.Sanitize(name)))
		}
		for _, i := range paths {
			if !slices.Contains(target.Paths, i) {
				target.Paths, parts = append(target.Paths, i), append(parts, r.pathName(i))
			}
		}
	}
	return target, strings.Join(parts, ", "), nil
}

// sealedBetween is the path between two spaces joined by a dash; nil for anything
// else.
func (r *run) sealedBetween(name string) []int {
	for i, p := range r.model.Paths {
		for _, dash := range []string{"-", "–"} {
			a, b := r.names[p.A], r.names[p.B]
			if !p.Covered && (sameName(name, a+dash+b) || sameName(name, b+dash+a)) {
				return []int{i}
			}
		}
	}
	return nil
}

// sealedSide is what `seal` would offer of a space: its side to the house, else
// all; where it offers nothing, the side to the house all the same.
func (r *run) sealedSide(offered []zonal.SealTarget, name string) []int {
	id := slices.IndexFunc(r.names, func(s string) bool { return sameName(s, name) })
	if id <= int(zonal.Outside) {
		return nil
	}
	z := zonal.SpaceID(id)
	plane := r.plane(offered, z)
	house := r.pathBetween(zonal.House, z, false)
	if house >= 0 && (len(plane) == 0 || slices.Contains(plane, house)) {
		return []int{house}
	}
	return plane
}

func (r *run) changeLine(between [2]string, c zonal.Change) ChangeLine {
	l := ChangeLine{Between: between, Before: r.flow(c.Before), After: r.flow(c.After), Fall: r.flow(c.Fall), Real: c.Real}
	switch {
	case !c.Real:
		l.Text = "no change that the readings can tell"
	case c.Fall.Value > 0:
		l.Text = "tighter"
	default:
		l.Text = "leakier"
	}
	return l
}

// promise forecasts the sealing of the paths from the sheet before, and compares.
func (r *run) promise(target zonal.SealTarget, of string, c *zonal.Comparison, fraction float64) (*PromiseCheck, error) {
	if err := r.solve(); err != nil {
		return nil, err
	}
	plan, err := r.estimate.Posterior.Seal([]zonal.SealTarget{target}, zonal.SealOptions{Fraction: fraction})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", r.sheet.File, err)
	}
	v := c.Promise
	p := &PromiseCheck{Of: of, Fraction: fraction, Drop50: r.flow(plan.Choices[0].Drop50), Came: r.flow(c.House.Fall), Over: r.flow(v.Over), Share: r.ratio(v.Share)}
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
func (r *run) otherGauge(a *run) bool {
	one, two := r.sheet.Gauge.ID.Value, a.sheet.Gauge.ID.Value
	return one != "" && two != "" && !sameName(one, two)
}

// compareNotices say what the two tests do not have in common.
func (r *run) compareNotices(a *run, c *zonal.Comparison) {
	if r.otherGauge(a) {
		r.notice(Warning, "", "the two sheets name different gauges: their calibration errors do not cancel")
	}
	for _, cal := range a.model.Calibrations {
		if !r.otherGauge(a) && !slices.ContainsFunc(r.model.Calibrations, func(d zonal.Calibration) bool { return sameName(d.Name, cal.Name) }) {
			r.notice(Note, "after", "%s was not used before: its calibration error does not cancel", cal.Name)
		}
	}
	r.noticeShown(a.shownRatio(), "flows here are for the density of the air: after, %.3f of what the fan's gauge showed")
	for _, name := range missing(r.names, a.names) {
		r.notice(Warning, units.Sanitize(name), "the sheet after does not declare it: there its leaks count in house–outside, so that the two do not compare")
	}
	for _, name := range missing(a.names, r.names) {
		r.notice(Warning, units.Sanitize(name), "the sheet before does not declare it: there its leaks count in house–outside, so that the two do not compare")
	}
	if r.below() != a.below() {
		r.notice(Warning, "", "one test was depressurised, the other pressurised: flaps and dampers open one way only, so that a change may be none")
	}
	if c.Status != "converged" {
		r.notice(Warning, "", "the estimate did not settle (%s): take the intervals with care", c.Status)
	}
	r.notice(Danger, "", "where sealing was done, appliances that draw on house air are tested for spillage in the worst case before the crew leaves; local code and licensed practice come first")
}
