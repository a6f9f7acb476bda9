package engine

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"

	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
)

// sheetOf reads a sheet that results are wanted of, in the units that they are wanted in.
func (r *request) sheetOf(text string) (*sheet.Sheet, error) {
	s, err := sheet.Parse([]byte(text), cmp.Or(r.Name, "visit"))
	if err == nil && r.Units != "" {
		if err = s.Set(r.Units, "job", "units"); err != nil {
			return nil, err
		}
	}
	return s, err
}

// inParts writes a result for the page.
func inParts[T any](result T, err error, write func(io.Writer, T, report.Format, report.Options) error) (any, error) {
	var b bytes.Buffer
	if err == nil {
		err = write(&b, result, report.Parts, report.Options{})
	}
	if err != nil {
		return nil, err
	}
	return json.RawMessage(b.Bytes()), nil
}

// quick is what stands first, beside the fan, as the quick commands have it: by curvature at
// once, or from draws. What no house could read is left out; the slips say so.
func (e *Engine) quick(r *request) (any, error) {
	s, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	q := report.Quick{Check: e.checkOf(r.Sheet, s)}
	usable, _ := q.Check.Possible(s)
	withoutOpen(q.Check, s)
	q.Findings, err = survey.Run(usable, survey.Options{CurvatureOnly: r.Curvature, MostDraws: advise.DrawsOfAWalk})
	return inParts(q, err, report.WriteQuick)
}

// report is what the command of that name says.
func (e *Engine) report(r *request) (any, error) {
	s, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	f, err := survey.Run(s, survey.Options{Working: true})
	return inParts(f, err, report.Write)
}

// next is what to read next.
func (e *Engine) next(r *request) (any, error) {
	s, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	p, err := advise.Next(s, advise.NextOptions{})
	parts, err := inParts(p, err, report.WriteNext)
	if err != nil {
		return nil, err
	}
	out := plan{Parts: parts, Actions: []action{}}
	for _, o := range p.Offers() {
		out.Actions = append(out.Actions, action{o.What, holdOf(o.Hold)})
	}
	return out, nil
}

// plan is what to read next, and the holds to fill in for it.
type plan struct {
	Parts   any      `json:"parts"`
	Actions []action `json:"actions"`
}

type action struct {
	What string `json:"what"`
	Hold begin  `json:"hold"`
}

// seal is what sealing would do.
func (e *Engine) seal(r *request) (any, error) {
	s, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	o, err := sealOptions(r, survey.SystemOf(s, survey.Options{}))
	if err != nil {
		return nil, err
	}
	f, err := advise.Seal(s, o)
	return inParts(f, err, report.WriteSeal)
}

// sealOptions are those of the form above the order of sealing, all of which may be empty.
func sealOptions(r *request, system units.System) (o advise.SealOptions, err error) {
	if r.Fraction != "" {
		v, err := advise.ParseShare(r.Fraction)
		if err != nil {
			return o, fieldErrors{{"fraction", err.Error()}}
		}
		o.Fraction = float64(v)
	}
	if r.Target != "" {
		if o.Flow, o.AirChanges, err = advise.ParseTarget(r.Target, system); err != nil {
			return o, fieldErrors{{"target", err.Error()}}
		}
	}
	return o, nil
}

// compare is what changed between a sheet before the work and one after it.
func (e *Engine) compare(r *request) (any, error) {
	after, err := r.sheetOf(r.Sheet)
	if err != nil {
		return nil, err
	}
	before, err := r.sheetOf(r.Before)
	if err != nil {
		return nil, fmt.Errorf("the visit before: %w", err)
	}
	visits, err := advise.CompareVisits([]*sheet.Sheet{before, after}, advise.CompareOptions{Sealed: advise.ParseSealed(r.Sealed)})
	return inParts(visits, err, report.WriteCompare)
}
