package report

import "errors"

// errNoTables is what text and Markdown come to in a browser; a page takes the parts.
var errNoTables = errors.New("tables are not set as text in a browser; ask for the parts of the report")

func drawText([][]string, []bool) (string, error) { return "", errNoTables }

func drawMarkdown([]string, [][]string, []bool) (string, error) { return "", errNoTables }
