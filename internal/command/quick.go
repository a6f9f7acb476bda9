package command

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
	"holdbook/units"
)

// A quick command takes its readings from the command line, makes a sheet of them
// in memory, and goes the way of every sheet from there: a number cannot come out
// differently than it would from a file, and --save keeps the file. What it asks
// for stands in tables (quick_table.go); its flags, its completion, its help and
// its part of the manual page follow from them.

// quick is a command that answers one question.
type quick struct {
	name, question, about, examples string
	rows                            []row
	fixed                           []fixed                  // what the question itself says
	arg                             *argument                // nil: it takes none
	settle                          func(*sheet.Sheet)       // what follows from the readings; nil for nothing
	after                           string                   // what to mind afterwards
	then                            func(*sheet.Sheet) *then // nil: what the plan for the sheet says
}

// then is what resolves what a question leaves open: FILE stands for the sheet in the line
// to type.
type then struct {
	minutes float64
	what    string
	line    []string
}

// row is a flag: what it takes, where in the sheet that goes, and what to tell
// where it is needed and missing.
type row struct {
	flag   string
	kind   flagKind
	keys   string // as those of a place
	sample string
	need   string // what it is, for the message that it is missing; "" when it may be
	help   string
}

// place is a part of an argument, and the keys of the sheet that it goes to, parted
// by blanks: the names on the way with dots between, tables that may stand several
// times with their number. N and NAME stand for the number and the name of the
// argument, {flag} for the word of a flag.
type place struct {
	kind flagKind
	keys string
}

// fixed is a key with the text that the question itself gives it.
type fixed struct{ key, text string }

// argument is what a command takes as NAME=VALUE, as often as it was read.
type argument struct {
	form, sample string
	lacking      string   // what to say when there is none; "" when flags will do in its place
	also         []string // what a good line goes on with behind the sample
	name         place
	values       []place // one, or several parted by colons
	several      string  // what those are
}

// flagKind is what a flag or a part of an argument takes: how it is checked, and
// how it gets into the sheet.
type flagKind struct {
	value func(sample string) *value
	spell func(text string, s units.System) string // nil: as it was typed
	put   func(a *asked, text string)              // what else it says; nil for nothing
}

var (
	aPressure    = flagKind{value: newPressure, spell: withPascal}
	aFlow        = flagKind{value: newFlow, spell: withFlowUnit}
	aFanFlow     = flagKind{value: newFanFlow, spell: withFlowUnit}
	aVolume      = flagKind{value: quantityFlag(units.ParseVolume)}
	anArea       = flagKind{value: quantityFlag(units.ParseArea)}
	aLength      = flagKind{value: quantityFlag(units.ParseLength)}
	aTemperature = flagKind{value: quantityFlag(units.ParseTemperature)}
	aName        = flagKind{value: newText}
	aSpace       = flagKind{value: newText, put: (*asked).declare}
	someBaseline = flagKind{value: newBaselines, put: (*asked).baseline}
	aroundDucts  = flagKind{value: newSpaceReading, put: (*asked).surround}
)

// oneOf is a choice among words, the usual one first.
func oneOf(words ...string) flagKind {
	return flagKind{value: func(string) *value { return newChoice(words...) }}
}

func quantityFlag[Q ~float64](parse func(string) (Q, error)) func(string) *value {
	return func(sample string) *value { return newQuantity(sample, parse) }
}

// asked is a quick command in one run.
type asked struct {
	*quick
	*answerFlags
	p      *program
	save   *value
	values map[string]*value // by flag
	sheet  sheet.Sheet
	old    *sheet.Sheet // that a hold is added to; nil for none
	spaces []string     // that were read
	errs   []error      // of the sheet
}

// command makes the command of one run.
func (q *quick) command(p *program) *cli.Command {
	a := &asked{quick: q, answerFlags: newAnswerFlags(), p: p, save: newOwnFile("house.toml"), values: map[string]*value{}}
	c := &cli.Command{Name: q.name, Usage: q.question, Description: q.about, UsageText: q.examples, Action: a.run}
	c.Flags = append(append(a.rowFlags(), a.answerFlags.flags()...), flag(a.save, "save", "keep the readings as a sheet in this new `FILE`, to add to"))
	switch {
	case q.arg != nil && q.arg.lacking == "":
		c.ArgsUsage = "[" + q.arg.form + "...]"
	case q.arg != nil:
		c.ArgsUsage = q.arg.form + "..."
	}
	return c
}

// rowFlags are the flags of the rows, with their values.
func (a *asked) rowFlags() (list []cli.Flag) {
	for _, r := range a.rows {
		a.values[r.flag] = r.kind.value(r.sample)
		list = append(list, flag(a.values[r.flag], r.flag, r.help))
	}
	return list
}

// quickCommand is a quick command that stands by itself.
func quickCommand(q *quick) func(*program) *cli.Command {
	return func(p *program) *cli.Command {
		c := q.command(p)
		c.Category = groupQuick
		return c
	}
}

func (a *asked) run(c *cli.Context) error {
	args, err := a.arguments(c)
	if err != nil {
		return err
	}
	alone, first := a.arg != nil && a.arg.lacking == "" && len(args) > 0, 1
	if alone && a.someNeeded() {
		alone, first = false, 2 // after the reading that the flags give
	}
	if !alone {
		if err := a.require(); err != nil {
			return err
		}
	}
	a.fill(args, first)
	return a.answer()
}

// arguments are those of the command line, checked.
func (a *asked) arguments(c *cli.Context) ([]pair, error) {
	switch {
	case a.arg == nil:
		return nil, noArguments(c)
	case c.NArg() == 0 && a.arg.lacking != "":
		return nil, &usageError{text: a.arg.lacking, hints: []string{a.p.args.appended(append([]string{a.arg.sample}, a.arg.also...)...)}}
	}
	return a.arg.read(c.Args().Slice(), a.p.args)
}

// fill makes the sheet, the arguments in tables numbered from first.
func (a *asked) fill(args []pair, first int) {
	if a.name != addQuick.name {
		a.set(a.system().String(), "job.units", nil)
	}
	for _, f := range a.fixed {
		a.set(f.text, f.key, nil)
	}
	for _, r := range a.rows {
		v := a.values[r.flag]
		texts := v.all
		if v.given && !v.many {
			texts = []string{v.text}
		}
		for _, text := range texts {
			a.named(dashed(r.flag), func() { a.put(place{r.kind, r.keys}, text, nil) })
		}
	}
	for i, arg := range args {
		of := map[string]string{"N": strconv.Itoa(first + i), "NAME": arg.name}
		a.named(safe(arg.name), func() {
			a.put(a.arg.name, arg.name, of)
			for j, text := range a.arg.parts(arg.value) {
				a.put(a.arg.values[j], text, of)
			}
		})
	}
	if a.settle != nil {
		a.settle(&a.sheet)
	}
}

// named has the faults of what is put into the sheet speak of the flag or the argument
// that was typed, not of a key that nobody has seen.
func (a *asked) named(typed string, put func()) {
	n := len(a.errs)
	put()
	for i := range a.errs[n:] {
		if e := (*sheet.SetError)(nil); errors.As(a.errs[n+i], &e) {
			a.errs[n+i] = fmt.Errorf("%s: %s", typed, e.Why)
		}
	}
}

// put gets a text to its place; of is what stands for N and NAME.
func (a *asked) put(at place, text string, of map[string]string) {
	if at.kind.put != nil {
		at.kind.put(a, text)
	}
	if at.kind.spell != nil {
		text = at.kind.spell(text, a.system())
	}
	for _, key := range strings.Fields(at.keys) {
		a.set(text, key, of)
	}
}

// set gives a key of the sheet a text.
func (a *asked) set(text, key string, of map[string]string) {
	path := strings.Split(key, ".")
	for i, name := range path {
		path[i] = cmp.Or(of[name], name)
		if before, rest, found := strings.Cut(name, "{"); found {
			word, after, _ := strings.Cut(rest, "}")
			path[i] = before + cmp.Or(a.values[word].text, a.values[word].sample) + after
		}
	}
	if err := a.sheet.Set(text, path...); err != nil {
		a.errs = append(a.errs, err)
	}
}

// declare gives the sheet a zone where its name alone does not say what it is.
func (a *asked) declare(name string) {
	kind := kindOf(name)
	if strings.EqualFold(name, kind) || a.declared(name) {
		return // a kind word declares the zone by itself
	}
	of := map[string]string{"N": strconv.Itoa(len(a.sheet.Zones) + 1)}
	a.set(name, "zone.N.name", of)
	a.set(kind, "zone.N.kind", of)
}

// declared tells whether a zone of that name is there already.
func (a *asked) declared(name string) bool {
	same := func(z sheet.Zone) bool { return strings.EqualFold(z.Name.Value, name) }
	return a.old != nil && slices.ContainsFunc(a.old.Zones, same) || slices.ContainsFunc(a.sheet.Zones, same)
}

// kindOf is the kind that a name ends in: a "north attic" is an attic.
func kindOf(name string) string { return string(sheet.KindOf(name)) }

// nameHolds names the holds of the points of a test.
func nameHolds(s *sheet.Sheet) {
	for i := range s.Holds {
		s.Holds[i].Name = sheet.Word("at " + s.Holds[i].House.Text)
	}
	if len(s.Holds) == 1 {
		s.Holds[0].Name = sheet.Word(asFound)
	}
}

// asFound is the name of a hold in which nothing was changed.
const asFound = "as found"

func withPascal(text string, _ units.System) string {
	if _, err := units.ParsePressure(text); err == nil {
		return text
	}
	return text + " " + units.Pascal.Symbol()
}

func withFlowUnit(text string, s units.System) string {
	if _, _, err := units.ParseScaledFlow(text); err == nil {
		return text
	}
	return text + " " + s.Flow().Symbol()
}

// someNeeded says whether a flag was given that is needed where no argument stands.
func (a *asked) someNeeded() bool {
	return slices.ContainsFunc(a.rows, func(r row) bool { return r.need != "" && a.values[r.flag].given })
}

// require tells of all needed flags that are missing at once.
func (a *asked) require() error {
	var missing, line []string
	for _, r := range a.rows {
		if r.need != "" && !a.values[r.flag].given {
			missing = append(missing, fmt.Sprintf("%s (%s)", dashed(r.flag), r.need))
			line = append(line, dashed(r.flag), a.values[r.flag].sample)
		}
	}
	if missing == nil {
		return nil
	}
	return &usageError{text: "missing: " + strings.Join(missing, ", "), hints: []string{a.p.args.appended(line...)}}
}

// savedHead stands before the readings that --save keeps.
const savedHead = `# Readings given on the command line. Add to them as they are taken, then run:
#   holdbook report THIS-FILE
`

// answer takes the sheet the whole way. A fault found in it has no place in a file
// that anybody has seen.
func (a *asked) answer() error {
	format, err := a.chosenFormat("report", a.save.text)
	if err != nil {
		return err
	}
	if a.errs != nil {
		return &dataError{err: errors.Join(a.errs...)}
	}
	text := savedHead + string(sheet.Draft(&a.sheet))
	s, err := sheet.Parse([]byte(text), a.save.text)
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) {
		return &dataError{err: withoutPlaces(problems, text)}
	}
	if err != nil {
		return &dataError{err: err}
	}
	if a.save.given {
		if _, err := sheet.CreateText(a.save.text, []byte(text)); err != nil {
			return a.notSaved(err)
		}
		fmt.Fprintf(a.p.Stderr, "%s: the readings are kept in %s\n", Name, safe(a.save.text))
	}
	err = a.reply().write(s, format)
	if problems := (sheet.Problems)(nil); errors.As(err, &problems) && !a.save.given {
		return &dataError{err: withoutPlaces(problems, text)}
	}
	return err
}
