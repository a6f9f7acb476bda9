package command

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// addQuick are the rows of a hold that is added to a sheet: those of zone, and what was
// changed for it.
var addQuick = quick{
	name:     "add",
	question: "one more hold into a sheet, from the command line",
	about: `Adds a hold to the end of SHEET, which is made if there is none, and answers
as zone does. NAME is any name that no hold of the sheet has yet; one that waits
for its readings is filled in. A hold lists all that differs from as found:
--opened house-attic, or attic for short, with =40in2 behind it where the size
of the hole is known, or =4in:24inx30in for a hatch or door ajar (gap, and leaf
with its hinge side first); --sealed house-ducts for covered registers. What
stands in the sheet is left as it is. A bare flow is in the units of the sheet.`,
	examples: `holdbook add visit.toml "as found" --house 50 --fan 2280 attic=44 ducts=0.4
holdbook add visit.toml hatch --opened attic --house 50 --fan 2610 attic=24
holdbook add visit.toml covers --sealed ducts --house 50 --fan 2190 ducts=42
holdbook add visit.toml "25 Pa" --house 25 --fan 1450`,
	rows: []row{
		houseHeld.with("`PRESSURE` of the house to outside during the hold"),
		{flag: "fan", kind: aFlow, keys: "hold.1.fan", sample: "2280", help: "door-fan `FLOW` during the hold"},
		{flag: "range", kind: aName, keys: "hold.1.range", sample: "open", help: "flow `RANGE` in use, by any name"},
		{flag: "baseline", kind: someBaseline, sample: "-1.2", help: "`PRESSURE` of the house to outside with the fan covered, or SPACE=PRESSURE of a space to the house; holds that follow take it over"},
		{flag: "opened", kind: anOpening, sample: "house-attic", help: "`A-B`, the two spaces that were opened to each other; =AREA behind it for a hole of known size, =GAP:LEAF for a hatch or door ajar"},
		{flag: "sealed", kind: aSealing, sample: "house-ducts", help: "`A-B`, the two spaces between which the leaks were covered"},
		{flag: "second-fan", kind: aSecondFan, sample: "garage-outside=410", help: "`A-B=FLOW` of a further fan that blows from A to B"},
		{flag: "to", kind: oneOf(sheet.HouseName, sheet.OutsideName), help: "`SPACE` the readings refer to: house (usual) or outside"},
	},
	arg: &argument{form: "SPACE=PRESSURE", sample: "attic=44",
		name: place{aSpace, ""}, values: []place{{aPressure, "hold.1.to_{to}.NAME"}}},
}

var (
	anOpening  = flagKind{value: severalPairs, put: (*asked).open}
	aSealing   = flagKind{value: severalPairs, put: (*asked).seal}
	aSecondFan = flagKind{value: severalPairs, put: (*asked).secondFan}
)

// severalPairs is a flag of two spaces that may be given again.
func severalPairs(sample string) *value { return &value{sample: sample, many: true} }

func addCommand(p *program) *cli.Command {
	q := addQuick
	a := &asked{quick: &q, answerFlags: newAnswerFlags(), p: p, save: newOwnFile(unsavedSheet), values: map[string]*value{}}
	c := &cli.Command{Name: q.name, Category: groupSheet, Usage: q.question, Description: q.about, UsageText: q.examples,
		ArgsUsage: "SHEET NAME [" + q.arg.form + "...]", Flags: a.rowFlags()}
	c.Flags = append(c.Flags, a.answerFlags.flags()...)
	c.Action = func(c *cli.Context) error { return a.add(c.Args().Slice()) }
	return c
}

// add reads the line and adds its hold.
func (a *asked) add(words []string) error {
	if len(words) < 2 || strings.Contains(words[1], "=") || words[0] == standardInput {
		return &usageError{text: "add takes the name of a sheet, and a name for the hold", hints: []string{firstExample(addCommand(a.p))}}
	}
	readings, err := a.arg.read(words[2:], a.p.args)
	if err == nil {
		err = a.require()
	}
	if err != nil {
		return err
	}
	a.save.text = words[0]
	format, err := a.chosenFormat(words[0])
	if err != nil {
		return err
	}
	if err := a.before(words[0]); err != nil {
		return err
	}
	for _, r := range readings {
		a.spaces = append(a.spaces, r.name)
	}
	a.set(words[1], "hold.1.name", nil)
	a.fill(readings, 1)
	if a.errs != nil {
		return &dataError{err: errors.Join(a.errs...)}
	}
	after, err := a.written()
	if err != nil {
		return err
	}
	fmt.Fprintf(a.p.Stderr, "%s: %s is added to %s\n", Name, quote(words[1]), safe(words[0]))
	return a.reply().write(after, format)
}

// before reads the sheet that there is, and takes the units of bare flows from it.
func (a *asked) before(name string) error {
	if _, err := os.Stat(name); errors.Is(err, os.ErrNotExist) {
		return nil
	}
	s, err := readable(sheet.Read(name))
	if err != nil {
		return err
	}
	if a.old = s; !a.units.given {
		a.units.text = s.Job.PrintUnits()
	}
	return nil
}

// written puts the hold into the file: at its end, in place of a hold of that name which
// still waits for its readings, or into a new one. What no house could be made of is not
// written.
func (a *asked) written() (*sheet.Sheet, error) {
	if a.old == nil {
		a.set(a.system().String(), "job.units", nil)
		text := savedHead + string(sheet.Draft(&a.sheet))
		if err := a.tried(sheet.Parse([]byte(text), a.save.text)); err != nil {
			return nil, a.fault(err, text)
		}
		s, err := sheet.CreateText(a.save.text, []byte(text))
		return s, a.fault(err, text)
	}
	h := a.sheet.Holds[0]
	for i := range a.old.Holds {
		if x := &a.old.Holds[i]; x.Name.Value == h.Name.Value && !x.Finished() {
			return a.filled(x, h)
		}
	}
	text := "\n"
	for _, z := range a.sheet.Zones {
		text += sheet.EncodeZone(z) + "\n"
	}
	text += sheet.EncodeHold(h, a.system().String())
	if err := a.tried(a.old.With(text)); err != nil {
		return nil, a.fault(err, text)
	}
	s, err := a.old.AppendText(text)
	return s, a.fault(err, text)
}

// tried is what keeps a sheet from being used, as far as the added hold is to blame.
func (a *asked) tried(s *sheet.Sheet, err error) error {
	if err != nil {
		return err
	}
	_, err = survey.NewCase(s, survey.Options{}, survey.NewLog(false))
	problems := sheet.Problems(nil)
	if errors.As(err, &problems) && (a.old == nil || problems[0].Pos.Line > a.old.Lines()) {
		return problems
	}
	return nil
}

// filled writes what was read into a hold that the sheet has begun, behind its name.
func (a *asked) filled(begun *sheet.Hold, h sheet.Hold) (*sheet.Sheet, error) {
	name := h.Name
	h.Name = sheet.Text{}
	_, lines, _ := strings.Cut(sheet.EncodeHold(h, a.system().String()), "\n")
	for _, z := range a.sheet.Zones {
		return nil, dataErrorf("the hold %s waits for its readings in line %d of the sheet, of which %s is no zone; write [[zone]] name = %s kind = %q into it first",
			quote(name.Value), begun.Pos.Line, quote(z.Name.Value), sheet.StringText(z.Name.Value), kindOf(z.Name.Value))
	}
	s, err := a.old.Edit(func(old []byte) []byte {
		all := slices.Collect(strings.Lines(string(old)))
		at := min(begun.Name.Pos.Line, len(all))
		if end := "\r\n"; at > 0 && strings.HasSuffix(all[at-1], end) {
			lines = strings.ReplaceAll(lines, "\n", end)
		}
		return []byte(strings.Join(slices.Insert(all, at, lines), ""))
	})
	return s, a.fault(err, lines)
}

// fault names what is wrong with an added hold by its own words, as its lines stand in no
// file, and what is wrong with the file by its place.
func (a *asked) fault(err error, added string) error {
	problems := sheet.Problems(nil)
	switch {
	case err == nil:
		return nil
	case !errors.As(err, &problems):
		return &dataError{err: err}
	case a.old == nil:
		return &dataError{err: withoutPlaces(problems, added)}
	}
	lines := a.old.Lines()
	for i := range problems {
		if n := problems[i].Pos.Line; n > lines {
			problems[i].Pos.Line = n - lines
		} else {
			return &dataError{err: problems}
		}
	}
	return &dataError{err: withoutPlaces(problems, added)}
}

// pairOf finds the two spaces in A-B, whose names may have hyphens themselves; one alone
// is joined to the house.
func (a *asked) pairOf(text string) (string, string, bool) {
	text = strings.TrimSpace(text)
	for i, r := range text {
		if r == '-' || r == '–' {
			one, two := strings.TrimSpace(text[:i]), strings.TrimSpace(strings.TrimPrefix(text[i:], string(r)))
			if a.isSpace(one) && a.isSpace(two) {
				return one, two, true
			}
		}
	}
	if a.isSpace(text) {
		return sheet.HouseName, text, true
	}
	return "", "", false
}

// isSpace tells whether a name is one of a space that is known.
func (a *asked) isSpace(name string) bool {
	same := func(known string) bool { return strings.EqualFold(known, name) }
	return a.declared(name) || slices.ContainsFunc(a.spaces, same) || strings.EqualFold(name, sheet.HouseName) || strings.EqualFold(name, sheet.OutsideName) ||
		slices.Contains(sheet.KindWords(), strings.ToLower(name))
}

// between sets the two ends of what was opened or sealed, and gives the number it stands
// under and what stands behind the equals sign.
func (a *asked) between(text, key string, n int) (value string, found bool) {
	ends, value, found := strings.Cut(text, "=")
	one, two, ok := a.pairOf(ends)
	if !ok {
		a.errs = append(a.errs, fmt.Errorf("%s names no two spaces of the sheet or of this line: write them as house-attic", quote(text)))
		return "", false
	}
	for _, name := range []string{one, two} {
		if !strings.EqualFold(name, sheet.HouseName) && !strings.EqualFold(name, sheet.OutsideName) {
			a.declare(name)
		}
	}
	if key != "" {
		a.set(one+", "+two, fmt.Sprintf("hold.1.%s.%d.between", key, n), nil)
	}
	return value, found
}

func (a *asked) open(text string) {
	n := len(a.firstHold().Opened) + 1
	size, found := a.between(text, "opened", n)
	key := fmt.Sprintf("hold.1.opened.%d.", n)
	gap, leaf, ajar := strings.Cut(size, ":")
	switch {
	case ajar:
		a.set(gap, key+"ajar", nil)
		a.set(leaf, key+"leaf", nil)
	case found:
		a.set(size, key+"area", nil)
	}
}

func (a *asked) seal(text string) { a.between(text, "sealed", len(a.firstHold().Sealed)+1) }

func (a *asked) secondFan(text string) {
	ends, flow, _ := strings.Cut(text, "=")
	one, two, ok := a.pairOf(ends)
	if _, err := parseFlow(flow); err != nil || !ok {
		a.errs = append(a.errs, fmt.Errorf("%s is no fan between two spaces of the sheet or of this line: write it as garage-outside=410", quote(text)))
		return
	}
	key := fmt.Sprintf("hold.1.fans.%d.", len(a.firstHold().Fans)+1)
	a.between(ends, "", 0)
	a.set(secondFanName, key+"name", nil)
	a.set(one, key+"from", nil)
	a.set(two, key+"to", nil)
	a.set(withFlowUnit(flow, a.system()), key+"flow", nil)
}

// secondFanName is the name of a further fan on the sheet, as plans give it too.
const secondFanName = "second fan"

// firstHold is the hold that is being made.
func (a *asked) firstHold() sheet.Hold {
	if len(a.sheet.Holds) == 0 {
		return sheet.Hold{}
	}
	return a.sheet.Holds[0]
}
