package command

import (
	"github.com/urfave/cli/v2"
	"holdbook/internal/sheet"
)

// ductTests lists the tests of ducts; a new one is one file and one line.
var ductTests = []func(*program) *cli.Command{
	ductSubtraction,
	ductRegister,
	ductCovers,
	ductTotal,
	ductOutside,
	ductOnOff,
}

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
	for _, build := range ductTests {
		c.Subcommands = append(c.Subcommands, build(p))
	}
	return c
}

// The words that every duct sheet uses: the zone, which a kind word declares
// by itself, and the path that the registers are.
const (
	ducts        = string(sheet.DuctsKind)
	registerPath = `{ between = ["house", "ducts"] }`
)

// ductHold starts a hold of a duct test.
func (t *sheetText) ductHold(name, house string) {
	t.table("[hold]")
	t.key("name", name)
	t.pressure("house", house)
}

// sealRegisters says that the registers are covered in the hold begun last.
func (t *sheetText) sealRegisters() { t.line("sealed = [ %s ]", registerPath) }

func housePressure() *value { return newPressure("50") }
