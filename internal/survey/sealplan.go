package survey

import (
	"fmt"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// SealOptions say what sealing is to be forecast.
type SealOptions struct {
	Options
	Fraction   float64    // of each target that is sealed; 0 means all
	Flow       units.Flow // to reach at 50 Pa; 0 for the sheet's target
	AirChanges units.Rate // the same as air changes; 0 for none
}

// SealForecast is what sealing would do, target by target and step by step.
type SealForecast struct {
	Seal     int          `json:"seal"` // version of this format: 1
	Job      Job          `json:"job"`
	Fraction float64      `json:"fraction"`
	FanNow   *Q           `json:"fan_now,omitempty"` // what the fan should read as found at 50 Pa
	Choices  []SealChoice `json:"seal_first"`
	Together []SealChoice `json:"together"` // pairs, and the whole plane of a zone
	Steps    []SealStep   `json:"steps"`
	Target   *SealTarget  `json:"target,omitempty"`
	// Air is the ventilation as found and after all the steps.
	Air     *SealedAir `json:"ventilation,omitempty"`
	Notices []Notice   `json:"notices"`
}

// SealedAir is the air change of a house and what the published standard asks
// for, before and after sealing.
type SealedAir struct {
	Found Ventilation `json:"as_found"`
	After Ventilation `json:"after_sealing"`
}

// SealStep is one step of the best order.
type SealStep struct {
	Step       int       `json:"step"`
	Between    [2]string `json:"between"`
	Drop50     *Q        `json:"drop_50,omitempty"`
	FanAfter   *Q        `json:"fan_after,omitempty"`
	AirChanges *Q        `json:"air_changes_after,omitempty"`
	Chance     *float64  `json:"chance_of_target,omitempty"` // that the target is met after this step
}

// SealTarget is what the sealing is to reach.
type SealTarget struct {
	Flow     Q       `json:"flow_50"`             // its ends are the target itself
	FanReads *Q      `json:"fan_reads,omitempty"` // what the fan's gauge shows at that flow
	Now      float64 `json:"chance_now"`
	Chance   float64 `json:"chance_after_all"`
	Steps    int     `json:"steps_to_even_chance,omitempty"` // 0: no step gives an even chance
	Text     string  `json:"text"`
}

// Seal forecasts the sealing of a sheet's house. The error is like Run's.
func Seal(s *sheet.Sheet, o SealOptions) (*SealForecast, error) {
	r, err := prepare(s, o.Options)
	if err != nil {
		return nil, err
	}
	if len(r.model.Holds) == 0 {
		return nil, r.place(sheet.Pos{}, "no finished hold: nothing can be said of sealing yet")
	}
	if err := r.solve(); err != nil {
		return nil, err
	}
	targets := r.offered()
	f := &SealForecast{Seal: 1, Job: r.f.Job, Fraction: o.Fraction}
	if f.Fraction == 0 {
		f.Fraction = 1
	}
	if len(targets) == 0 || targets[0].Direct {
		r.notice(Note, "", "no path of this sheet can be offered for sealing: read a space beside the house")
		f.Notices = r.f.Notices
		return f.withLists(), nil
	}
	plan, err := r.estimate.Posterior.Seal(targets, zonal.SealOptions{Fraction: o.Fraction})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	f.FanNow, f.Choices = r.fanReads(plan.FanNow), r.choices(targets, plan)
	if f.Together, err = r.together(targets, o.Fraction); err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	r.sealSteps(f, targets, plan)
	if r.fans() > 0 {
		r.reach(f, plan, o)
	} else {
		r.noFan(o)
	}
	r.sealedAir(f, plan)
	r.shownNote()
	r.sealCautions()
	f.Notices = r.f.Notices
	return f.withLists(), nil
}

func (f *SealForecast) withLists() *SealForecast {
	f.Choices, f.Together, f.Steps, f.Notices = orEmpty(f.Choices), orEmpty(f.Together), orEmpty(f.Steps), orEmpty(f.Notices)
	return f
}

// mostPairs limits the pairs shown to those of the first few choices.
const mostPairs = 3

// together forecasts pairs of the leading targets and the whole plane of each
// zone, where that is more than one path.
func (r *run) together(targets []zonal.SealTarget, fraction float64) ([]SealChoice, error) {
	var sets []zonal.SealTarget
	var names []string
	for i := range targets {
		for j := i + 1; j < len(targets) && j < mostPairs; j++ {
			if !targets[i].Direct && !targets[j].Direct {
				sets = append(sets, zonal.SealTarget{Paths: append(append([]int(nil), targets[i].Paths...), targets[j].Paths...), Direct: true})
				names = append(names, r.pathName(targets[i].Paths[0])+" and "+r.pathName(targets[j].Paths[0]))
			}
		}
	}
	for z := zonal.SpaceID(2); int(z) < len(r.names); z++ {
		if plane := r.plane(targets, z); len(plane) > 1 {
			sets = append(sets, zonal.SealTarget{Paths: plane, Direct: true})
			names = append(names, "all of the "+r.names[z]+" side")
		}
	}
	if len(sets) == 0 {
		return nil, nil
	}
	plan, err := r.estimate.Posterior.Seal(sets, zonal.SealOptions{Fraction: fraction})
	if err != nil {
		return nil, err
	}
	var list []SealChoice
	for k, c := range plan.Choices {
		p := r.model.Paths[sets[k].Paths[0]]
		list = append(list, SealChoice{Between: r.pair(p.A, p.B), What: names[k], Drop50: r.flow(c.Drop50), FanAfter: r.fanReads(c.FanAfter)})
	}
	return list, nil
}

// plane is every offered path of a zone.
func (r *run) plane(targets []zonal.SealTarget, z zonal.SpaceID) []int {
	var paths []int
	for _, t := range targets {
		p := r.model.Paths[t.Paths[0]]
		if !t.Direct && (p.A == z || p.B == z) {
			paths = append(paths, t.Paths[0])
		}
	}
	return paths
}

func (r *run) pathName(i int) string {
	p := r.model.Paths[i]
	return units.Sanitize(r.names[p.A]) + "–" + units.Sanitize(r.names[p.B])
}

func (r *run) sealSteps(f *SealForecast, targets []zonal.SealTarget, plan *zonal.SealPlan) {
	volume := r.sheet.House.Volume
	for k, s := range plan.Order {
		p := r.model.Paths[targets[s.Target].Paths[0]]
		step := SealStep{Step: k + 1, Between: r.pair(p.A, p.B), Drop50: r.flow(s.Drop50), FanAfter: r.fanReads(s.FanAfter)}
		if volume.Given && volume.Value > 0 {
			step.AirChanges = r.rate(scale[units.Rate](s.FanAfter, 1/float64(volume.Value)))
		}
		f.Steps = append(f.Steps, step)
	}
}

// noFan says what is not known of a house whose fan was not read.
func (r *run) noFan(o SealOptions) {
	r.notice(Note, "house", noFanFlow)
	if _, ok := r.target(o); ok {
		r.notice(Warning, "target", "nothing can be said of a target: no fan flow was read")
	}
}

// reach says which step meets the target, and with what chance.
func (r *run) reach(f *SealForecast, plan *zonal.SealPlan, o SealOptions) {
	limit, ok := r.target(o)
	if !ok {
		return
	}
	exactly := units.Estimate[units.Flow]{Value: limit, Low: limit, High: limit}
	chances := plan.ChancesBelow(limit)
	t := &SealTarget{Flow: *r.flow(exactly), FanReads: r.fanReads(exactly), Now: chances[0]}
	for k := range f.Steps {
		chance := chances[k+1]
		f.Steps[k].Chance = &chance
		if chance >= 0.5 && t.Steps == 0 {
			t.Steps = k + 1
		}
		t.Chance = chance
	}
	switch {
	case t.Now > 0.95:
		t.Text = "the house is there already"
	case t.Steps > 0:
		t.Text = fmt.Sprintf("%s there with an even chance or better; after all of them the chance is %s %%", steps(t.Steps), units.Chance(t.Chance))
	case t.Chance < 0.05:
		t.Text = "what is offered does not get there; the rest is direct leaks to outside"
	default:
		t.Text = fmt.Sprintf("what is offered may not get there: the chance is %s %% after all of it; the rest is direct leaks to outside", units.Chance(t.Chance))
	}
	f.Target = t
}

func steps(n int) string {
	if n == 1 {
		return "the first step gets"
	}
	return fmt.Sprintf("the first %d steps get", n)
}

// target is the flow to reach: the one asked for, or the sheet's.
func (r *run) target(o SealOptions) (units.Flow, bool) {
	flow, changes, volume := o.Flow, o.AirChanges, r.sheet.House.Volume
	if flow == 0 && changes == 0 {
		flow, changes = r.sheet.Job.Target.Flow.Or(0), r.sheet.Job.Target.AirChanges.Or(0)
	}
	switch {
	case flow > 0:
		return flow, true
	case changes > 0 && volume.Given && volume.Value > 0:
		return units.Flow(float64(changes) * float64(volume.Value)), true
	case changes > 0:
		r.notice(Warning, "target", "air changes need the volume of the house: write house.volume")
	}
	return 0, false
}

// sealedAir says whether the house would be tighter than its ventilation.
func (r *run) sealedAir(f *SealForecast, plan *zonal.SealPlan) {
	if !r.ventilationKnown() {
		if r.fans() > 0 {
			r.notice(Note, "ventilation", "with %s it could be said whether the house keeps air enough", strings.Join(r.ventilationNeeds(), " and "))
		}
		return
	}
	t, err := plan.TightnessAfter(len(plan.Order))
	if err != nil {
		r.notice(Note, "ventilation", "%s", err.Error())
		return
	}
	found := r.ventilationOf(r.estimate.Tightness(), "as the house stands", "already now the house is")
	after := r.ventilationOf(t, "even after all of the sealing", "after all of the sealing the house would be")
	if found != nil && after != nil {
		f.Air = &SealedAir{*found, *after}
	}
}

// sealCautions go with any sealing.
func (r *run) sealCautions() {
	r.notice(Danger, "", "after sealing, appliances that draw on house air must be tested for spillage in the worst case before the crew leaves; local code and licensed practice come first")
	r.notice(Note, "", "a forecast, not a certificate: prove it with a second test, with the same fan in the same flow range")
	for _, k := range r.kinds[2:] {
		if k == sheet.Garage {
			r.notice(Warning, "garage", "a garage sealed from the house keeps its own fumes: no engine runs in it, and it is tested like any combustion appliance zone")
		}
	}
	var kept []string
	for _, p := range r.model.Paths {
		if r.kept(p) {
			kept = append(kept, r.names[p.A]+"–"+r.names[p.B])
		}
	}
	if len(kept) > 0 {
		r.notice(Note, "", "kept open as the sheet asks: %s", strings.Join(kept, ", "))
	}
}
