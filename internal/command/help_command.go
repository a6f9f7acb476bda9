package command

import "github.com/urfave/cli/v2"

func helpCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "help",
		Category:  groupSetUp,
		Usage:     "show the commands, or the help of one",
		ArgsUsage: "[COMMAND]",
		UsageText: "holdbook help\nholdbook help zone\nholdbook help duct subtraction",
		Action: func(c *cli.Context) error {
			if c.NArg() == 0 {
				return p.printOverview()
			}
			found, next, err := p.find(len(p.args) - c.NArg())
			if err != nil {
				return err
			}
			if next < len(p.args) {
				return &usageError{
					text:  quote(p.args[next]) + " is one word too many",
					hints: []string{typed(p.args[:next]...)},
				}
			}
			return p.printHelp(found)
		},
	}
}
