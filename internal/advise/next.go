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
	Sheet    string          `json:"sheet,omitempty"` // its file, for the lines to type
	About    string          `json:"about"`
	Visit    bool            `json:"visit,omitempty"` // nothing has been read yet: the plan of the visit
	Enough   bool            `json:"enough"`          // no action changes the order or narrows an answer
	Settled  bool            `json:"settled"`         // what to seal first is known all but surely
	Doubt    string          `json:"doubt,omitempty"` // readings that do not fit each other, to be read again first
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

	// Outdoor says that no hold is made: the temperatures are typed. Rest says that the fan
	// is off, and Hold one that the sheet has, with the baselines that belong in it.
	Outdoor bool `json:"outdoor,omitempty"`
	Rest    bool `json:"at_rest,omitempty"`

	// Hold is the hold to fill in: what is to be read is given, its text with a "…" where
	// the number goes.
	Hold sheet.Hold `json:"-"`
	// Block is that hold as text, which a report writes.
	Block string `json:"block"`
	// Line is the command that adds it to the sheet.
	Line string `json:"line,omitempty"`

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

// Next plans what to read next. The error is like survey.Run's.
func Next(s *sheet.Sheet, o NextOptions) (*NextPlan, error) {
	o.AllZones = true
	log := survey.NewLog(false)
	c, err := survey.NewCase(s, o.Options, log)
	if err != nil {
		return nil, err
	}
	a, err := aimAt(c, o.About)
	if err != nil {
		return nil, err
	}
	p := &NextPlan{Next: 1, Job: c.Job, Sheet: s.File, About: a.text(c), Visit: len(c.Model.Holds) == 0}
	post, k, err := knownNow(c, o, p.Visit)
	if err != nil {
		return nil, err
	}
	list, err := proposals(c, k, a, p.Visit, post)
	if err != nil {
		return nil, err
	}
	if list, err = withinReach(c, post, list, log); err != nil {
		return nil, err
	}
	if err := weigh(c, p, o, a, list, post); err != nil {
		return nil, fmt.Errorf("%s: %w", s.File, err)
	}
	p.Doubt = k.doubt
	p.Settled = a.about < 0 && !p.Visit && p.Doubt == "" && len(a.question.Seal) > 1 && p.FirstNow >= settledFrom
	if conclude(p, o.Minutes, log); p.Visit && len(p.Actions) == 0 {
		p.Text = fmt.Sprintf("nothing has been read yet, and %s minutes are too few for a hold with every space read: it takes %s", units.Fixed(o.Minutes, 0), units.Fixed(list[0].Minutes, 0))
	}
	return p, nil
}

// aim is what is to be settled.
type aim struct {
	about    zonal.SpaceID // the one space asked about, −1 for all
	question zonal.Question
	targets  []string // names of what the question asks for
}

// asks tells whether a space is asked about.
func (a aim) asks(z zonal.SpaceID) bool { return a.about < 0 || a.about == z }

// text says what the plan is about.
func (a aim) text(c *survey.Case) string {
	if a.about < 0 {
		return AboutAll
	}
	return "what comes through the " + c.Names[a.about]
}

// aimAt sets what is to be settled: of the space of a name, of all where it is empty.
func aimAt(c *survey.Case, about string) (aim, error) {
	a := aim{about: -1}
	if about != "" {
		id := slices.IndexFunc(c.Names, func(name string) bool { return survey.SameName(name, about) })
		if id <= int(zonal.Outside) {
			return a, c.ErrorAt(sheet.Pos{}, fmt.Sprintf("no space is called %q; there are %s", units.Sanitize(about), strings.Join(c.Names[2:], ", ")))
		}
		a.about = zonal.SpaceID(id)
	}
	for id := range c.Zones() {
		if a.asks(id) {
			a.question.Through = append(a.question.Through, id)
			a.targets = append(a.targets, "through the "+c.Names[id])
		}
	}
	for _, t := range survey.OfferedToSeal(c, nil) {
		p := c.Model.Paths[t.Paths[0]]
		if t.Direct || !a.asks(p.A) && !a.asks(p.B) {
			continue
		}
		a.question.Seal = append(a.question.Seal, t)
		a.targets = append(a.targets, "gained by sealing "+pathName(c, t.Paths[0]))
	}
	if len(a.targets) == 0 {
		return a, c.ErrorAt(sheet.Pos{}, "no space beside the house is declared; add one, such as [[zone]] name = \"attic\" kind = \"attic\"")
	}
	return a, nil
}

// visitDraws is how many draws of the priors a plan of a visit is made from.
const visitDraws = 1000

// knownNow is what is known now: from the holds, or before any from the priors. The errors of
// the fans that will be used join it afterwards, so that it is the very one that the report
// tells of.
func knownNow(c *survey.Case, o NextOptions, visit bool) (post *zonal.Posterior, k kit, err error) {
	m := *c.Estimated
	m.Calibrations = slices.Clone(m.Calibrations)
	k = kit{oneFan: o.OneFan, fan: survey.AddFanErrors(&m, c.Gauge, "fan", lastRange(c))}
	for z := range c.Zones() {
		if !o.OneFan && takesFan(c, z) {
			k.second = survey.AddFanErrors(&m, c.Gauge, secondFan, "")
			break
		}
	}
	if visit {
		post, err = zonal.Prior(&m, visitDraws)
	} else {
		if post, err = survey.Infer(c, o.Options); err != nil {
			return nil, k, err
		}
		k.doubt = survey.Doubt(c, post, o.Options)
		post, err = post.With(&m)
	}
	if err != nil {
		return nil, k, fmt.Errorf("%s: %w", c.Sheet.File, err)
	}
	return post, k, nil
}

// weigh previews every proposal and ranks them, or plans the visit.
func weigh(c *survey.Case, p *NextPlan, o NextOptions, a aim, list []proposal, post *zonal.Posterior) error {
	var candidates []zonal.Candidate
	var minutes []float64
	for _, x := range list {
		candidates, minutes = append(candidates, x.candidate), append(minutes, x.Minutes)
	}
	if p.Visit {
		steps, err := post.Visit(candidates, a.question, zonal.VisitOptions{Minutes: minutes, Limit: o.Minutes})
		if err != nil {
			return err
		}
		for i, s := range steps {
			if i == 0 {
				p.FirstNow = s.FirstNow
			}
			p.Actions = append(p.Actions, list[s.Candidate].expecting(c, a.targets, s.Preview))
		}
		return nil
	}
	previews, err := post.Preview(candidates, a.question)
	if err != nil {
		return err
	}
	for i, v := range previews {
		p.FirstNow = v.FirstNow
		p.Actions = append(p.Actions, list[i].expecting(c, a.targets, v))
	}
	slices.SortStableFunc(p.Actions, func(x, y NextAction) int { return cmp.Compare(y.worth, x.worth) })
	return nil
}

// expecting is an action with what is expected of it.
func (a NextAction) expecting(c *survey.Case, targets []string, v zonal.Preview) NextAction {
	a.Gain, a.FirstThen, a.worth = v.Gain, v.FirstThen, perMinute(v.Worth(), a.Minutes)
	for k, name := range targets {
		a.Narrows = append(a.Narrows, NextNarrow{Of: name, Now: ratioOf(v.Now[k]), Then: ratioOf(v.Then[k]),
			Interval: survey.Flow(ofWidth(v.Present[k], v.Now[k])), Narrowing: survey.Flow(ofWidth(v.Present[k], v.Then[k]))})
	}
	return a
}

// perMinute is what an action is ranked by: what it brings for each minute. What brings
// next to nothing comes last, however fast it is.
func perMinute(worth, minutes float64) float64 {
	const nothing, last = 0.02, 1e-3
	rate := worth / math.Max(minutes, leastMinutes)
	if worth < nothing {
		rate *= last
	}
	return rate
}

// leastMinutes are what writing something down takes, such as a temperature.
const leastMinutes = 0.5

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

// settledFrom is the chance that the first to seal is the best from which the order counts
// as settled: judgement.
const settledFrom = 0.99

// wideOpen is the ratio of its ends above which an answer counts as not resolved.
const wideOpen = 6

// conclude keeps to the minutes there are, and says what follows.
func conclude(p *NextPlan, minutes float64, log *survey.Log) {
	all := len(p.Actions)
	p.Enough = !p.Visit
	for _, a := range p.Actions {
		if a.Gain >= littleGain || a.FirstThen-p.FirstNow >= littleChance {
			p.Enough = false
		}
	}
	open := unresolved(p)
	fitMinutes(p, minutes, log)
	p.Enough = p.Doubt == "" && (p.Enough || p.Settled)
	switch {
	case p.Doubt != "":
		p.Text = "read again first: " + p.Doubt
	case p.Settled:
		p.Text = "enough is known: the order is settled (" + surely(p.FirstNow) + " %)"
		if open != "" {
			p.Text += "; not resolved, ask with --about: " + open
		}
	case p.Visit:
		p.Text = "nothing has been read yet: take these in this order, and ask again after each hold"
	case all == 0:
		p.Enough, p.Text = true, "every reading that the sheet's spaces allow has been taken"
	case p.Enough && open != "":
		p.Text = "nothing that is left to read changes the order or narrows an answer much; not resolved: " + open
	case p.Enough:
		p.Text = "enough is known: no further reading changes the order or narrows an answer much"
	case len(p.Actions) == 0:
		p.Text = "no reading that would help fits into " + units.Fixed(minutes, 0) + " minutes"
	default:
		p.Text = readNext(p.Actions)
	}
	nextCautions(log)
	p.Notices, p.Actions = survey.OrEmpty(log.Notices), survey.OrEmpty(p.Actions)
}

// readNext names the first action, and what costs nothing wherever it stands.
func readNext(list []NextAction) string {
	if list[0].Outdoor {
		return list[0].What + ": it costs nothing"
	}
	text := readFirst(list[0])
	if slices.ContainsFunc(list, func(a NextAction) bool { return a.Outdoor }) {
		text += "; and type the outdoor temperature, which costs nothing"
	}
	return text
}

func readFirst(a NextAction) string { return "read next: " + a.What }

// Beyond is what the plan says that its first proposal does not, for who lists them all.
func (p *NextPlan) Beyond() string {
	if len(p.Actions) > 0 && p.Text == readFirst(p.Actions[0]) {
		return ""
	}
	return p.Text
}

// surely is a chance of 99 % or more.
func surely(chance float64) string {
	if chance >= 0.995 {
		return ">99"
	}
	return "99"
}

// unresolved names the answers that are not resolved yet.
func unresolved(p *NextPlan) string {
	if len(p.Actions) == 0 {
		return ""
	}
	var open []string
	for _, v := range p.Actions[0].Narrows {
		if v.Now > wideOpen {
			open = append(open, v.Of)
		}
	}
	return strings.Join(open, ", ")
}

// fitMinutes leaves out the actions that take longer than there is. A visit is
// planned within its time.
func fitMinutes(p *NextPlan, minutes float64, log *survey.Log) {
	if minutes <= 0 || p.Visit {
		return
	}
	p.Actions = slices.DeleteFunc(p.Actions, func(a NextAction) bool {
		if a.Minutes <= minutes {
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
