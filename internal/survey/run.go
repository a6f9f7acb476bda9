// Package survey takes a sheet and works out everything its readings allow: it
// turns the sheet into a Case, a network of leaks, has the joint estimate and the
// other methods computed, and gathers what they say as Findings. It prints nothing.
package survey

import (
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// Options say what to work out beside the findings themselves; the zero value
// is an ordinary report.
type Options struct {
	Working       bool          // each formula with the reader's own numbers
	Units         *units.System // in place of the sheet's
	CurvatureOnly bool          // no sampling: for screening large stocks
	Workers       int           // goroutines; 0 for all processors
	MostDraws     int           // sampling ends after so many; 0: when the intervals have settled
	AllZones      bool          // keep zones that no hold speaks of: for plans
}

// inference is what of the options concerns the estimate.
func (o Options) inference() zonal.Options {
	return zonal.Options{Workers: o.Workers, CurvatureOnly: o.CurvatureOnly, MostDraws: o.MostDraws}
}

// Run works out the findings of a sheet. Its errors are sheet.Problems, with the
// place of what cannot be used, where a reading is to blame.
func Run(s *sheet.Sheet, o Options) (*Findings, error) {
	log := NewLog(o.Working)
	c, err := NewCase(s, o, log)
	if err != nil {
		return nil, err
	}
	e, err := Solve(c, o)
	if err != nil {
		return nil, err
	}
	return assemble(c, e, log, o), nil
}

// Solve has the joint estimate computed; nil where there is no hold to compute it from.
func Solve(c *Case, o Options) (*zonal.Estimate, error) {
	if len(c.Model.Holds) == 0 {
		return nil, nil
	}
	post, err := Infer(c, o)
	if err != nil {
		return nil, err
	}
	e, err := post.Estimate()
	if err != nil {
		return nil, irreconcilable(c, err)
	}
	return e, nil
}

// Infer finds the posterior alone, for what asks it questions of its own.
func Infer(c *Case, o Options) (*zonal.Posterior, error) {
	post, err := zonal.Infer(c.Model, o.inference())
	if err != nil {
		return nil, irreconcilable(c, err)
	}
	return post, nil
}

func irreconcilable(c *Case, err error) error {
	return fmt.Errorf("%s: the readings could not be reconciled with any house: %w; run `holdbook check` on the sheet", c.Sheet.File, err)
}

// assemble calls the parts of the findings in order: a part that needs what another found
// is given it. e is nil where there is no hold.
func assemble(c *Case, e *zonal.Estimate, log *Log, o Options) *Findings {
	f := &Findings{Results: 1, Job: c.Job, Priors: c.Priors, Holds: c.Holds, Samples: c.Samples}
	if e != nil {
		f.House, f.Hand = houseFindings(c, e, log)
		f.Paths = pathFindings(c, e)
		f.Zones = zoneFindings(c, e)
		f.Openings = openingFindings(c, e)
		f.Method = methodFindings(e, log)
		judged := judge(e, log, o)
		f.Readings = readingFindings(c, e, judged)
		var without *Q
		if f.Suspects, without = suspectFindings(c, e, judged, log); len(f.Suspects) > 0 {
			f.House.doubt(f.Suspects[0], without)
		}
		f.SealFirst = sealFirst(c, e, log)
		f.Hand = append(f.Hand, handAnswers(c, log)...)
	}
	f.Ducts = ductFindings(c, e, log)
	f.Ducts = f.Ducts.withRooms(roomFindings(c, log))
	f.Limits = limitFindings(c, parts{tightness: e, flow50: f.House.Flow50, ducts: f.Ducts}, log)
	f.Ventilation = ventilationFindings(c, e, log)
	addCautions(c, log)
	noteUnused(c, f, log)
	f.Notices, f.Working = log.Notices, log.Working
	f.fillLists()
	return f
}

// fillLists makes empty lists empty rather than absent.
func (f *Findings) fillLists() {
	f.Paths, f.Zones, f.Openings = OrEmpty(f.Paths), OrEmpty(f.Zones), OrEmpty(f.Openings)
	f.SealFirst, f.Readings, f.Suspects = OrEmpty(f.SealFirst), OrEmpty(f.Readings), OrEmpty(f.Suspects)
	f.Priors, f.Limits, f.Holds = OrEmpty(f.Priors), OrEmpty(f.Limits), OrEmpty(f.Holds)
	f.Hand, f.Notices = OrEmpty(f.Hand), OrEmpty(f.Notices)
}

// OrEmpty is a list that JSON writes as one, if it is empty.
func OrEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
