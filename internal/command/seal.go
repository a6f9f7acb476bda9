package command

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
	"holdbook/units"
)

func sealCommand(p *program) *cli.Command {
	a := newScreenFlags()
	fraction, target := newFraction(), newTarget()
	return &cli.Command{
		Name:      "seal",
		Category:  groupSheet,
		Usage:     "what sealing each leak would do, and in which order",
		ArgsUsage: "SHEET",
		Description: `Seals each leak of the house in thought, solves every pressure again, and
says by how much the fan flow at 50 Pa would fall, what to seal first, and
what the fan should read after each step.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook seal house.toml
holdbook seal house.toml --target "1500 cfm"
holdbook seal house.toml --target "5 /h" --fraction 0.8`,
		Flags: a.flags(
			flag(fraction, "fraction", "seal this `SHARE` of each leak; all of it unless given"),
			flag(target, "target", "a fan flow at 50 Pa, or air changes an hour, to reach: `AMOUNT` with its unit"),
		),
		Action: func(c *cli.Context) error {
			s, format, err := p.screenSheet(c, a)
			if err != nil {
				return err
			}
			o := advise.SealOptions{}
			if fraction.given {
				v, _ := parseFraction(fraction.text)
				o.Fraction = float64(v)
			}
			if target.given {
				o.Flow, o.AirChanges, _ = parseTarget(target.text)
			}
			end := p.working("sealing in thought")
			f, err := advise.Seal(s, o)
			end()
			if err != nil {
				return &dataError{err: err}
			}
			var b bytes.Buffer
			if err := report.WriteSeal(&b, f, format, report.Options{Width: p.width(a.output.text)}); err != nil {
				return &dataError{err: err}
			}
			return p.writeResult(b.Bytes(), a.output.text)
		},
	}
}

// newFraction is the flag of a share between 0 and 1.
func newFraction() *value { return newQuantity("0.8", parseFraction) }

func parseFraction(text string) (units.Ratio, error) {
	v, err := units.ParseRatioIn(text, units.One)
	if err == nil && !(v >= 0.01 && v <= 1) {
		err = fmt.Errorf("%s: a share is between 0.01 and 1", quote(text))
	}
	return v, err
}

// newTarget is the flag of what to reach.
func newTarget() *value {
	v := &value{sample: "1500 cfm", mend: mendNumber}
	v.check = func(text string) error {
		_, _, err := parseTarget(text)
		return err
	}
	return v
}

// parseTarget reads a flow, or air changes such as "5 /h".
func parseTarget(text string) (units.Flow, units.Rate, error) {
	if flow, err := units.ParseFlow(text); err == nil && flow > 0 {
		return flow, 0, nil
	}
	rate, err := units.ParseRate(text)
	if err != nil || !(rate > 0) {
		return 0, 0, errors.New("write a flow such as 1500 cfm, or air changes such as 5 /h")
	}
	return 0, rate, nil
}

// screenFlags are the flags of commands that print a screen of their own.
type screenFlags struct {
	units, format, output *value
}

func newScreenFlags() *screenFlags {
	return &screenFlags{units: newChoice("ip", "si"), format: newChoice("text", "markdown", "json"), output: newFile("plan.md")}
}

func (a *screenFlags) flags(own ...cli.Flag) []cli.Flag {
	return append(own,
		flag(a.units, "units", "`SYSTEM` to print in: ip (cfm, in2) or si (m3/h, cm2)"),
		flag(a.format, "format", "`FORM` of the screen: text, markdown or json"),
		flag(a.output, "output", "write to `FILE` instead of the screen; whole or not at all", "o"))
}

// screenSheet reads the one sheet such a command takes, in the units asked for,
// and the form to write in.
func (p *program) screenSheet(c *cli.Context, a *screenFlags) (*sheet.Sheet, report.Format, error) {
	name, err := p.oneSheet(c)
	if err != nil {
		return nil, report.Text, err
	}
	if a.output.given && name != standardInput && sameFile(a.output.text, name) {
		return nil, report.Text, &usageError{text: fmt.Sprintf("the output would overwrite the sheet %s; name another file", safe(name))}
	}
	format := report.Text
	if a.format.given {
		if format, err = report.ParseFormat(a.format.text); err != nil {
			return nil, format, err
		}
	}
	s, err := p.readSheet(name)
	if err == nil {
		err = guardLogs(a.output.text, s)
	}
	if err != nil {
		return nil, format, err
	}
	if a.units.given {
		s.Job.Units = sheet.Word(a.units.text)
	}
	return s, format, nil
}
