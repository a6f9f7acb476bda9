package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
)

func compareCommand(p *program) *cli.Command {
	a := newScreenFlags()
	a.format = newChoice(append(a.format.words, report.HPXML.String())...)
	sealed, fraction := newText("attic"), newFraction()
	sealed.many = true
	free := false
	return &cli.Command{
		Name:      "compare",
		Category:  groupSheet,
		Usage:     "what changed between two sheets of one house",
		ArgsUsage: "BEFORE AFTER [AFTER …]",
		Description: `Estimates both sheets together, so that what they have in common (the same
fan in the same flow range) cancels. Say what was sealed: all other leaks are
then taken as unchanged within 10 %, one hold after the work tells what it did,
and the fan is held to what the pressures tell. Further sheets are compared in
turn, each with the one before.`,
		UsageText: `holdbook demo --sheet -o before.toml
holdbook compare before.toml before.toml
holdbook compare before.toml before.toml --sealed house-attic --fraction 0.8
holdbook compare before.toml before.toml before.toml
holdbook compare before.toml before.toml -o change.xml`,
		Flags: a.flags("the screen: text, markdown, json, html or hpxml; text unless the name behind -o says otherwise",
			flag(sealed, "sealed", "what was sealed: a `PAIR` such as house-attic, or a space; as often as needed, or between commas"),
			&cli.BoolFlag{Name: "free", Usage: "leave the leaks that were not sealed free to change", Destination: &free},
			flag(fraction, "fraction", "of them this `SHARE` was to be sealed; all of it unless given")),
		Action: func(c *cli.Context) error {
			if c.NArg() < 2 {
				return &usageError{text: "compare takes two sheets, the one before and the one after, and further ones in turn",
					hints: []string{"holdbook compare before.toml after.toml --sealed house-attic"}}
			}
			sheets, format, err := p.screenSheets(a, c.Args().Slice()...)
			if err != nil {
				return err
			}
			o, err := compareOptions(sealed, fraction, free)
			if err != nil {
				return err
			}
			if o.Stock, err = stockOf(a.stock); err != nil {
				return err
			}
			if format == report.HPXML {
				return writeExchange(p, a, sheets, o)
			}
			return writeScreen(p, a, format, "comparing", func() ([]*advise.ComparePlan, error) { return advise.CompareVisits(sheets, o) }, report.WriteCompare)
		},
	}
}

// compareOptions are what was sealed, as the flags say it.
func compareOptions(sealed, fraction *value, free bool) (advise.CompareOptions, error) {
	o := advise.CompareOptions{Sealed: advise.ParseSealed(sealed.text), Free: free}
	if len(o.Sealed) == 0 && (free || fraction.given) {
		return o, &usageError{text: "--fraction and --free speak beside what was sealed; name it with --sealed", hints: []string{"holdbook compare before.toml after.toml --sealed house-attic --fraction 0.8"}}
	}
	if fraction.given {
		v, _ := advise.ParseShare(fraction.text)
		o.Fraction = float64(v)
	}
	return o, nil
}
