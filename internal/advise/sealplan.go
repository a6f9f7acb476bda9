package advise

import (
	"cmp"
	"fmt"
	"strings"

	"holdbook/ductleak"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// SealOptions say what sealing is to be forecast.
type SealOptions struct {
	survey.Options
	Fraction   float64    // of each target that is sealed; 0 means all
	Flow       units.Flow // to reach at 50 Pa; 0 for the sheet's target
	AirChanges units.Rate // the same as air changes; 0 for none
}

// SealForecast is what sealing would do, target by target and step by step.
type SealForecast struct {
	Seal     int                 `json:"seal"` // version of this format: 1
	Job      survey.Job          `json:"job"`
	Fraction float64             `json:"fraction"`
	FanNow   *survey.Q           `json:"fan_now,omitempty"` // what the fan should read as found at 50 Pa
	Choices  []survey.SealChoice `json:"seal_first"`
	Together []survey.SealChoice `json:"together"` // pairs, and the whole plane of a zone
	Steps    []SealStep          `json:"steps"`
	Target   *SealTarget         `json:"target,omitempty"`
	// Order is the sealing as a crew does it.
	Order *survey.WorkOrder `json:"work_order,omitempty"`
	// Air is the ventilation as found and after all the steps.
	Air     *SealedAir      `json:"ventilation,omitempty"`
	Notices []survey.Notice `json:"notices"`
}

// SealedAir is the air change of a house and what the published standard asks
// for, before and after sealing.
type SealedAir struct {
	Found survey.Ventilation `json:"as_found"`
	After survey.Ventilation `json:"after_sealing"`
}

// SealStep is one step of the best order.
type SealStep struct {
	Step       int       `json:"step"`
	Between    [2]string `json:"between"`
	Drop50     *survey.Q `json:"drop_50,omitempty"`
	FanAfter   *survey.Q `json:"fan_after,omitempty"`
	AirChanges *survey.Q `json:"air_changes_after,omitempty"`
	Chance     *float64  `json:"chance_of_target,omitempty"` // that the target is met after this step
}

// SealTarget is what the sealing is to reach.
type SealTarget struct {
	Flow     survey.Q  `json:"flow_50"`             // its ends are the target itself
	FanReads *survey.Q `json:"fan_reads,omitempty"` // what the fan's gauge shows at that flow
	Now      float64   `json:"chance_now"`
	Chance   float64   `json:"chance_after_all"`
	Steps    int       `json:"steps_to_even_chance,omitempty"` // 0: no step gives an even chance
	Text     string    `json:"text"`
}

// Seal forecasts the sealing of a sheet's house. The error is like Run's.
func Seal(s *sheet.Sheet, o SealOptions) (*SealForecast, error) {
	log := survey.NewLog(o.Working)
	c, err := survey.NewCase(s, o.Options, log)
	if err != nil {
		return nil, err
	}
	if len(c.Model.Holds) == 0 {
		return nil, c.ErrorAt(sheet.Pos{}, "no finished hold: nothing can be said of sealing yet")
	}
	e, err := survey.Solve(c, o.Options)
	if err != nil {
		return nil, err
	}
	targets := survey.OfferedToSeal(c, e)
	f := &SealForecast{Seal: 1, Job: c.Job, Fraction: cmp.Or(o.Fraction, 1)}
	if len(targets) == 0 || targets[0].Direct {
		log.Notice(survey.Note, "", "no path of this sheet can be offered for sealing: read a space beside the house")
		f.Notices = log.Notices
		return f.withLists(), nil
	}
	plan, err := e.Posterior.Seal(targets, zonal.SealOptions{Fraction: o.Fraction})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	f.FanNow, f.Choices = c.FanShows(plan.FanNow), survey.SealChoices(c, e, targets, plan)
	if f.Together, err = sealTogether(c, e, targets, o.Fraction); err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	f.Steps = sealSteps(c, targets, plan)
	if !c.FanRead() {
		log.Notice(survey.Note, "house", survey.NoFanFlow)
	}
	limit, stated := targetFlow(c, log, o)
	f.Order = survey.NewWorkOrder(c, targets, plan, o.Fraction, limit)
	f.Order.Doubt = survey.Doubt(c, e.Posterior, o.Options)
	switch {
	case !stated:
	case c.FanRead():
		f.Target = forecastTarget(c, f.Steps, plan, limit)
	default:
		log.Notice(survey.Warning, "target", "nothing can be said of a target: no fan flow was read")
	}
	f.Air = sealedAir(c, e, log, plan)
	survey.NoteFanReadings(c, log)
	sealCautions(c, log)
	f.Notices = log.Notices
	return f.withLists(), nil
}

func (f *SealForecast) withLists() *SealForecast {
	f.Choices, f.Together, f.Steps, f.Notices = survey.OrEmpty(f.Choices), survey.OrEmpty(f.Together), survey.OrEmpty(f.Steps), survey.OrEmpty(f.Notices)
	return f
}

// mostPairs limits the pairs shown to those of the first few choices.
const mostPairs = 3

// sealTogether forecasts pairs of the leading targets and the whole plane of each
// zone, where that is more than one path.
func sealTogether(c *survey.Case, e *zonal.Estimate, targets []zonal.SealTarget, fraction float64) ([]survey.SealChoice, error) {
	var sets []zonal.SealTarget
	var names []string
	for i := range targets {
		for j := i + 1; j < len(targets) && j < mostPairs; j++ {
			if !targets[i].Direct && !targets[j].Direct {
				sets = append(sets, zonal.SealTarget{Paths: append(append([]int(nil), targets[i].Paths...), targets[j].Paths...), Direct: true})
				names = append(names, pathName(c, targets[i].Paths[0])+" and "+pathName(c, targets[j].Paths[0]))
			}
		}
	}
	for z := range c.Zones() {
		if plane := offeredOf(c, targets, z); len(plane) > 1 {
			sets = append(sets, zonal.SealTarget{Paths: plane, Direct: true})
			names = append(names, "all of the "+c.Names[z]+" side")
		}
	}
	if len(sets) == 0 {
		return nil, nil
	}
	plan, err := e.Posterior.Seal(sets, zonal.SealOptions{Fraction: fraction})
	if err != nil {
		return nil, err
	}
	var list []survey.SealChoice
	for k, choice := range plan.Choices {
		p := c.Model.Paths[sets[k].Paths[0]]
		list = append(list, survey.SealChoice{Between: c.Pair(p.A, p.B), What: names[k], Drop50: survey.Flow(choice.Drop50), FanAfter: c.FanShows(choice.FanAfter)})
	}
	return list, nil
}

// offeredOf is every offered path of a zone.
func offeredOf(c *survey.Case, targets []zonal.SealTarget, z zonal.SpaceID) []int {
	var paths []int
	for _, t := range targets {
		p := c.Model.Paths[t.Paths[0]]
		if !t.Direct && (p.A == z || p.B == z) {
			paths = append(paths, t.Paths[0])
		}
	}
	return paths
}

func pathName(c *survey.Case, i int) string {
	p := c.Model.Paths[i]
	return units.Sanitize(c.Names[p.A]) + "–" + units.Sanitize(c.Names[p.B])
}

func sealSteps(c *survey.Case, targets []zonal.SealTarget, plan *zonal.SealPlan) (list []SealStep) {
	volume := c.Sheet.House.Volume
	for k, s := range plan.Order {
		p := c.Model.Paths[targets[s.Target].Paths[0]]
		step := SealStep{Step: k + 1, Between: c.Pair(p.A, p.B), Drop50: survey.Flow(s.Drop50), FanAfter: c.FanShows(s.FanAfter)}
		if volume.Given && volume.Value > 0 {
			step.AirChanges = survey.Rate(survey.Scale[units.Rate](s.FanAfter, 1/float64(volume.Value)))
		}
		list = append(list, step)
	}
	return list
}

// forecastTarget says which step meets the target, and puts the chance of it to each.
func forecastTarget(c *survey.Case, list []SealStep, plan *zonal.SealPlan, limit units.Flow) *SealTarget {
	exactly := ductleak.Exactly(limit)
	chances := plan.ChancesBelow(limit)
	t := &SealTarget{Flow: *survey.Flow(exactly), FanReads: c.FanShows(exactly), Now: chances[0]}
	for k := range list {
		chance := chances[k+1]
		list[k].Chance = &chance
		if chance >= 0.5 && t.Steps == 0 {
			t.Steps = k + 1
		}
		t.Chance = chance
	}
	switch {
	case t.Now > 0.95:
		t.Text = "the house is there already"
	case t.Steps > 0:
		t.Text = fmt.Sprintf("%s there with an even chance or better; after all of them the chance is %s %%", stepsGet(t.Steps), units.Chance(t.Chance))
	case t.Chance < 0.05:
		t.Text = "what is offered does not get there; the rest is direct leaks to outside"
	default:
		t.Text = fmt.Sprintf("what is offered may not get there: the chance is %s %% after all of it; the rest is direct leaks to outside", units.Chance(t.Chance))
	}
	return t
}

func stepsGet(n int) string {
	if n == 1 {
		return "the first step gets"
	}
	return fmt.Sprintf("the first %d steps get", n)
}

// targetFlow is the flow to reach: the one asked for, or the sheet's.
func targetFlow(c *survey.Case, log *survey.Log, o SealOptions) (units.Flow, bool) {
	flow, changes := o.Flow, o.AirChanges
	if flow == 0 && changes == 0 {
		flow, changes = c.Sheet.Job.Target.Flow.Or(0), c.Sheet.Job.Target.AirChanges.Or(0)
	}
	limit, ok := c.TargetFlow(flow, changes)
	if !ok && changes > 0 {
		log.Notice(survey.Warning, "target", "air changes need the volume of the house: write house.volume")
	}
	return limit, ok
}

// sealedAir says whether the house would be tighter than its ventilation.
func sealedAir(c *survey.Case, e *zonal.Estimate, log *survey.Log, plan *zonal.SealPlan) *SealedAir {
	if !survey.VentilationKnown(c, e) {
		if c.FanRead() {
			log.Notice(survey.Note, "ventilation", "with %s it could be said whether the house keeps air enough", strings.Join(survey.VentilationNeeds(c), " and "))
		}
		return nil
	}
	t, err := plan.TightnessAfter(len(plan.Order))
	if err != nil {
		log.Notice(survey.Note, "ventilation", "%s", err.Error())
		return nil
	}
	found := survey.VentilationOf(c, log, e.Tightness(), "as the house stands", "already now the house is")
	after := survey.VentilationOf(c, log, t, "even after all of the sealing", "after all of the sealing the house would be")
	if found == nil || after == nil {
		return nil
	}
	return &SealedAir{*found, *after}
}

// sealCautions go with any sealing.
func sealCautions(c *survey.Case, log *survey.Log) {
	log.Notice(survey.Danger, "", survey.SpillageCaution)
	log.Notice(survey.Note, "", "a forecast, not a certificate: prove it with a second test, with the same fan in the same flow range")
	for _, k := range c.Kinds[2:] {
		if k == sheet.Garage {
			log.Notice(survey.Warning, "garage", "a garage sealed from the house keeps its own fumes: no engine runs in it, and it is tested like any combustion appliance zone")
		}
	}
	var kept []string
	for _, p := range c.Model.Paths {
		if c.Keeps(p) {
			kept = append(kept, c.Names[p.A]+"–"+c.Names[p.B])
		}
	}
	if len(kept) > 0 {
		log.Notice(survey.Note, "", "kept open as the sheet asks: %s", strings.Join(kept, ", "))
	}
}
