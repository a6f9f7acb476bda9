package command

import (
	"errors"

	"github.com/urfave/cli/v2"
	"holdbook/internal/advise"
	"holdbook/internal/report"
	"holdbook/internal/survey"
	"holdbook/units"
)

func nextCommand(p *program) *cli.Command {
	a := newScreenFlags()
	about, minutes, oneFan := newText("attic"), newQuantity("20 min", parseMinutes), false
	return &cli.Command{
		Name:      "next",
		Category:  groupSheet,
		Usage:     "what to read next while the fan runs, and when enough is known",
		ArgsUsage: "SHEET",
		Description: `Predicts for every reading still open what it would settle, ranks them, and
prints the block to fill in. On a sheet that has spaces but no holds yet it is
the plan of the visit.`,
		UsageText: `holdbook demo --sheet -o house.toml
holdbook next house.toml
holdbook next house.toml --about attic
holdbook next house.toml --minutes 20 --one-fan`,
		Flags: a.flags(formOfScreen,
			flag(about, "about", "settle what comes through this `SPACE`; all of them unless given"),
			flag(minutes, "minutes", "how many `MINUTES` there are: leave out what takes longer, or before any hold plan the visit within them"),
			&cli.BoolFlag{Name: "one-fan", Usage: "leave out what takes a second fan", Destination: &oneFan},
		),
		Action: func(c *cli.Context) error {
			s, format, err := p.screenSheet(c, a)
			if err != nil {
				return err
			}
			known, err := stockOf(a.stock)
			if err != nil {
				return err
			}
			o := advise.NextOptions{Options: survey.Options{Stock: known}, About: about.text, OneFan: oneFan}
			if minutes.given {
				v, _ := parseMinutes(minutes.text)
				o.Minutes = float64(v) / 60
			}
			return writeScreen(p, a, format, "predicting readings", func() (*advise.NextPlan, error) { return advise.Next(s, o) }, report.WriteNext)
		},
	}
}

// parseMinutes reads a time; a bare number is in minutes.
func parseMinutes(text string) (units.Time, error) {
	v, err := units.ParseTimeIn(text, units.Minute)
	if err == nil && !(v > 0) {
		err = errors.New("write how many minutes there are, such as 20")
	}
	return v, err
}
