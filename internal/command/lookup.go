package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
	"holdbook/ductleak"
	"holdbook/internal/report"
	"holdbook/internal/sheet"
)

func keysCommand(p *program) *cli.Command {
	a := newScreenFlags()
	return &cli.Command{
		Name:      "keys",
		Category:  groupSheet,
		Usage:     "every key of a sheet, or those that a word finds",
		ArgsUsage: "[WORD]",
		Description: `Lists the keys of the sheet with type, an example and what each means. WORD is
a table, a key, or any word of the meaning.`,
		UsageText: `holdbook keys hold
holdbook keys baseline
holdbook keys temperature --format json`,
		Flags: a.flags(formOfScreen),
		Action: func(c *cli.Context) error {
			all := sheet.Keys()
			found, err := matching(c, "key", all, func(k sheet.Key) []string { return []string{k.Path, k.Help, k.Type()} })
			if err != nil {
				return err
			}
			if table := within(all, lookedFor(c)); len(table) > 0 {
				found = table
			}
			return writeList(p, a, found, report.WriteKeys)
		},
	}
}

// within are the keys of the table of that name.
func within(all []sheet.Key, table string) (list []sheet.Key) {
	for _, k := range all {
		if strings.HasPrefix(k.Path, table+".") {
			list = append(list, k)
		}
	}
	return list
}

func limitsCommand(p *program) *cli.Command {
	a := newScreenFlags()
	return &cli.Command{
		Name:      "limits",
		Category:  groupSheet,
		Usage:     "every published limit that a sheet can name, or those that a word finds",
		ArgsUsage: "[WORD]",
		Description: `Lists the limits by what they limit, with document and edition. The one of
garages is applied without being asked for; which other is in force, the local
code says: name it in the sheet.`,
		UsageText: `holdbook limits
holdbook limits garage
holdbook limits "air changes" --units si`,
		Flags: a.flags(formOfScreen),
		Action: func(c *cli.Context) error {
			found, err := matching(c, "limit", ductleak.Limits(), func(l ductleak.Limit) []string {
				return []string{l.ID, l.Document, l.Edition, strings.ReplaceAll(string(l.Quantity), "_", " "), l.Condition, l.Text(a.system())}
			})
			if err != nil {
				return err
			}
			return writeList(p, a, found, func(w io.Writer, list []ductleak.Limit, f report.Format, o report.Options) error {
				return report.WriteLimits(w, list, a.system(), f, o)
			})
		},
	}
}

// lookedFor is the word a command looks for, without the brackets of a table.
func lookedFor(c *cli.Context) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(c.Args().First(), func(r rune) bool { return strings.ContainsRune("[] ", r) }), " "))
}

// matching are the items in whose texts the command's word stands; all without a word.
func matching[T any](c *cli.Context, what string, all []T, texts func(T) []string) ([]T, error) {
	if c.NArg() > 1 {
		return nil, &usageError{text: c.Command.Name + " takes one word", hints: []string{typed(c.Command.Name, strings.Join(c.Args().Slice(), " "))}}
	}
	word := lookedFor(c)
	found := slices.DeleteFunc(slices.Clone(all), func(one T) bool {
		return !slices.ContainsFunc(texts(one), func(text string) bool { return strings.Contains(strings.ToLower(text), word) })
	})
	if len(found) == 0 {
		return nil, &usageError{text: fmt.Sprintf("no %s has the word %s", what, quote(c.Args().First())), hints: []string{typed(c.Command.Name)}}
	}
	return found, nil
}

// writeList writes a list that was looked up.
func writeList[T any](p *program, a *outputFlags, list []T, write func(io.Writer, []T, report.Format, report.Options) error) error {
	format, err := formatOf(a.format.text)
	if err != nil {
		return err
	}
	return writeScreen(p, a, format, "looking up", func() ([]T, error) { return list, nil }, write)
}
