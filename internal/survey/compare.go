package survey

import (
	"fmt"
	"math"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// CompareOptions say what was sealed between two sheets.
type CompareOptions struct {
	Options
	Sealed []string // spaces whose house side was sealed, for the promise
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

// ChangeLine is one flow before and after.
type ChangeLine struct {
	Between [2]string `json:"between"`
	Before  *Q        `json:"before,omitempty"`
	After   *Q        `json:"after,omitempty"`
	Fall    *Q        `json:"fall,omitempty"` // before less after
	Real    bool      `json:"real"`           // the interval of the fall excludes zero
	Text    string    `json:"text"`
}

// PromiseCheck sets what was forecast of a sealing beside what came.
type PromiseCheck struct {
	Of      string `json:"of"`
	Drop50  *Q     `json:"drop_50,omitempty"`
	Came    *Q     `json:"came,omitempty"`
	Verdict string `json:"verdict"` // as promised, less than promised, more than promised
}

// Compare estimates two sheets of one house together. The error is like Run's.
func Compare(before, after *sheet.Sheet, o CompareOptions) (*ComparePlan, error) {
	b, err := prepare(before, o.Options)
	if err != nil {
		return nil, err
	}
	a, err := prepare(after, o.Options)
	if err != nil {
		return nil, err
	}
	for _, r := range []*run{b, a} {
		if r.fans() == 0 {
			return nil, r.place(sheet.Pos{}, "no fan flow was read: two tests are compared by what the fan reads")
		}
	}
	c, err := zonal.Compare(b.model, a.model, zonal.Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly})
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.File, after.File, err)
	}
	p := &ComparePlan{Compare: 1, Before: b.f.Job, After: a.f.Job, Status: c.Status}
	p.House = b.changeLine([2]string{"house", "whole"}, c.House)
	for _, q := range c.Paths {
		p.Paths = append(p.Paths, b.changeLine(b.pair(q.A, q.B), q.Change))
	}
	if p.Promise, err = b.promise(o, c.House); err != nil {
		return nil, err
	}
	b.alike(a)
	p.Paths, p.Notices = orEmpty(p.Paths), orEmpty(b.f.Notices)
	return p, nil
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

// promise forecasts the sealing of the named spaces from the sheet before, and
// compares.
func (r *run) promise(o CompareOptions, came zonal.Change) (*PromiseCheck, error) {
	if len(o.Sealed) == 0 {
		return nil, nil
	}
	var target zonal.SealTarget
	of := ""
	for _, name := range o.Sealed {
		found := false
		for id := zonal.SpaceID(2); int(id) < len(r.names); id++ {
			if sameName(r.names[id], name) {
				if i := r.pathBetween(zonal.House, id, false); i >= 0 {
					target.Paths, found = append(target.Paths, i), true
					of += ", " + r.pathName(i)
				}
			}
		}
		if !found {
			return nil, r.place(sheet.Pos{}, fmt.Sprintf("no house side of %q to have been sealed", units.Sanitize(name)))
		}
	}
	if err := r.solve(); err != nil {
		return nil, err
	}
	plan, err := r.estimate.Posterior.Seal([]zonal.SealTarget{target}, zonal.SealOptions{})
	if err != nil {
		return nil, err
	}
	d := plan.Choices[0].Drop50
	p := &PromiseCheck{Of: of[2:], Drop50: r.flow(d), Came: r.flow(came.Fall)}
	p.Verdict = verdict(d, came.Fall)
	return p, nil
}

// verdict tells whether what came is what was promised, within the errors of
// both, taken as independent.
func verdict(promised, came units.Estimate[units.Flow]) string {
	half := math.Hypot(float64(promised.High-promised.Low)/2, float64(came.High-came.Low)/2)
	switch off := float64(came.Value - promised.Value); {
	case off < -half:
		return "less than promised"
	case off > half:
		return "more than promised"
	}
	return "as promised, within the errors of both"
}

// alike notes what the two tests do not have in common.
func (r *run) alike(a *run) {
	for _, c := range a.model.Calibrations {
		found := false
		for _, d := range r.model.Calibrations {
			found = found || c.Name == d.Name
		}
		if !found {
			r.notice(Note, "after", "%s was not used before: its calibration error does not cancel", c.Name)
		}
	}
	if id := r.sheet.Gauge.ID.Value; id != a.sheet.Gauge.ID.Value {
		r.notice(Note, "", "the two sheets name different gauges")
	}
	r.notice(Danger, "", "where sealing was done, appliances that draw on house air are tested for spillage in the worst case before the crew leaves; local code and licensed practice come first")
}
