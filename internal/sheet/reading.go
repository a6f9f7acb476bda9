package sheet

import (
	"math"
	"reflect"
	"strings"

	"holdbook/units"
)

// The rules of a key that is read by finish, with those it stands beside.
var aboveZero = rulesOf("above zero")

// pressuresTo is the everyday form of zone readings: a table of pressures to
// one space by the names of the zones.
func pressuresTo(space string) *kind {
	return &kind{form: braceForm,
		read: func(d *decoder, n *node, k *Key, table reflect.Value) {
			if !n.isTable() || len(n.items) > k.Max {
				d.fault(n.at, k.Name+` is a table of at most `+itoa(k.Max)+` readings; write `+k.Name+` = `+k.Sample)
				return
			}
			list := field[[]Reading](k, table)
			for _, c := range n.items {
				if r, ok := readPressure(d, c, space); ok {
					r.Form = k.Name
					*list = append(*list, r)
				}
			}
		},
		write: func(e *encoder, k *Key, table reflect.Value) string {
			var parts []string
			readings := *field[[]Reading](k, table)
			for i, r := range readings {
				if r.everyday(space, readings[:i]) {
					parts = append(parts, KeyText(r.Of.spelled())+" = "+writeQuantity(e, pressureOf, r.Pressure))
				}
			}
			return inBraces(parts)
		}}
}

// readPressure reads the pressure of one zone to a space.
func readPressure(d *decoder, n *node, space string) (Reading, bool) {
	zone := units.SanitizeTo(n.name, MaxName+1)
	if zone == "" || len([]rune(n.name)) > MaxName {
		d.fault(n.nameAt, "a zone's name has 1 to "+itoa(MaxName)+" characters; correct this one")
		return Reading{}, false
	}
	if n.isTable() && !n.isLog() {
		d.fault(n.nameAt, quoted(zone)+" is followed by another table where a pressure is wanted; write a name with a dot in quotes, and more than a pressure under readings")
		return Reading{}, false
	}
	at := d.src.pos(n.nameAt)
	r := Reading{Pos: at, Of: SpaceRef{Text: zone, Pos: at}, To: Ref(space)}
	r.To.Pos = at
	r.Pressure, _ = pressureOf.measured(d, n, nil)
	return r, true
}

// everyday says whether a reading fits the form to_house or to_outside: the
// first pressure of its zone to that space, and nothing else.
func (r Reading) everyday(to string, before []Reading) bool {
	if !r.Pressure.Given || r.Baseline.Given || r.PressureSD.Given || r.Note.Given() || r.Form == "readings" || fold(r.To.spelled()) != to {
		return false
	}
	for _, o := range before {
		if o.Pressure.Given && fold(o.Of.spelled()) == fold(r.Of.spelled()) && fold(o.To.spelled()) == to {
			return false
		}
	}
	return true
}

// writeReadings writes the full form of readings, for those that the everyday form
// does not fit.
func writeReadings(e *encoder, k *Key, table reflect.Value) string {
	var rest []string
	list := *field[[]Reading](k, table)
	for i := range list {
		if !list[i].everyday(HouseName, list[:i]) && !list[i].everyday(OutsideName, list[:i]) {
			rest = append(rest, e.braces(k.inner(), reflect.ValueOf(&list[i]).Elem()))
		}
	}
	return onLines(rest)
}

// later reads nothing: a reading's samples and sd take their dimension from what
// they stand beside, so that they are read when that is known, in finish.
func later(*decoder, *node, *Key, reflect.Value) {}

func writeSD(e *encoder, _ *Key, table reflect.Value) string {
	r := table.Addr().Interface().(*Reading)
	if r.PressureSD.Given {
		return writeQuantity(e, pressureOf, r.PressureSD)
	}
	if r.SD.Given {
		return writeText(shareOf.spell(r.SD.Value, "", e.system))
	}
	return ""
}

func (r *Reading) finish(d *decoder, n *node) {
	r.Form = "readings"
	if c := n.child("samples"); c != nil {
		r.readSamples(d, n, c)
	}
	pressure := n.child("pressure") != nil || r.Pressure.Given
	flow := n.child("flow") != nil || r.Flow.Given
	switch {
	case pressure && flow:
		d.fault(n.at, "a reading is a pressure or a flow; write them as two readings")
	case !pressure && !flow && n.child("samples") == nil && !d.broken:
		d.fault(n.at, `this reading has no value; write pressure = "-4.1 Pa", or flow = "63 cfm"`)
	case flow && r.Baseline.Given:
		d.fault(n.child("baseline").nameAt, "a flow has no baseline; take it out")
	}
	if c := n.child("sd"); c != nil {
		r.readSD(d, c)
	}
}

// readSamples reads samples as pressures, or as flows when the first is one or
// the log's column has a flow's unit.
func (r *Reading) readSamples(d *decoder, n, c *node) {
	isFlow := n.child("flow") != nil
	if n.child("pressure") == nil && c.form == listForm && len(c.items) > 0 {
		_, err := units.ParseFlow(c.items[0].text)
		isFlow = isFlow || err == nil
	}
	if unit := c.child("unit"); n.child("pressure") == nil && c.isTable() && unit != nil {
		_, err := units.ParseFlowUnit(unit.text)
		isFlow = isFlow || err == nil
	}
	if isFlow {
		if q, ok := flowOf.samples(d, c, "samples", "flow", r.Flow.Given, nil); ok {
			r.Flow = q
		}
	} else if q, ok := pressureOf.samples(d, c, "samples", "pressure", r.Pressure.Given, nil); ok {
		r.Pressure = q
	}
}

// readSD reads the standard deviation of a pressure, or of a flow as a share
// of it or as a flow.
func (r *Reading) readSD(d *decoder, n *node) {
	switch {
	case r.Pressure.Given:
		r.PressureSD, _ = pressureOf.one(d, n, aboveZero)
	case r.Flow.Given && n.form == stringForm && strings.Contains(n.text, "%"):
		r.SD, _ = shareOf.one(d, n, aboveZero)
	case r.Flow.Given && r.Flow.Value != 0:
		if q, ok := flowOf.one(d, n, aboveZero); ok {
			share := math.Abs(float64(q.Value / r.Flow.Value))
			r.SD = Number{Value: units.Ratio(share), Text: q.Text, Pos: q.Pos, Given: true}
		}
	}
}
