package command

import "github.com/urfave/cli/v2"

func ductCommand(p *program) *cli.Command {
	c := &cli.Command{
		Name:      "duct",
		Category:  groupQuick,
		Usage:     "what the ducts lose, by the test that was made",
		ArgsUsage: "TEST",
		Description: `Each test has its own flags. Air handler off, filter out and combustion
appliances off for every test but on/off, and back as found afterwards.`,
		UsageText: `holdbook duct subtraction --house 50 --open 2500 --covered 2300 --ducts 42
holdbook duct covers living=1.4 bath=5.2 --house 50`,
	}
	for i := range ductTests {
		c.Subcommands = append(c.Subcommands, ductTests[i].command(p))
	}
	return c
}
