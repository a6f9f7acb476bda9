// Holdbook finds where a house leaks from a few readings taken beside a door
// fan. See README.md, or run: go run . demo
package main

import (
	_ "embed"
	"os"
	"runtime/debug"

	"holdbook/internal/command"
)

//go:embed testdata/demo.toml
var demo []byte

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(200) // a run is short and needs little memory: half the collections, a tenth of the time
	}
	os.Exit(command.Main(os.Args, command.Env{
		Stdin:  os.Stdin,
		Stdout: os.Stdout,
		Stderr: os.Stderr,
		Demo:   demo,
	}))
}
