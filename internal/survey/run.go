// Package survey takes a sheet and works out everything its readings allow: it
// turns the sheet into a Case, a network of leaks, has the joint estimate and the
// other methods computed, and gathers what they say as Findings. It prints nothing.
package survey

import (
	"fmt"

	"holdbook/internal/learned"
	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// Options say what to work out beside the findings themselves; the zero value
// is an ordinary report.
type Options struct {
	Working       bool           // each formula with the reader's own numbers
	Units         *units.System  // in place of the sheet's
	CurvatureOnly bool           // no sampling: for screening large stocks
	Workers       int            // goroutines; 0 for all processors
	MostDraws     int            // sampling ends after so many; 0: when the intervals have settled
	As            string         // the name of a hold, or of what stood open: the house in that state too
	Record        bool           // the record of the test, as the sheet says it
	AllZones      bool           // keep zones that no hold speaks of: for plans
	WorkOrder     bool           // the sealing as a crew does it
	Pool          bool           // what the house tells of the stock it belongs to
	Stock         *learned.Stock // what its stock is known to be; nil for none
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
	f := assemble(c, e, log, o)
	if o.As != "" {
		if f.InState, err = inState(c, e, o.As); err != nil {
			return nil, err
		}
	}
	return f, nil
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
	post, err := zonal.Infer(c.Estimated, o.inference())
	if err != nil {
		return nil, irreconcilable(c, err)
	}
	if wide, err := post.Reconciled(o.inference()); err == nil {
		return wide, nil
	}
	return post, nil // judged or widened they cannot be: the findings say so
}

func irreconcilable(c *Case, err error) error {
	return fmt.Errorf("%s: the readings could not be reconciled with any house: %w; run `holdbook check` on the sheet", c.Sheet.File, err)
}

// assemble calls the parts of the findings in order: a part that needs what another found
// is given it. e is nil where there is no hold.
func assemble(c *Case, e *zonal.Estimate, log *Log, o Options) *Findings {
	f := &Findings{Results: 1, Job: c.Job, Building: buildingOf(c), Priors: c.Priors, Holds: c.Holds, Samples: c.Samples}
	if e != nil {
		f.House, f.Hand = houseFindings(c, e, log)
		addExterior(c, e, &f.House)
		f.Target = targetFinding(c, e)
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
		f.Suspects = append(houseSigns(c), f.Suspects...)
		noteScaled(c, log)
		noteRanges(c, log)
		if f.SealFirst, f.WorkOrder = sealFirst(c, e, log, o); f.WorkOrder != nil {
			f.WorkOrder.Doubt = f.House.Doubt
		}
		f.Hand = append(f.Hand, handAnswers(c, log)...)
		if o.Pool {
			f.Stock = stockPart(c, e)
		}
	}
	f.Ducts = ductFindings(c, e, log)
	f.CAZ = cazFindings(c, log)
	f.Ducts = f.Ducts.withRooms(roomFindings(c, log))
	if e != nil {
		f.Standards = standardFindings(c)
	}
	f.Standards = append(f.Standards, ductStandards(c, f.Ducts)...)
	f.Limits = limitFindings(c, parts{tightness: e, flow50: f.House.Flow50, ducts: f.Ducts}, log)
	f.Ventilation = ventilationFindings(c, e, log)
	if o.Record {
		f.Record = recordOf(c)
	}
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
	f.Hand, f.Notices, f.Standards = OrEmpty(f.Hand), OrEmpty(f.Notices), OrEmpty(f.Standards)
}

// OrEmpty is a list that JSON writes as one, if it is empty.
func OrEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
