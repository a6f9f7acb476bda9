package command

import (
	"errors"
	"fmt"

	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
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
		Flags: a.flags(formOfScreen,
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
			return writeScreen(p, a, format, "sealing in thought", func() (*advise.SealForecast, error) { return advise.Seal(s, o) }, report.WriteSeal)
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
