//go:build !js

package report

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// This file is the only one that knows the table library, which sets cells side by
// side, to the left or the right of their columns, and writes Markdown. What it does not
// know is done before (layout.go): it lines no numbers up on their decimal points, and
// where it breaks lines it does so at no-break spaces too and lets a long word push a
// line past the edge of the terminal. It gets strings, escaped and broken into lines, in
// rows of one length; its upper-case headers, trimming and wrapping are off. It draws
// into memory, because its Render reports no error when writes fail. In a browser nobody
// reads text or Markdown, and a tenth of the program is saved by leaving it out.

// drawText draws a table without borders, header lines included in rows; right tells
// the columns to set right.
func drawText(rows [][]string, right []bool) (string, error) {
	blueprint := renderer.NewBlueprint(tw.Rendition{
		Borders: tw.BorderNone, Symbols: tw.NewSymbols(tw.StyleASCII),
		Settings: tw.Settings{Separators: tw.SeparatorsNone, Lines: tw.LinesNone}})
	return draw(nil, rows, right,
		tablewriter.WithRenderer(blueprint),
		tablewriter.WithPadding(tw.Padding{Right: strings.Repeat(" ", gap), Overwrite: true}))
}

// drawMarkdown draws a Markdown table.
func drawMarkdown(head []string, rows [][]string, right []bool) (string, error) {
	return draw(head, rows, right, tablewriter.WithRenderer(renderer.NewMarkdown()))
}

func draw(head []string, rows [][]string, right []bool, opts ...tablewriter.Option) (string, error) {
	columns := len(head)
	if head == nil && len(rows) > 0 {
		columns = len(rows[0])
	}
	align := make(tw.Alignment, columns)
	for i := range align {
		align[i] = tw.AlignLeft
		if i < len(right) && right[i] {
			align[i] = tw.AlignRight
		}
	}
	opts = append(opts,
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithTrimSpace(tw.Off),
		tablewriter.WithEastAsian(tw.Off), tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone), tablewriter.WithAlignment(align))
	var buf bytes.Buffer
	t := tablewriter.NewTable(&buf, opts...)
	if head != nil {
		t.Header(head)
	}
	for i, r := range rows {
		if len(r) != columns {
			return "", fmt.Errorf("row %d of a table has %d cells, not %d", i+1, len(r), columns)
		}
		for c := range r {
			r[c] = strings.ReplaceAll(r[c], noBreak, " ")
		}
		if err := t.Append(r); err != nil {
			return "", fmt.Errorf("table: %w", err)
		}
	}
	if err := t.Render(); err != nil {
		return "", fmt.Errorf("table: %w", err)
	}
	return trimLines(buf.String()), nil
}

// trimLines takes the padding off the ends of lines.
func trimLines(s string) string {
	var b strings.Builder
	for line := range strings.Lines(s) {
		b.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
	return b.String()
}
