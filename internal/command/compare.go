package command

import (
	"bytes"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
)

func compareCommand(p *program) *cli.Command {
	a := newScreenFlags()
	sealed, fraction := newText("attic"), newFraction()
	return &cli.Command{
		Name:      "compare",
		Category:  groupSheet,
		Usage:     "what changed between two sheets of one house",
		ArgsUsage: "BEFORE AFTER",
		Description: `Estimates both sheets together, so that what they have in common (the same
fan in the same flow range) cancels, and says leak by leak whether a change is
real. With --sealed it holds the sealing to what seal promised of it.`,
		UsageText: `holdbook demo --sheet -o before.toml
holdbook compare before.toml before.toml
holdbook compare before.toml before.toml --sealed attic --fraction 0.8`,
		Flags: a.flags(flag(sealed, "sealed", "the `SPACES` that were sealed off, or pairs such as house-attic, between commas; all other leaks then keep their exponent"),
			flag(fraction, "fraction", "of them this `SHARE` was to be sealed; all of it unless given")),
		Action: func(c *cli.Context) error {
			before, after, format, err := p.twoSheets(c, a)
			if err != nil {
				return err
			}
			o := advise.CompareOptions{}
			for _, name := range strings.Split(sealed.text, ",") {
				if name = strings.TrimSpace(name); name != "" {
					o.Sealed = append(o.Sealed, name)
				}
			}
			if fraction.given {
				if len(o.Sealed) == 0 {
					return &usageError{text: "--fraction speaks of what was sealed; name it with --sealed", hints: []string{"holdbook compare before.toml after.toml --sealed attic --fraction 0.8"}}
				}
				v, _ := parseFraction(fraction.text)
				o.Fraction = float64(v)
			}
			end := p.working("comparing")
			plan, err := advise.Compare(before, after, o)
			end()
			if err != nil {
				return &dataError{err: err}
			}
			var b bytes.Buffer
			if err := report.WriteCompare(&b, plan, format, report.Options{Width: p.width(a.output.text)}); err != nil {
				return &dataError{err: err}
			}
			return p.writeResult(b.Bytes(), a.output.text)
		},
	}
}

// twoSheets reads the two sheets, in the units asked for, and the form.
func (p *program) twoSheets(c *cli.Context, a *screenFlags) (before, after *sheet.Sheet, format report.Format, err error) {
	if c.NArg() != 2 {
		return nil, nil, report.Text, &usageError{text: "compare takes two sheets, the one before and the one after",
			hints: []string{"holdbook compare before.toml after.toml"}}
	}
	if a.format.given {
		if format, err = report.ParseFormat(a.format.text); err != nil {
			return nil, nil, format, err
		}
	}
	sheets := make([]*sheet.Sheet, 2)
	for i := range sheets {
		name := c.Args().Get(i)
		if a.output.given && name != standardInput && sameFile(a.output.text, name) {
			return nil, nil, format, &usageError{text: "the output would overwrite the sheet " + safe(name) + "; name another file"}
		}
		if sheets[i], err = p.readSheet(name); err == nil {
			err = guardLogs(a.output.text, sheets[i])
		}
		if err != nil {
			return nil, nil, format, err
		}
		if a.units.given {
			sheets[i].Job.Units = sheet.Word(a.units.text)
		}
	}
	return sheets[0], sheets[1], format, nil
}
