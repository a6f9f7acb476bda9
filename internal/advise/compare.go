package advise

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// CompareOptions say what was sealed between two sheets.
type CompareOptions struct {
	survey.Options
	// Sealed are what was worked on: a space, or two joined by a dash. A space means its
	// side to the house where `seal` would offer that, else all that it would offer
	// there. All other leaks are taken as unchanged within a tenth.
	Sealed []string
	// Free leaves the other leaks free to change.
	Free bool
	// Fraction of each that was to be sealed; 0 means all.
	Fraction float64
}

// Unchanged is the share by which, nine times in ten, a leak that nobody worked on may
// have grown or shrunk between two visits. Judgement, not published.
const Unchanged = 0.10

// unchangedSD is that share as a standard deviation of the logarithm.
func unchangedSD() float64 {
	end := math.Log1p(Unchanged)
	return pressure.SD(units.Estimate[float64]{Low: -end, High: end})
}

// ComparePlan is what changed between two sheets of one house.
type ComparePlan struct {
	Compare   int             `json:"compare"` // version of this format: 1
	Before    survey.Job      `json:"before"`
	After     survey.Job      `json:"after"`
	Asks      string          `json:"asks,omitempty"` // what is to be said to tell more
	House     ChangeLine      `json:"house"`
	Target    *ComparedTarget `json:"target,omitempty"`
	Sealed    []string        `json:"sealed"`
	Unchanged float64         `json:"unchanged_within,omitempty"` // share of the leaks that were not sealed
	Agreement *Agreement      `json:"agreement,omitempty"`
	Paths     []ChangeLine    `json:"paths"`
	Promise   *PromiseCheck   `json:"promise,omitempty"`
	Notices   []survey.Notice `json:"notices"`
	Status    string          `json:"status"`
}

// ComparedTarget says whether the house has come to what was to be reached.
type ComparedTarget struct {
	Flow     survey.Q  `json:"flow_50"`             // its ends are the target itself
	FanReads *survey.Q `json:"fan_reads,omitempty"` // what the fan's gauge shows at that flow
	Verdict  string    `json:"verdict"`             // target reached, too close to call, target not reached
}

// Agreement sets the fall that pressures tell beside the one that the fan tells.
type Agreement struct {
	Pressures   *survey.Q `json:"by_pressures,omitempty"`
	Fan         *survey.Q `json:"by_fan,omitempty"`
	Contradicts bool      `json:"contradicts"`
}

// ChangeLine is one flow at 50 Pa before and after.
type ChangeLine struct {
	Between [2]string `json:"between"`
	Covered bool      `json:"covered,omitempty"`   // what covered registers leak
	Open    bool      `json:"registers,omitempty"` // registers, which are no leak
	Sealed  bool      `json:"sealed,omitempty"`
	Tied    bool      `json:"taken_as_unchanged,omitempty"`
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
	zo := zonal.CompareOptions{Sealed: target.Paths, Altered: altered(b, a, target.Paths, log), Fraction: o.Fraction, Apart: otherGauge(b, a),
		Options: zonal.Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly, Draws: compareDraws}}
	p := &ComparePlan{Compare: 1, Before: b.Job, After: a.Job, Sealed: of}
	if len(of) == 0 {
		p.Asks = whatWasSealed(b)
	} else if !o.Free {
		zo.Unchanged, p.Unchanged = unchangedSD(), Unchanged
	}
	both, err := zonal.Compare(b.Estimated, a.Estimated, zo)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.File, after.File, err)
	}
	p.Status, p.House = both.Status, changeLine(b, [2]string{"house", "whole"}, both.House)
	p.Target = comparedTarget(b, a, log, both.House.After)
	if both.Agreement != nil {
		p.Agreement = &Agreement{survey.Flow(both.Agreement.Pressures), survey.Flow(both.Agreement.Fan), both.Agreement.Contradicts}
	}
	p.Paths = survey.OrEmpty(changeLines(b, both, target.Paths))
	if both.Promise != nil {
		if p.Promise, err = promiseCheck(b, o, target, strings.Join(of, ", "), both); err != nil {
			return nil, err
		}
	}
	compareNotices(b, a, both.Status, log)
	p.Sealed, p.Notices = survey.OrEmpty(p.Sealed), survey.OrEmpty(log.Notices)
	return p, nil
}

// changeLines are the leaks, those that were sealed first.
func changeLines(c *survey.Case, both *zonal.Comparison, sealed []int) []ChangeLine {
	var list []ChangeLine
	for _, q := range both.Paths {
		l := changeLine(c, c.Pair(q.A, q.B), q.Change)
		l.Covered, l.Open, l.Tied = q.Covered, !q.Covered && c.Registers(q.A, q.B), q.Tied
		l.Sealed = slices.ContainsFunc(sealed, func(i int) bool { return !q.Covered && c.Model.Paths[i].Joins(q.A, q.B) })
		if l.Tied {
			l.Text = tiedText(l)
		}
		list = append(list, l)
	}
	slices.SortStableFunc(list, func(x, y ChangeLine) int { return cmp.Compare(x.rank(), y.rank()) })
	return list
}

// tiedText says of a leak that was taken as unchanged whether the readings go along.
func tiedText(l ChangeLine) string {
	if !l.Real {
		return "taken as unchanged"
	}
	return "taken as unchanged, but the readings want it " + l.Text
}

// rank puts what was sealed first, then what was free to change.
func (l *ChangeLine) rank() int {
	switch {
	case l.Sealed:
		return 0
	case l.Tied:
		return 2
	}
	return 1
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
func sealedPaths(c *survey.Case, names []string) (target zonal.SealTarget, of []string, err error) {
	offered := survey.OfferedToSeal(c, nil)
	for _, name := range names {
		paths := sealedBetween(c, name)
		if paths == nil {
			paths = sealedSide(c, offered, name)
		}
		if paths == nil {
			return target, nil, c.ErrorAt(sheet.Pos{}, fmt.Sprintf("nothing of %q could have been sealed; name a space beside the house, or two spaces joined by a dash as in house-attic", units.Sanitize(name)))
		}
		for _, i := range paths {
			if !slices.Contains(target.Paths, i) {
				target.Paths, of = append(target.Paths, i), append(of, pathName(c, i))
			}
		}
	}
	return target, of, nil
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
