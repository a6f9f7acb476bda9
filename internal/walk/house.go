package walk

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// aboutHouse is what is asked of the house itself: once the first readings are in, for
// the fan does not wait for it.
var aboutHouse = []row{
	temperatureRow("indoor", func(h sheet.House) sheet.Temperature { return h.Indoor }),
	temperatureRow("outdoor", func(h sheet.House) sheet.Temperature { return h.Outdoor }),
	{step: "volume", ask: "volume of the house ({unit}), for air changes", kind: ofHouse("volume", volumes, func(h sheet.House) sheet.Volume { return h.Volume }),
		help: []string{"floor area times height, such as 14400 ft3 or 400 m3; skip leaves air changes out"}},
	{step: "floor area", ask: "floor area of the house ({unit})", kind: ofHouse("floor_area", floors, func(h sheet.House) sheet.Area { return h.FloorArea }),
		help: []string{"all heated floors together, such as 1800 ft2 or 167 m2; for limits, for ventilation, and to check the volume"}},
	{step: "bedrooms", ask: "bedrooms, how many", field: NumberField, kind: kind{standing: haveBedrooms, take: takeBedrooms, place: func(sc scene) sheet.Pos { return sc.book.Sheet().House.Bedrooms.Pos }},
		help: []string{"for the ventilation that is wanted; skip leaves it out"}},
}

// floors are areas of floor.
var floors = dimension[units.Area]{units.ParseArea, units.ParseAreaIn, func(v visit) units.Unit { return v.system().FloorArea() }, units.Unit.Pretty}

// The air outdoors that is taken without a word, −40 to 50 °C: judgement.
const (
	coldest = units.Temperature(233.15)
	hottest = units.Temperature(323.2)
)

// temperatureRow asks for a temperature of the air, for its density.
func temperatureRow(name string, have func(sheet.House) sheet.Temperature) row {
	return row{step: name, ask: name + " temperature ({unit})", kind: ofHouse(name, temperatures, have),
		help: []string{"such as 68 F or 20 C; without it the density of the air is left out, a few per cent of the flow"},
		remark: func(sc scene, answer string) []string {
			t, err := units.ParseTemperatureIn(answer, sc.system().Temperature())
			if err == nil && (t < coldest || t > hottest) {
				return []string{"look: " + t.Text(sc.system().Temperature(), 0) + " is hardly so: its sign, and its unit; back corrects it"}
			}
			return nil
		}}
}

// ofHouse is a quantity in the table of the house.
func ofHouse[Q ~float64](name string, d dimension[Q], have func(sheet.House) sheet.Quantity[Q]) kind {
	return d.reading(func(sc scene) sheet.Quantity[Q] { return have(sc.book.Sheet().House) },
		func(sc scene, text string) []change {
			return inTable("house", sc.book.Sheet().House.Pos, name+" = "+text)
		})
}

func haveBedrooms(sc scene, _ key) (state, answer string) {
	return given(sc.book.Sheet().House.Bedrooms)
}

func takeBedrooms(sc scene, _ key, answer string) ([]change, []string, error) {
	n, err := strconv.Atoi(answer)
	if err != nil || n < 0 || n > 100 {
		return nil, nil, refusef("write how many bedrooms there are, such as 3")
	}
	text, have := strconv.Itoa(n), sc.book.Sheet().House.Bedrooms
	if have.Given {
		return []change{corrected(have.Pos, text, sc.stamp())}, nil, nil
	}
	return inTable("house", sc.book.Sheet().House.Pos, "bedrooms = "+text), nil, nil
}

// lowHoldName is the hold of the walk through the house.
const lowHoldName = "as found, 25 Pa"

// lowHoldRow takes house and fan while the house stands at 25 Pa anyway.
var lowHoldRow = row{step: "25 Pa", field: TextField, ask: "at 25 Pa: house ({unit}) and fan flow, as the gauges show them", kind: kind{standing: lowHold, take: takeLowHold, unit: pressures.symbol, reading: true},
	parts: func(v visit) []Part {
		return []Part{{"house to outside", v.pressureUnit().Symbol()}, {"fan flow", v.flowUnit().Symbol()}}
	},
	write: []string{"two numbers, such as 25 1450, and behind them the flow range where it is not the one used at 50 Pa"},
	help:  []string{"it tells the exponent, and shows a slip in the fan flow; skip leaves it out"}}

func lowHold(sc scene, _ key) (state, answer string) {
	if ref, ok := sc.holdNamed(lowHoldName); ok && ref.hold.Finished() {
		return "done", strings.TrimSpace(ref.hold.House.Text + " " + ref.hold.Fan.Text)
	}
	return "", ""
}

func takeLowHold(sc scene, k key, answer string) ([]change, []string, error) {
	words := strings.Fields(answer)
	if len(words) == 3 {
		if _, err := units.ParseFlowUnit(words[2]); err == nil { // that of the flow: no range is called so
			words = []string{words[0], words[1] + " " + words[2]}
		}
	}
	if len(words) < 2 || len(words) > 3 {
		return nil, nil, refusef("write two numbers, the house pressure and the fan flow, such as 25 1450")
	}
	house, err := pressures.text(sc.visit, words[0])
	if err != nil {
		return nil, nil, err
	}
	fan, err := flows.text(sc.visit, words[1])
	if err != nil {
		return nil, nil, err
	}
	if ref, ok := sc.holdNamed(lowHoldName); ok && ref.hold.Finished() {
		return correctLow(sc, *ref.hold, sheet.StringText(house), sheet.StringText(fan), len(words) == 3)
	}
	block := fmt.Sprintf("%s\nhouse = %s\nfan = %s", sc.begun(lowHoldName), sheet.StringText(house), sheet.StringText(fan))
	if len(words) == 3 {
		block += "\nrange = " + sheet.StringText(words[2])
	}
	return []change{atEnd(block)}, nil, nil
}

// correctLow puts other readings in the place of those of the hold at 25 Pa.
func correctLow(sc scene, h sheet.Hold, house, fan string, ranged bool) ([]change, []string, error) {
	first, then := corrected(h.Fan.Pos, fan, sc.stamp()), corrected(h.House.Pos, house, sc.stamp())
	if !h.Fan.Given || ranged || h.Fan.Pos.Line == h.House.Pos.Line {
		return nil, nil, refusef("the hold is laid out otherwise in the sheet; correct it in an editor")
	}
	if h.House.Pos.Line > h.Fan.Pos.Line { // the later line first: it moves no other
		first, then = then, first
	}
	return []change{both(first, then)}, nil, nil
}

// rangeToo gives the hold at 25 Pa the flow range of the one at 50, where it was read
// without one of its own.
func rangeToo(sc scene, changes []change, text string) []change {
	ref, ok := sc.holdNamed(lowHoldName)
	if !ok || ref.hold.Range.Given() || sc.hold.name == lowHoldName || sc.hold.hold == nil || !sc.hold.hold.AsFound() {
		return changes
	}
	at := ref.hold.Fan.Pos.Line
	for i, c := range changes {
		if at > sc.hold.hold.Pos.Line { // the later hold first: its lines move no others
			changes[i] = both(afterLine(at, "range = "+text), c)
		}
	}
	return changes
}

// lessBaseline says what is left of a house pressure once its baseline is taken off.
func lessBaseline(sc scene, v units.Pressure, signed bool) []string {
	base := sc.firstHold().values().Baseline
	if !base.Given || base.Value == 0 {
		return nil
	}
	if below := sc.book.Sheet().Job.Depressurised(); !signed && below {
		v = -units.Abs(v)
	}
	net := units.Abs(v - base.Value)
	return []string{fmt.Sprintf("less the baseline of %s Pa: %s Pa", units.Fixed(float64(base.Value), 1), units.Fixed(math.Abs(float64(net)), 1))}
}

// dropped are changes that take out of the sheet the spaces that an answer no longer
// names. A space that was read stays.
func dropped(sc scene, names []string, note change) (change, []string) {
	var said []string
	zones := sc.book.Sheet().Zones
	for i := len(zones) - 1; i >= 0; i-- { // from the end: the lines before stay where they are
		z := zones[i]
		if z.Implied || slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, z.Name.Value) }) {
			continue
		}
		if speaksOf(sc.visit, z.Name.Value) {
			said = append(said, units.Sanitize(z.Name.Value)+" stays: the sheet has a reading of it")
			continue
		}
		note = both(note, blockOut(z.Pos.Line, sc.stamp()))
		said = append(said, units.Sanitize(z.Name.Value)+" is left out")
	}
	return note, said
}

// speaksOf tells whether anything in the sheet but its own table names a zone.
func speaksOf(v visit, zone string) bool {
	s := v.book.Sheet()
	for _, h := range s.Holds {
		for _, r := range h.Readings {
			if r.Of.Name == zone || r.To.Name == zone {
				return true
			}
		}
		for _, o := range h.Opened {
			if o.Between.Has(zone) {
				return true
			}
		}
		for _, c := range h.Sealed {
			if c.Between.Has(zone) {
				return true
			}
		}
	}
	return slices.ContainsFunc(s.Registers, func(r sheet.Register) bool { return r.Ducts.Name == zone }) ||
		slices.ContainsFunc(s.Paths, func(p sheet.Path) bool { return p.Between.Has(zone) }) ||
		slices.ContainsFunc(s.Zones, func(z sheet.Zone) bool {
			return slices.ContainsFunc(z.Touches, func(t sheet.SpaceRef) bool { return t.Name == zone })
		})
}

// blockOut makes comments of the table that starts at a line, up to a blank line or the
// next table.
func blockOut(line int, stamp string) change {
	return func(old []byte) []byte {
		from := start(old, line)
		to, text := from, ""
		for n := line; to < len(old); n++ {
			end := start(old, n+1)
			one := strings.TrimSpace(string(old[to:end]))
			if n > line && (one == "" || strings.HasPrefix(one, "[")) {
				break
			}
			text += remark(old, n, stamp+" left out")
			to = end
		}
		return slices.Concat(old[:from], []byte(text), old[to:])
	}
}
