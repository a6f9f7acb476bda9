// Package advise says what to do next with a house that has been surveyed: what to read, what
// to seal, and what a sealing has changed.
package advise

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/units"
	"holdbook/zonal"
)

// NextOptions say what the next reading is to settle.
type NextOptions struct {
	survey.Options
	About   string  // the name of a space; empty for all of them and the sealing order
	Minutes float64 // there are for more readings; 0 for no limit
	OneFan  bool    // there is no second fan
}

// NextPlan is what to read next, the most useful first.
type NextPlan struct {
	Next     int             `json:"next"` // version of this format: 1
	Job      survey.Job      `json:"job"`
	About    string          `json:"about"`
	Visit    bool            `json:"visit,omitempty"` // nothing has been read yet: the plan of the visit
	Enough   bool            `json:"enough"`          // no action changes the order or narrows an answer
	Text     string          `json:"text"`
	Actions  []NextAction    `json:"actions"`
	FirstNow float64         `json:"chance_first_now"` // that what looks best to seal first is best
	Notices  []survey.Notice `json:"notices"`
}

// NextAction is one reading or change that could be made.
type NextAction struct {
	What    string  `json:"what"`
	How     string  `json:"how"`
	Caution string  `json:"caution,omitempty"`
	Minutes float64 `json:"minutes"`
	// Gain is the share of the intervals' width that is expected to go, and
	// FirstThen the chance that what then looks best to seal first is the best:
	// after this action alone, or in a visit after it and all before it.
	Gain      float64      `json:"gain"`
	FirstThen float64      `json:"chance_first_then"`
	Narrows   []NextNarrow `json:"narrows"`
	Block     string       `json:"block"` // the [[hold]] to fill in

	worth float64 // to rank by
}

// NextNarrow is one answer's 90 % interval now (in a visit: after the steps
// before) and as wide as it is expected to be after the action, about the present
// value. Now and Then are the ratios of their ends.
type NextNarrow struct {
	Of        string    `json:"of"`
	Now       float64   `json:"now"`
	Then      float64   `json:"then"`
	Interval  *survey.Q `json:"interval_now,omitempty"`
	Narrowing *survey.Q `json:"interval_then,omitempty"`
}

// AboutAll is what a plan is about that is not asked about one space.
const AboutAll = "the through-flows and what to seal first"

// Next plans what to read next. The error is like Run's.
func Next(s *sheet.Sheet, o NextOptions) (*NextPlan, error) {
	o.AllZones = true
	log := survey.NewLog(false)
	c, err := survey.NewCase(s, o.Options, log)
	if err != nil {
		return nil, err
	}
	n := &planner{o: o, plan: &NextPlan{Next: 1, Job: c.Job, About: AboutAll}}
	if err := aim(c, n); err != nil {
		return nil, err
	}
	post, err := posterior(c, n)
	if err != nil {
		return nil, err
	}
	if err := weigh(c, n, post); err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	concludePlan(n, log)
	return n.plan, nil
}

// planner is the planning of one sheet.
type planner struct {
	o                 NextOptions
	plan              *NextPlan
	question          zonal.Question
	targets           []string      // names of the question's
	fanCal, secondCal []int         // flow errors of the two fans
	about             zonal.SpaceID // the one space asked about, −1 for all
	list              []proposal
}

// calibrated is the model of a case with the errors of the fans that will be used.
func calibrated(c *survey.Case, n *planner) *zonal.Model {
	m := *c.Model
	m.Calibrations = slices.Clone(m.Calibrations)
	n.fanCal = survey.AddFanErrors(&m, c.Gauge, "fan", lastRange(c))
	for z := zonal.SpaceID(2); int(z) < len(c.Names); z++ {
		if takesFan(c, n, z) && n.secondCal == nil {
			n.secondCal = survey.AddFanErrors(&m, c.Gauge, secondFan, "")
		}
	}
	return &m
}

// proposal is a candidate with its words.
type proposal struct {
	NextAction
	candidate zonal.Candidate
}

// aim sets what is to be settled.
func aim(c *survey.Case, n *planner) error {
	n.about = -1
	if n.o.About != "" {
		for id, name := range c.Names {
			if survey.SameName(name, n.o.About) && id > int(zonal.Outside) {
				n.about = zonal.SpaceID(id)
			}
		}
		if n.about < 0 {
			return c.ErrorAt(sheet.Pos{}, fmt.Sprintf("no space is called %q; there are %s", units.Sanitize(n.o.About), strings.Join(c.Names[2:], ", ")))
		}
		n.plan.About = "what comes through the " + c.Names[n.about]
	}
	for id := zonal.SpaceID(2); int(id) < len(c.Names); id++ {
		if n.about < 0 || n.about == id {
			n.question.Through = append(n.question.Through, id)
			n.targets = append(n.targets, "through the "+c.Names[id])
		}
	}
	for _, t := range survey.OfferedToSeal(c, nil) {
		p := c.Model.Paths[t.Paths[0]]
		if t.Direct || n.about >= 0 && p.A != n.about && p.B != n.about {
			continue
		}
		n.question.Seal = append(n.question.Seal, t)
		n.targets = append(n.targets, "gained by sealing "+pathName(c, t.Paths[0]))
	}
	if len(n.targets) == 0 {
		return c.ErrorAt(sheet.Pos{}, "no space beside the house is declared; add one, such as [[zone]] name = \"attic\" kind = \"attic\"")
	}
	return nil
}

// visitDraws is how many draws of the priors a plan of a visit is made from.
const visitDraws = 1000

// posterior is what is known now: from the holds, or before any from the priors.
// The fans that will be used join it afterwards, so that it is the very one that
// the report tells of.
func posterior(c *survey.Case, n *planner) (post *zonal.Posterior, err error) {
	if n.plan.Visit = len(c.Model.Holds) == 0; n.plan.Visit {
		post, err = zonal.Prior(calibrated(c, n), visitDraws)
	} else {
		if post, err = survey.Infer(c, n.o.Options); err != nil {
			return nil, err
		}
		post, err = post.With(calibrated(c, n))
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	return post, nil
}

// lastRange is the flow range that was last in use.
func lastRange(c *survey.Case) string {
	for i := len(c.Sheet.Holds) - 1; i >= 0; i-- {
		if h := c.Sheet.Holds[i]; h.Fan.Given {
			return h.Range.Value
		}
	}
	return ""
}

// weigh previews every action and ranks them, or plans the visit.
func weigh(c *survey.Case, n *planner, post *zonal.Posterior) error {
	if err := propose(c, n, post); err != nil {
		return err
	}
	var list []zonal.Candidate
	var minutes []float64
	for _, p := range n.list {
		list, minutes = append(list, p.candidate), append(minutes, p.Minutes)
	}
	if n.plan.Visit {
		steps, err := post.Visit(list, n.question, zonal.VisitOptions{Minutes: minutes, Limit: n.o.Minutes})
		if err != nil {
			return err
		}
		for i, s := range steps {
			if i == 0 {
				n.plan.FirstNow = s.FirstNow
			}
			addAction(c, n, n.list[s.Candidate].NextAction, s.Preview)
		}
		return nil
	}
	previews, err := post.Preview(list, n.question)
	if err != nil {
		return err
	}
	for i, v := range previews {
		n.plan.FirstNow = v.FirstNow
		addAction(c, n, n.list[i].NextAction, v)
	}
	slices.SortStableFunc(n.plan.Actions, func(a, b NextAction) int { return cmp.Compare(b.worth, a.worth) })
	return nil
}

// addAction lists an action with what is expected of it.
func addAction(c *survey.Case, n *planner, a NextAction, v zonal.Preview) {
	a.Gain, a.FirstThen, a.worth = v.Gain, v.FirstThen, v.Worth()
	for k, name := range n.targets {
		a.Narrows = append(a.Narrows, NextNarrow{Of: name, Now: ratioOf(v.Now[k]), Then: ratioOf(v.Then[k]),
			Interval: c.Flow(ofWidth(v.Present[k], v.Now[k])), Narrowing: c.Flow(ofWidth(v.Present[k], v.Then[k]))})
	}
	n.plan.Actions = append(n.plan.Actions, a)
}

// ofWidth is an estimate with its ends drawn together, or apart, to a width in the
// logarithm.
func ofWidth(e units.Estimate[units.Flow], width float64) units.Estimate[units.Flow] {
	share := width / math.Log(float64(e.High/e.Low))
	if !(share >= 0) || share == 1 {
		return e
	}
	end := func(v units.Flow) units.Flow { return e.Value * units.Flow(math.Pow(float64(v/e.Value), share)) }
	return units.Estimate[units.Flow]{Value: e.Value, Low: end(e.Low), High: end(e.High)}
}

// ratioOf is high over low of an interval of that width in the logarithm, within
// what a float can print.
func ratioOf(width float64) float64 { return math.Exp(math.Min(width, 20)) }

// Below these no action is worth the while.
const (
	littleGain   = 0.10
	littleChance = 0.02
)

// wideOpen is the ratio of its ends above which an answer counts as not resolved.
const wideOpen = 6

// concludePlan keeps to the minutes there are, and says what follows.
func concludePlan(n *planner, log *survey.Log) {
	p := n.plan
	all := len(p.Actions)
	p.Enough = !p.Visit
	for _, a := range p.Actions {
		if a.Gain >= littleGain || a.FirstThen-p.FirstNow >= littleChance {
			p.Enough = false
		}
	}
	open := unresolved(n)
	fitMinutes(log, n)
	switch {
	case p.Visit && all == 0:
		p.Text = fmt.Sprintf("nothing has been read yet, and %s minutes are too few for a hold with every space read: it takes %s", units.Fixed(n.o.Minutes, 0), units.Fixed(n.list[0].Minutes, 0))
	case p.Visit:
		p.Text = "nothing has been read yet: take these in this order, and ask again after each hold"
	case all == 0:
		p.Enough, p.Text = true, "every reading that the sheet's spaces allow has been taken"
	case p.Enough && open != "":
		p.Text = "nothing that is left to read changes the order or narrows an answer much; not resolved: " + open
	case p.Enough:
		p.Text = "enough is known: no further reading changes the order or narrows an answer much"
	case len(p.Actions) == 0:
		p.Text = "no reading that would help fits into " + units.Fixed(n.o.Minutes, 0) + " minutes"
	default:
		p.Text = "read next: " + p.Actions[0].What
	}
	nextCautions(log)
	p.Notices = survey.OrEmpty(log.Notices)
	p.Actions = survey.OrEmpty(p.Actions)
}

// unresolved names the answers that are not resolved yet.
func unresolved(n *planner) string {
	if len(n.plan.Actions) == 0 {
		return ""
	}
	var open []string
	for _, v := range n.plan.Actions[0].Narrows {
		if v.Now > wideOpen {
			open = append(open, v.Of)
		}
	}
	return strings.Join(open, ", ")
}

// fitMinutes leaves out the actions that take longer than there is. A visit is
// planned within its time.
func fitMinutes(log *survey.Log, n *planner) {
	if n.o.Minutes <= 0 || n.plan.Visit {
		return
	}
	n.plan.Actions = slices.DeleteFunc(n.plan.Actions, func(a NextAction) bool {
		if a.Minutes <= n.o.Minutes {
			return false
		}
		log.Notice(survey.Note, "", "left out, for it takes %s minutes: %s", units.Fixed(a.Minutes, 0), a.What)
		return true
	})
}

func nextCautions(log *survey.Log) {
	log.Notice(survey.Danger, "", "combustion appliances off for every hold, back as found afterwards; no opening into a space with friable asbestos, vermiculite, mould, sewage, or an engine that has just run; local code and licensed practice come first")
	log.Notice(survey.Warning, "", "before an outer door or a garage door is moved, slow or cover the fan: on automatic pressure hold it races while the door is open and over-drives the house when it shuts; then bring it up by hand")
}
