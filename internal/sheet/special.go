package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbook/units"
)

// Keys that are like no other, and what is checked once a table is read.

func versionKey() key[Sheet] {
	return key[Sheet]{
		name: "sheet",
		read: func(d *decoder, n *node, _ *Sheet) {
			if n.form != numberForm || n.text != strconv.Itoa(Version) {
				d.fault(n.at, "sheet is the version of the file's format, and this program reads version 1; write sheet = 1")
			}
		},
		write: func(*encoder, *Sheet) string { return strconv.Itoa(Version) },
	}
}

// parseTarget reads a fan flow or air changes an hour.
func parseTarget(s string) (Target, error) {
	if flow, err := flowOf.check(s); err == nil && flow > 0 {
		return Target{Flow: Written(flow, s)}, nil
	}
	rate, err := rateOf.check(s)
	if err != nil || rate <= 0 {
		return Target{}, message(quoted(s) + `: neither a flow nor air changes at 50 Pa; write "1500 cfm" or "3 1/h"`)
	}
	return Target{AirChanges: Written(rate, s)}, nil
}

func putTarget(j *Job, t Target, at Pos) {
	t.Flow.Pos, t.AirChanges.Pos = at, at
	j.Target = t
}

func targetText(j *Job) string {
	if j.Target.Flow.Given {
		return flowOf.write(j.Target.Flow.Value, j.Target.Flow.Text, j.PrintUnits())
	}
	if j.Target.AirChanges.Given {
		return rateOf.write(j.Target.AirChanges.Value, j.Target.AirChanges.Text, j.PrintUnits())
	}
	return ""
}

// message is an error that is its text.
type message string

func (m message) Error() string { return string(m) }

func pressureUnit(s string) error { _, err := units.ParsePressureUnit(s); return err }
func flowUnit(s string) error     { _, err := units.ParseFlowUnit(s); return err }

// unitKey is a key whose value is the symbol of a unit.
func unitKey(name string, known func(string) error, at func(*Bare) *Text) key[Bare] {
	k := text(name, MaxName, at)
	k.read = func(d *decoder, n *node, to *Bare) {
		t, ok := readText(d, n, MaxName)
		if !ok {
			return
		}
		if err := known(t.Value); err != nil {
			d.fault(n.at, err.Error())
			return
		}
		*at(to) = t
	}
	return k
}

func (t Tolerance) spelled() string {
	if !t.Given || t.Text != "" {
		return t.Text
	}
	share := shareOf.write(t.Relative, "", "")
	return share + " or " + pressureOf.write(t.Absolute, "", "")
}

// amount is a key whose value is a limit's number.
func amount(name string, at func(*Limit) *Amount) key[Limit] {
	return parsed(name, parseAmount,
		func(l *Limit, a Amount, pos Pos) { a.Pos = pos; *at(l) = a },
		func(l *Limit) string { return at(l).Text })
}

// spaces is a key whose value is a list of names of spaces.
func spaces[T any](name string, at func(*T) *[]SpaceRef) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form != listForm || len(n.items) == 0 || len(n.items) > MaxZones+2 {
				d.fault(n.at, name+" is a list of spaces; write "+name+` = ["house", "outside"]`)
				return
			}
			for _, c := range n.items {
				if ref, ok := readSpace(d, c); ok {
					*at(to) = append(*at(to), ref)
				}
			}
		},
		write: func(_ *encoder, from *T) string {
			names := make([]string, len(*at(from)))
			for i, ref := range *at(from) {
				names[i] = writeText(ref.spelled())
			}
			return bracketed(names)
		},
	}
}

// words is a key whose value is a list of a few words.
func words[T any](name string, at func(*T) *[]Text, allowed ...string) key[T] {
	return key[T]{
		name: name,
		read: func(d *decoder, n *node, to *T) {
			if n.form != listForm || len(n.items) > len(allowed) {
				d.fault(n.at, name+` is a list of words; write `+name+` = ["`+strings.Join(allowed, `", "`)+`"], or one of them`)
				return
			}
			for _, c := range n.items {
				if t, ok := readWord(d, c, allowed); ok {
					*at(to) = append(*at(to), t)
				}
			}
		},
		write: func(_ *encoder, from *T) string {
			var list []string
			for _, t := range *at(from) {
				list = append(list, writeText(t.Value))
			}
			return bracketed(list)
		},
	}
}

// finishZone takes the kind from the name when only the name says it.
func finishZone(_ *decoder, _ *node, z *Zone) {
	z.Kind = Kind(z.KindText.Value)
	if z.Kind != "" {
		return
	}
	z.Kind = Other
	if k := Kind(fold(z.Name.Value)); slices.Contains(kinds, string(k)) {
		z.Kind = k
	}
}

func spreadRule(v units.Ratio) string {
	if v <= 1 || v > 1000 {
		return "is a factor; write a number above 1, such as 3 for a third to three times"
	}
	return ""
}

func finishPath(d *decoder, n *node, p *Path) {
	needs := func(key, other string) {
		if n.child(key) != nil && n.child(other) == nil && !d.broken {
			d.fault(n.child(key).nameAt, key+" says how well "+other+" is known; write "+other+" too")
		}
	}
	needs("exponent_sd", "exponent")
	needs("spread", "flow_50")
}

func finishHold(d *decoder, n *node, h *Hold) {
	if h.FanScaledTo.Given && n.child("fan") == nil && n.child("fan_samples") == nil && !d.broken {
		d.fault(n.child("fan_scaled_to").nameAt, "fan_scaled_to speaks of a fan flow; write fan too")
	}
}

// pressuresTo is the everyday form of zone readings: a table of pressures to
// one space by the names of the zones.
func pressuresTo(name, to string) key[Hold] {
	return key[Hold]{
		name: name,
		read: func(d *decoder, n *node, h *Hold) {
			if !n.isTable() || len(n.items) > MaxReadings {
				d.fault(n.at, name+` is a table of at most `+itoa(MaxReadings)+` readings; write `+name+` = { attic = "44 Pa" }`)
				return
			}
			for _, c := range n.items {
				readPressureTo(d, c, h, name, to)
			}
		},
		write: func(e *encoder, h *Hold) string { return writePressuresTo(e, h, to) },
	}
}

func readPressureTo(d *decoder, n *node, h *Hold, form, to string) {
	zone := units.SanitizeTo(n.name, MaxName+1)
	if zone == "" || len([]rune(n.name)) > MaxName {
		d.fault(n.nameAt, "a zone's name has 1 to "+itoa(MaxName)+" characters; correct this one")
		return
	}
	if n.isTable() && !n.isLog() {
		d.fault(n.nameAt, quoted(zone)+" is followed by another table where a pressure is wanted; write a name with a dot in quotes, and more than a pressure under readings")
		return
	}
	at := d.src.pos(n.nameAt)
	r := Reading{Pos: at, Of: SpaceRef{Text: zone, Pos: at}, To: Ref(to), Form: form}
	r.To.Pos = at
	k := measured("", pressureOf, func(r *Reading) *Pressure { return &r.Pressure })
	k.read(d, n, &r)
	h.Readings = append(h.Readings, r)
}

func readingsKey() key[Hold] {
	k := many("readings", MaxReadings, &readingTable, func(h *Hold) *[]Reading { return &h.Readings })
	k.write = writeReadings
	return k
}

// The keys samples and sd take their dimension from the reading they stand
// with, so finishReading reads them; here they are only known to exist.

func samplesOfReading() key[Reading] {
	return key[Reading]{name: "samples", read: func(*decoder, *node, *Reading) {}}
}

func sdKey() key[Reading] {
	return key[Reading]{name: "sd", read: func(*decoder, *node, *Reading) {}, write: writeSD}
}

func finishReading(d *decoder, n *node, r *Reading) {
	r.Form = "readings"
	if c := n.child("samples"); c != nil {
		readingSamples(d, n, c, r)
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
		readSD(d, c, r)
	}
}

// readingSamples reads samples as pressures, or as flows when the first is one
// or the log's column has a flow's unit.
func readingSamples(d *decoder, n, c *node, r *Reading) {
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
		samples("samples", "flow", flowOf, func(r *Reading) *Flow { return &r.Flow }).read(d, c, r)
		return
	}
	samples("samples", "pressure", pressureOf, func(r *Reading) *Pressure { return &r.Pressure }).read(d, c, r)
}

// readSD reads the standard deviation of a pressure, or of a flow as a share
// of it or as a flow.
func readSD(d *decoder, n *node, r *Reading) {
	switch {
	case r.Pressure.Given:
		quantity("sd", pressureOf, func(r *Reading) *Pressure { return &r.PressureSD }, aboveZero).read(d, n, r)
	case r.Flow.Given && n.form == stringForm && strings.Contains(n.text, "%"):
		quantity("sd", shareOf, func(r *Reading) *Number { return &r.SD }, aboveZero).read(d, n, r)
	case r.Flow.Given && r.Flow.Value != 0:
		q, ok := readQuantity(d, n, flowOf, []rule[units.Flow]{aboveZero[units.Flow]})
		if ok {
			share := math.Abs(float64(q.Value / r.Flow.Value))
			r.SD = Number{Value: units.Ratio(share), Text: q.Text, Pos: q.Pos, Given: true}
		}
	}
}
