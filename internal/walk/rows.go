package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbook/internal/sheet"
	"holdbook/units"
)

// row is one question of the visit as data. In its name, question and help stand
// {hold}, {of}, {to}, {ducts}, {register}, {opening}, {unit} and {sign} for what it is asked of.
type row struct {
	step   string // its name in the records of the sheet
	inHold bool   // it is asked of a hold, which its record names too
	ask    string
	write  []string // what may be written for its choices, which who picks them need not know
	help   []string
	must   bool // cannot be skipped
	kind   kind
	lines  func(scene) []string                                     // shown before it; nil for none
	once   []string                                                 // shown before it, the first time
	preset func(scene) string                                       // nil for none
	refuse func(sc scene, answer string) (said []string, err error) // what leaves the question standing, looked at first
	remark func(sc scene, answer string) []string                   // what to say of a good answer
	leave  func(sc scene, withdrawn []change) []change              // what stays behind of an answer that is withdrawn

	field   Field                // that of a reading is a number
	choices func(scene) []Choice // nil for none
	several bool                 // of the choices
	parts   func(visit) []Part   // nil for an answer of one
}

// scene is what a row is asked of: the visit as it stands, and in it a hold, two
// spaces, ducts, a register or an opening.
type scene struct {
	visit
	hold     holdRef
	pair     [2]string
	ducts    string
	register *sheet.Register
	opening  int // of the hold
}

// kind is how an answer is read and where in the sheet it goes.
type kind struct {
	// standing is the state that the sheet has of a step, and the answer.
	standing func(sc scene, k key) (state, answer string)
	take     func(sc scene, k key, answer string) (changes []change, said []string, err error)
	withdraw func(sc scene) []change // makes what stands undone; nil when that cannot be
	unit     func(visit) string      // of a bare number; nil where there is none
	place    func(scene) sheet.Pos   // of what stands; nil where it has no one place
	reading  bool                    // it may turn out not readable, and adds to what is known
}

// step is a row with what it is asked of: its texts are filled in.
type step struct {
	row
	key
	of     scene
	state  string // of the sheet's words: "" open, done, skipped, not readable
	answer string // as it stands in the sheet
}

// in makes the step of a row.
func (r row) in(sc scene) step {
	unit := ""
	if r.kind.unit != nil {
		unit = r.kind.unit(sc.visit)
	}
	k := key{step: sc.fill(r.step, "", asIs)}
	if r.inHold {
		k.hold = sc.hold.name
	}
	r.ask, r.help = sc.fill(r.ask, unit, units.Sanitize), slices.Clone(r.help)
	for i, line := range r.help {
		r.help[i] = sc.fill(line, unit, units.Sanitize)
	}
	s := step{row: r, key: k, of: sc}
	s.state, s.answer = r.kind.standing(sc, k)
	if s.state == "" {
		if state, _ := sc.settled(k); state != "done" { // it was passed over
			s.state = state
		}
	}
	return s
}

// withdrawal makes the answer undone; nil when that cannot be.
func (s step) withdrawal() []change {
	if s.kind.withdraw == nil {
		return nil
	}
	changes := s.kind.withdraw(s.of)
	if changes != nil && s.leave != nil {
		changes = s.leave(s.of, changes)
	}
	return changes
}

// take turns an answer into changes of the sheet. Without changes the question
// stands, and what is said goes with it.
func (r row) take(sc scene, k key, answer string) ([]change, []string, error) {
	if r.refuse != nil {
		if said, err := r.refuse(sc, answer); said != nil || err != nil {
			return nil, said, err
		}
	}
	changes, said, err := r.kind.take(sc, k, answer)
	if err == nil && r.remark != nil {
		said = append(said, r.remark(sc, answer)...)
	}
	return changes, said, err
}

func asIs(s string) string { return s }

// fill puts what a row is asked of into its text.
func (sc scene) fill(text, unit string, shown func(string) string) string {
	register, sign := "", "-"
	if !sc.book.Sheet().Job.Depressurised() {
		sign = ""
	}
	if sc.register != nil {
		register = sc.register.Name.Value
	}
	return strings.NewReplacer("{hold}", shown(sc.hold.name), "{of}", shown(sc.pair[0]), "{to}", shown(sc.pair[1]), "{ducts}", shown(sc.ducts),
		"{register}", shown(register), "{opening}", strconv.Itoa(sc.opening+1), "{unit}", unit, "{sign}", sign).Replace(text)
}

// steps makes the steps of rows.
func (sc scene) steps(rows ...row) []step {
	list := make([]step, len(rows))
	for i, r := range rows {
		list[i] = r.in(sc)
	}
	return list
}

// shows are lines that do not hang on the sheet.
func shows(lines ...string) func(scene) []string {
	return func(scene) []string { return lines }
}

// always is a default that does not hang on the sheet.
func always(answer string) func(scene) string {
	return func(scene) string { return answer }
}

// picks are choices that do not hang on the sheet: answers and their texts in turn.
func picks(texts ...string) func(scene) []Choice {
	var list []Choice
	for pair := range slices.Chunk(texts, 2) {
		list = append(list, Choice{Answer: pair[0], Text: pair[1]})
	}
	return func(scene) []Choice { return list }
}

// recorded is what the records of the sheet have of a step.
func recorded(sc scene, k key) (state, answer string) { return sc.settled(k) }

// yes is the kind of a list that must be gone through: it is recorded.
func yes(have func(sc scene, k key) (state, answer string)) kind {
	return kind{standing: have, take: func(sc scene, k key, answer string) ([]change, []string, error) {
		if !isYes(answer) {
			return nil, nil, refusef("write yes once every line is done, or stop")
		}
		return []change{sc.noted(k, "done", "yes")}, nil, nil
	}}
}

// dimension is what a quantity is measured in.
type dimension[Q ~float64] struct {
	parse   func(string) (Q, error)
	parseIn func(string, units.Unit) (Q, error)
	bare    func(visit) units.Unit  // the unit of a bare number
	show    func(units.Unit) string // in the question
}

var (
	pressures    = dimension[units.Pressure]{units.ParsePressure, units.ParsePressureIn, visit.pressureUnit, units.Unit.Symbol}
	flows        = dimension[units.Flow]{units.ParseFlow, units.ParseFlowIn, visit.flowUnit, units.Unit.Symbol}
	gaps         = dimension[units.Length]{units.ParseLength, units.ParseLengthIn, gapUnit, units.Unit.Symbol}
	areas        = dimension[units.Area]{units.ParseArea, units.ParseAreaIn, func(v visit) units.Unit { return v.system().Area() }, units.Unit.Symbol}
	temperatures = dimension[units.Temperature]{units.ParseTemperature, units.ParseTemperatureIn, func(v visit) units.Unit { return v.system().Temperature() }, units.Unit.Symbol}
	volumes      = dimension[units.Volume]{units.ParseVolume, units.ParseVolumeIn, func(v visit) units.Unit { return v.system().Volume() }, units.Unit.Pretty}
)

// text is an answer with its unit: its own, or that of a bare number.
func (d dimension[Q]) text(v visit, answer string) (string, error) {
	if _, err := d.parse(answer); err == nil {
		return answer, nil
	}
	if _, err := d.parseIn(answer, d.bare(v)); err != nil {
		return "", refusef("%s", err)
	}
	return answer + " " + d.bare(v).Symbol(), nil
}

// symbol is the unit of a bare number in the question.
func (d dimension[Q]) symbol(v visit) string { return d.show(d.bare(v)) }

// reading is the kind of a quantity: where it stands in the sheet, and how it is
// written where it does not stand yet.
func (d dimension[Q]) reading(have func(scene) sheet.Quantity[Q], fresh func(sc scene, text string) []change) kind {
	return kind{reading: true, unit: d.symbol, place: func(sc scene) sheet.Pos { return have(sc).Pos },
		standing: func(sc scene, _ key) (state, answer string) { return given(have(sc)) },
		take: func(sc scene, _ key, answer string) ([]change, []string, error) {
			text, err := d.text(sc.visit, answer)
			if err != nil {
				return nil, nil, err
			}
			text = sheet.StringText(text)
			switch have := have(sc); {
			case !have.Given:
				return fresh(sc, text), nil, nil
			case len(have.Samples) > 0:
				return nil, nil, refusef("a list of samples stands there; correct it in an editor")
			default:
				return []change{corrected(have.Pos, text, sc.stamp())}, nil, nil
			}
		},
		withdraw: func(sc scene) []change {
			if have := have(sc); have.Given && len(have.Samples) == 0 {
				return []change{withdrawn(have.Pos, sc.stamp())}
			}
			return nil
		}}
}

// given is the state and the answer that a quantity of the sheet stands for.
func given[Q ~float64](q sheet.Quantity[Q]) (state, answer string) {
	switch {
	case !q.Given:
		return "", ""
	case len(q.Samples) > 0:
		return "done", fmt.Sprintf("the mean of %d samples", len(q.Samples))
	}
	return "done", q.Text
}

// gapUnit is the unit of a bare gap.
func gapUnit(v visit) units.Unit {
	if v.system() == units.SI {
		return units.Centimetre
	}
	return units.Inch
}
