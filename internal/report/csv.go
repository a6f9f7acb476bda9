package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"holdbook/internal/survey"
)

// writeCSV writes one tidy table, a line for each number: its key in the
// results, what it is about, the value, the interval and the unit. The value
// of a result that is not resolved is left out; its bounds stay. A reading has
// no bounds. Notices have no place in it: see NoticeLines.
func writeCSV(b *bytes.Buffer, f *survey.Findings, _ Options) error {
	f, err := printed(f)
	if err != nil {
		return err
	}
	w := csv.NewWriter(b)
	lines := [][]string{csvColumns}
	for _, e := range entries(f) {
		lines = append(lines, e.line())
	}
	if err := w.WriteAll(lines); err != nil {
		return err
	}
	return w.Error()
}

// csvColumns are the columns of the table.
var csvColumns = []string{"quantity", "between", "value", "low", "high", "unit"}

// entry is one number of the findings with its key and its subject.
type entry struct {
	key, about string
	q          *survey.Q
	unit       string
	resolved   bool
	bare       bool // a reading or a computed point: no interval
}

func (e entry) line() []string {
	value, low, high := exact(e.q.Value), exact(e.q.Low), exact(e.q.High)
	if !e.resolved {
		value = ""
	}
	if e.bare {
		low, high = "", ""
	}
	return []string{harmless(e.key), harmless(e.about), value, low, high, harmless(e.unit)}
}

// exact is the shortest text that reads back as v.
func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// harmless keeps a spreadsheet from taking a text for a formula: one that
// begins like a formula gets an apostrophe before it.
func harmless(s string) string {
	if strings.IndexAny(s, "=+-@|%\t\r\n＝＋－＠−") == 0 {
		return "'" + s
	}
	return s
}

// entryList gathers the numbers of the findings.
type entryList []entry

func (l *entryList) add(key, about string, q *survey.Q) { l.addIf(key, about, q, true) }

func (l *entryList) addIf(key, about string, q *survey.Q, resolved bool) {
	if q != nil {
		*l = append(*l, entry{key: key, about: about, q: q, unit: q.Unit.Symbol(), resolved: resolved})
	}
}

func (l *entryList) plain(key, about string, v float64, unit string) {
	*l = append(*l, entry{key: key, about: about, q: &survey.Q{Value: v}, unit: unit, resolved: true, bare: true})
}

// entries is every number of the findings once, in the order of the results.
func entries(f *survey.Findings) []entry {
	var l entryList
	for _, k := range houseQuantities(f.House) {
		l.add("house."+k.key, "", k.q)
	}
	l.multiPoint(f.House.MultiPoint)
	for _, p := range f.Paths {
		l.path("paths", p)
	}
	for _, z := range f.Zones {
		l.add("zones.to_house", z.Name, z.ToHouse)
		l.add("zones.connection_fraction", z.Name, z.ConnectionFraction)
		l.addIf("zones.through_flow_50", z.Name, z.ThroughFlow50, z.Resolved)
		l.addIf("zones.leak_ratio", z.Name, z.LeakRatio, z.Near == "")
	}
	for _, o := range f.Openings {
		about := joinWords(", ", between(o.Between), o.Name, o.Hold)
		l.addIf("openings.flow_50", about, o.Flow50, o.Resolved)
		l.addIf("openings.area", about, o.Area, o.Resolved)
	}
	l.ducts(f.Ducts)
	l.rest(f)
	return l
}

func (l *entryList) path(key string, p survey.Path) {
	about := between(p.Between)
	l.addIf(key+".flow_50", about, p.Flow50, p.Resolved)
	l.addIf(key+".area_4", about, p.Area4, p.Resolved)
	l.add(key+".exponent", about, p.Exponent)
	l.addIf(key+".flow_now_50", about, p.Now50, p.Resolved)
}

func (l *entryList) multiPoint(m *survey.MultiPoint) {
	if m == nil {
		return
	}
	l.add("house.multi_point.exponent", "", &m.Exponent)
	l.add("house.multi_point.flow_50", "", &m.Flow50)
	l.add("house.multi_point.coefficient", "", &m.Coefficient)
	l.add("house.multi_point.leak_area_4", "", m.LeakArea4)
	l.add("house.multi_point.leak_area_10", "", m.LeakArea10)
	l.add("house.multi_point.weighted_exponent", "", m.WeightedExponent)
	l.add("house.multi_point.weighted_flow_50", "", m.WeightedFlow50)
	for _, p := range m.Points {
		l.plain("house.multi_point.points.pressure", p.Hold, p.Pressure, "Pa")
		l.plain("house.multi_point.points.flow", p.Hold, p.Flow, p.Unit.Symbol())
	}
}

func (l *entryList) ducts(d *survey.Ducts) {
	if d == nil {
		return
	}
	for _, k := range ductQuantities(d) {
		l.add("ducts."+k.key, "", k.q)
	}
	for _, r := range d.Registers {
		l.add("ducts.registers.cover", r.Name, r.Cover)
		l.add("ducts.registers.cover_50", r.Name, r.Cover50)
		l.add("ducts.registers.held", r.Name, r.Held)
		l.add("ducts.registers.flow", r.Name, r.Flow)
		l.add("ducts.registers.design", r.Name, r.Design)
		if r.ShareDesign != nil {
			l.plain("ducts.registers.share_of_design", r.Name, *r.ShareDesign, "1")
		}
	}
	for _, t := range d.Tests {
		l.addIf("ducts.tests."+t.Quantity, t.Name, t.Result, t.Resolved)
	}
	if d.OnOff != nil {
		for _, p := range d.OnOff.Points {
			about := "house at " + exact(p.Pressure) + " Pa"
			l.plain("ducts.on_off.points.difference", about, p.Difference, p.Unit.Symbol())
			l.plain("ducts.on_off.points.fitted", about, p.Fitted, p.Unit.Symbol())
		}
	}
	for _, s := range d.Losses {
		l.add("ducts.losses.share", s.Cause, s.Share)
		l.add("ducts.losses.cost", s.Cause, s.Cost)
	}
	for _, r := range d.Rooms {
		l.add("ducts.rooms.pressure", r.Name, r.Pressure)
		l.add("ducts.rooms.flow_50", r.Name, r.Flow50)
		l.add("ducts.rooms.transfer_area", r.Name, r.Transfer)
	}
}

func (l *entryList) rest(f *survey.Findings) {
	for _, c := range f.SealFirst {
		about := sealName(c)
		l.add("seal_first.drop_50", about, c.Drop50)
		if !c.Direct {
			l.plain("seal_first.chance_first", about, c.ChanceFirst, "1")
		}
		l.add("seal_first.fan_after", about, c.FanAfter)
		l.add("seal_first.fan_at_step", about, c.FanAtStep)
		l.add("seal_first.drop_per_hour", about, c.DropPerHour)
	}
	for _, h := range f.Hand {
		l.addIf("hand."+h.Quantity, joinWords(", ", h.About, h.Method), h.Result, h.Resolved)
	}
	for _, x := range f.Limits {
		l.add("limits."+x.Quantity, joinWords(" ", x.Document, x.Edition), x.Result)
	}
	if f.Ventilation != nil {
		for _, k := range ventilationQuantities(f.Ventilation) {
			l.add("ventilation."+k.key, "", k.q)
		}
	}
	for _, h := range f.Holds {
		l.plain("holds.house", h.Name, h.House, "Pa")
		l.plain("holds.baseline", h.Name, h.Baseline, "Pa")
		if h.Fan != nil {
			l.plain("holds.fan", h.Name, *h.Fan, h.FanUnit.Symbol())
		}
	}
	for _, x := range f.Samples {
		l.add("samples.mean", joinWords(", ", x.Reading, x.Hold), &x.Mean)
		l.plain("samples.sd", joinWords(", ", x.Reading, x.Hold), x.SD, x.Unit.Symbol())
	}
	for _, r := range f.Readings {
		about := joinWords(", ", pressureName(r.Of, r.To), r.Hold)
		l.plain("readings.read", about, r.Read, r.Unit.Symbol())
		l.add("readings.predicted", about, &r.Predicted)
	}
	for _, s := range f.Suspects {
		for _, p := range s.Without {
			l.path("suspects.without", p)
		}
	}
	for _, p := range f.Priors {
		l.add("priors.prior", p.Of, &p.Median)
	}
}
