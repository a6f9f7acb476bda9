// Package survey takes a sheet and works out everything its readings allow: it
// turns the sheet into a network of leaks, has the joint estimate and the other
// methods computed, and gathers what they say as Findings. It prints nothing.
package survey

import (
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/pressure"
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

// run is one sheet on its way to its findings.
type run struct {
	sheet  *sheet.Sheet
	o      Options
	system units.System
	gauge  pressure.Gauge
	f      *Findings

	model   *zonal.Model
	spaces  map[string]zonal.SpaceID // by canonical name; zones left out are not in it
	names   []string                 // of each space of the model
	holds   []int                    // sheet hold of each hold of the model
	held    []heldState              // of each hold of the model
	order   []int                    // holds of the model, in the order in which one is chosen
	priors  []Prior
	kinds   []sheet.Kind // of each space of the model
	outdoor airPair      // of the sheet; see airOf

	estimate *zonal.Estimate
	seen     map[Notice]bool
}

// Run works out the findings of a sheet. Its errors are sheet.Problems, with the
// place of what cannot be used, where a reading is to blame.
func Run(s *sheet.Sheet, o Options) (*Findings, error) {
	r, err := prepare(s, o)
	if err != nil {
		return nil, err
	}
	if err := r.solve(); err != nil {
		return nil, err
	}
	r.report()
	return r.f, nil
}

// prepare builds the model of a sheet without solving it.
func prepare(s *sheet.Sheet, o Options) (*run, error) {
	r := &run{sheet: s, o: o, system: systemOf(s, o), f: &Findings{Results: 1}, seen: map[Notice]bool{}}
	r.gauge = gaugeOf(s.Gauge)
	r.job()
	if err := r.fanMethods(); err != nil {
		return nil, err
	}
	if err := r.build(); err != nil {
		return nil, err
	}
	return r, nil
}

// solve has the joint estimate computed, when there is a hold to compute it from.
func (r *run) solve() error {
	if len(r.model.Holds) == 0 {
		return nil
	}
	post, err := r.infer()
	if err != nil {
		return err
	}
	if r.estimate, err = post.Estimate(); err != nil {
		return r.irreconcilable(err)
	}
	return nil
}

// infer finds the posterior alone, for what asks it questions of its own.
func (r *run) infer() (*zonal.Posterior, error) {
	post, err := zonal.Infer(r.model, zonal.Options{Workers: r.o.Workers, CurvatureOnly: r.o.CurvatureOnly, MostDraws: r.o.MostDraws})
	if err != nil {
		return nil, r.irreconcilable(err)
	}
	return post, nil
}

func (r *run) irreconcilable(err error) error {
	return fmt.Errorf("%s: the readings could not be reconciled with any house: %w; run `holdbook check` on the sheet", r.sheet.File, err)
}

// report fills the findings, part by part.
func (r *run) report() {
	if r.estimate != nil {
		r.house()
		r.paths()
		r.zones()
		r.openings()
		r.readings()
		r.method()
		r.suspects()
		r.sealing()
		r.hand()
	}
	r.f.Priors = r.priors
	r.ducts()
	r.rooms()
	r.limits()
	r.ventilation()
	r.cautions()
	r.unused()
	r.f.fillLists()
}

func systemOf(s *sheet.Sheet, o Options) units.System {
	if o.Units != nil {
		return *o.Units
	}
	if s.Job.PrintUnits() == units.SI.String() {
		return units.SI
	}
	return units.IP
}

// gaugeOf is what the sheet's instruments promise.
func gaugeOf(g sheet.Gauge) pressure.Gauge {
	accuracy, floor := g.PressureError()
	return pressure.Gauge{Accuracy: accuracy, Floor: floor, Wobble: g.WobbleError(), Repeat: g.RepeatError(), Calibration: g.FlowError()}
}

func (r *run) job() {
	j, g := r.sheet.Job, r.sheet.Gauge
	hold := "depressurised"
	if !r.below() {
		hold = "pressurised"
	}
	r.f.Job = Job{Name: units.Sanitize(j.Name.Value), Date: j.Date.Text, By: units.Sanitize(j.By.Value), Place: units.Sanitize(j.Place.Value),
		Wind: units.Sanitize(j.Wind.Value), Hold: hold, Units: r.system.String(), GaugeID: units.Sanitize(g.ID.Value), GaugeCal: g.Calibrated.Text,
		Note: units.SanitizeTo(j.Note.Value, 300), Invented: j.Invented.Value}
}

// below says whether the house is held below outdoors: as the first finished hold
// has it in a written sign, else as the job says.
func (r *run) below() bool {
	for _, h := range r.sheet.Holds {
		if h.Finished() && h.House.Value != 0 && h.House.Signed() {
			return h.House.Value < 0
		}
	}
	return r.sheet.Job.Depressurised()
}

// worked adds the line of working of a formula of package pressure.
func (r *run) worked(about string, w pressure.Worked) { r.work(about, w.Formula, w.Numbers, w.Source) }

// notice adds something the reader must know, once.
func (r *run) notice(level Level, about, format string, args ...any) {
	n := Notice{level, about, fmt.Sprintf(format, args...)}
	if !r.seen[n] {
		r.seen[n] = true
		r.f.Notices = append(r.f.Notices, n)
	}
}

// problem adds a warning that the physics gives.
func (r *run) problem(about string, p *pressure.Fault) {
	if p != nil {
		r.notice(Warning, about, "%s", p.Error())
	}
}

// work adds a line of working, if it was asked for.
func (r *run) work(about, formula, numbers, source string) {
	if r.o.Working && formula != "" {
		r.f.Working = append(r.f.Working, WorkingStep{about, formula, numbers, source})
	}
}

// place is an error at a place of the sheet.
func (r *run) place(pos sheet.Pos, text string) error {
	return sheet.Problems{{File: r.sheet.File, Pos: pos, Text: text}}
}

// pair names the ends of a path.
func (r *run) pair(a, b zonal.SpaceID) [2]string { return [2]string{r.names[a], r.names[b]} }

// fillLists makes empty lists empty rather than absent.
func (f *Findings) fillLists() {
	f.Paths, f.Zones, f.Openings = orEmpty(f.Paths), orEmpty(f.Zones), orEmpty(f.Openings)
	f.SealFirst, f.Readings, f.Suspects = orEmpty(f.SealFirst), orEmpty(f.Readings), orEmpty(f.Suspects)
	f.Priors, f.Limits, f.Holds = orEmpty(f.Priors), orEmpty(f.Limits), orEmpty(f.Holds)
	f.Hand, f.Notices = orEmpty(f.Hand), orEmpty(f.Notices)
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
