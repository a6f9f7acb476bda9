package survey

import (
	"iter"
	"slices"

	"holdbook/internal/sheet"
	"holdbook/pressure"
	"holdbook/units"
	"holdbook/zonal"
)

// Case is a sheet with the network of leaks that was made of it. NewCase makes it; nothing
// changes it afterwards.
type Case struct {
	Sheet  *sheet.Sheet
	System units.System
	Gauge  pressure.Gauge
	Job    Job

	// Model is that of the hand methods: what was read less its baselines. Estimated is that
	// of the joint estimate: the same holds as the gauge showed them, in the weather of the
	// visit, and behind them the holds at rest that Rests are. Paths and openings are the same.
	Model     *zonal.Model
	Estimated *zonal.Model
	Rests     []Rest

	Spaces map[string]zonal.SpaceID // by canonical name; zones left out are not in it
	Names  []string                 // of each space of the model
	Kinds  []sheet.Kind             // of each space of the model
	Held   []LaidHold               // of each hold of the model
	Order  []int                    // holds of the model, in the order in which one is chosen

	Outdoor AirPair // of the sheet; see airOf
	Priors  []Prior
	Holds   []Hold // of the sheet, as each was used
	Samples []Samples
}

// NewCase makes the network of leaks of a sheet. Its errors are like Run's.
func NewCase(s *sheet.Sheet, o Options, log *Log) (*Case, error) {
	c := &Case{Sheet: s, System: SystemOf(s, o), Gauge: GaugeOf(s.Gauge)}
	c.Job = jobOf(c)
	if err := fanMethods(c); err != nil {
		return nil, err
	}
	c.Model = zonal.NewModel()
	c.Outdoor = airOf(c, log, &sheet.Hold{})
	c.Model.Air = c.leakAir().density
	spoken := spokenOf(s)
	if err := connect(c, spoken); err != nil {
		return nil, err
	}
	laySpaces(c, log, spoken, o.AllZones)
	if err := layPaths(c, log, o.Stock); err != nil {
		return nil, err
	}
	if err := layHolds(c, log); err != nil {
		return nil, err
	}
	layWeather(c, log)
	return c, nil
}

// SystemOf is the system of units that results are wanted in.
func SystemOf(s *sheet.Sheet, o Options) units.System {
	if o.Units != nil {
		return *o.Units
	}
	system, _ := units.ParseSystem(s.Job.PrintUnits()) // the sheet takes no other word
	return system
}

// GaugeOf is what the sheet's instruments promise.
func GaugeOf(g sheet.Gauge) pressure.Gauge {
	accuracy, floor := g.PressureError()
	return pressure.Gauge{Accuracy: accuracy, Floor: floor, Wobble: g.WobbleError(), Repeat: g.RepeatError(), Calibration: g.FlowError()}
}

func jobOf(c *Case) Job {
	j, g := c.Sheet.Job, c.Sheet.Gauge
	hold := "depressurised"
	if !c.Below() {
		hold = "pressurised"
	}
	return Job{Name: units.Sanitize(j.Name.Value), Date: j.Date.Text, By: units.Sanitize(j.By.Value), Place: units.Sanitize(j.Place.Value),
		Wind: units.Sanitize(j.Wind.Value), Hold: hold, Units: c.System.String(), GaugeID: units.Sanitize(g.ID.Value), GaugeCal: g.Calibrated.Text,
		Note: units.SanitizeTo(j.Note.Value, sheet.MaxNote), Standard: units.Sanitize(j.Standard.Value), Invented: j.Invented.Value}
}

// Below says whether the house is held below outdoors: in most of the finished holds, else
// as the job says.
func (c *Case) Below() bool {
	most := 0
	for i := range c.Sheet.Holds {
		switch h := &c.Sheet.Holds[i]; {
		case !h.Finished() || h.House.Value == 0:
		case SignedHouse(c.Sheet, h) < 0:
			most++
		default:
			most--
		}
	}
	return most > 0 || most == 0 && c.Sheet.Job.Depressurised()
}

// FlowAt50 is a hold's door-fan flow scaled to 50 Pa with the usual exponent.
func (c *Case) FlowAt50(hold int) units.Flow {
	h := &c.Model.Holds[hold]
	return h.Fan.Flow * units.Flow(pressure.FlowRatio(zonal.Reference, units.Abs(h.House), pressure.DefaultExponent))
}

// ErrorAt is an error at a place of the sheet.
func (c *Case) ErrorAt(pos sheet.Pos, text string) error {
	return sheet.Problems{{File: c.Sheet.File, Pos: pos, Text: text}}
}

// Pair names the ends of a path.
func (c *Case) Pair(a, b zonal.SpaceID) [2]string { return [2]string{c.Names[a], c.Names[b]} }

// Zones are the spaces of the model beside the house and outside.
func (c *Case) Zones() iter.Seq[zonal.SpaceID] {
	return func(yield func(zonal.SpaceID) bool) {
		for z := zonal.Outside + 1; int(z) < len(c.Names) && yield(z); z++ {
		}
	}
}

// Changed tells whether something of a zone was opened, sealed or blown in a hold of the model.
func (c *Case) Changed(hold int, z zonal.SpaceID) bool {
	h := &c.Model.Holds[hold]
	return slices.ContainsFunc(h.Opened, func(k int) bool { return c.Model.Openings[k].A == z || c.Model.Openings[k].B == z }) ||
		slices.ContainsFunc(h.Sealed, func(k int) bool { return c.Model.Paths[k].A == z || c.Model.Paths[k].B == z }) ||
		slices.ContainsFunc(h.Fans, func(f zonal.FanSource) bool { return f.From == z || f.To == z })
}
