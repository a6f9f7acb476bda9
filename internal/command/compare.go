package command

import (
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
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
		Flags: a.flags(formOfScreen, flag(sealed, "sealed", "the `SPACES` that were sealed off, or pairs such as house-attic, between commas; all other leaks then keep their exponent"),
			flag(fraction, "fraction", "of them this `SHARE` was to be sealed; all of it unless given")),
		Action: func(c *cli.Context) error {
			if c.NArg() != 2 {
				return &usageError{text: "compare takes two sheets, the one before and the one after",
					hints: []string{"holdbook compare before.toml after.toml"}}
			}
			sheets, format, err := p.screenSheets(a, c.Args().Slice()...)
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
			return writeScreen(p, a, format, "comparing", func() (*advise.ComparePlan, error) { return advise.Compare(sheets[0], sheets[1], o) }, report.WriteCompare)
		},
	}
}
