package command

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// completeWord is what the completion scripts put before the words typed so
// far. Every word behind it is taken as data: nothing is run, opened or
// evaluated.
const completeWord = "__complete"

// filesWanted is the line that asks the shell for its own file completion.
const filesWanted = ":files"

//go:embed completion.bash
var completionBash string

//go:embed completion.zsh
var completionZsh string

//go:embed completion.fish
var completionFish string

//go:embed completion.ps1
var completionPowerShell string

var completionScripts = map[string]string{
	"bash": completionBash, "zsh": completionZsh, "fish": completionFish, "powershell": completionPowerShell,
}

var shells = []string{"bash", "zsh", "fish", "powershell"}

func completionCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "completion",
		Category:  groupSetUp,
		Usage:     "print a script that lets a shell complete commands and flags",
		ArgsUsage: strings.Join(shells, "|"),
		Description: `Load it in the shell's own start-up file:

  bash        source <(holdbook completion bash)
  zsh         source <(holdbook completion zsh)
  fish        holdbook completion fish | source
  PowerShell  holdbook completion powershell | Out-String | Invoke-Expression`,
		UsageText: "holdbook completion bash",
		Action: func(c *cli.Context) error {
			script, ok := completionScripts[c.Args().First()]
			if !ok || c.NArg() != 1 {
				return &usageError{text: "completion needs the name of one shell: " + strings.Join(shells, ", "), hints: completionHints(c.Args().First())}
			}
			_, err := fmt.Fprint(p.out, script)
			return err
		},
	}
}

func completionHints(word string) []string {
	if near := nearest(word, shells); near != "" {
		return []string{typed("completion", near)}
	}
	return []string{typed("completion", "bash")}
}

// complete prints what may stand in place of the last of the words, one a
// line; the words before it are taken as typed.
func (p *program) complete(words []string) error {
	current := ""
	if len(words) > 0 {
		current, words = words[len(words)-1], words[:len(words)-1]
	}
	for _, c := range p.candidates(words, current) {
		if c == filesWanted || strings.HasPrefix(c, current) {
			fmt.Fprintln(p.out, c)
		}
	}
	return nil
}

// candidates lists what may follow the words.
func (p *program) candidates(words []string, current string) []string {
	if slices.Contains(words, "--") {
		return []string{filesWanted}
	}
	known, leaf, rest := p.commands, (*cli.Command)(nil), words
	for len(rest) > 0 && len(known) > 0 {
		if leaf = lookUp(known, rest[0]); leaf == nil {
			return nil
		}
		known, rest = leaf.Subcommands, rest[1:]
	}
	switch {
	case leaf == nil && strings.HasPrefix(current, "-"):
		return flagWords(appFlags())
	case len(known) > 0 && !strings.HasPrefix(current, "-"):
		return commandNames(known)
	}
	if v := awaiting(leaf, rest); v != nil {
		return valueWords(v)
	}
	if strings.HasPrefix(current, "-") {
		return flagWords(leaf.Flags)
	}
	return argumentWords(leaf)
}

// awaiting is the flag that the last word leaves without its value, or nil.
func awaiting(c *cli.Command, words []string) *value {
	if len(words) == 0 || !isFlag(words[len(words)-1]) {
		return nil
	}
	return valueOf(c, strings.TrimLeft(words[len(words)-1], "-"))
}

func valueWords(v *value) []string {
	if v.file {
		return []string{filesWanted}
	}
	return v.words
}

// argumentWords is what a command's own arguments may be.
func argumentWords(c *cli.Command) []string {
	switch {
	case c.Name == "completion":
		return shells
	case strings.Contains(c.ArgsUsage, "SHEET"):
		return []string{filesWanted}
	}
	return nil
}

func commandNames(commands []*cli.Command) []string {
	var names []string
	for _, c := range commands {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	return names
}

func flagWords(flags []cli.Flag) []string {
	var words []string
	for _, f := range flags {
		for _, n := range f.Names() {
			words = append(words, dashed(n))
		}
	}
	return words
}
