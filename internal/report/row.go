package report

import (
	"bytes"
	"encoding/csv"

	"holdbook/internal/survey"
)

// resultsRow is the results of a sheet, those of one of many with what tells which.
type resultsRow struct {
	Sheet string `json:"sheet,omitempty" jsonschema_description:"batch only: the path of the sheet"`
	*survey.Findings
	MadeOf string `json:"made_of,omitempty" jsonschema_description:"batch only: another one where the sheet's text, a log it reads, the units or the kind of intervals asked for have changed"`
}

// JSONRow is what came of one sheet of many as one line of JSON Lines: the
// results object with "sheet" added, or with nil findings the sheet and its
// errors, and what tells whether it would be made of the same again.
func JSONRow(sheet string, f *survey.Findings, errs []string, madeOf string) ([]byte, error) {
	var v any = struct {
		Sheet  string   `json:"sheet"`
		Error  []string `json:"error"`
		MadeOf string   `json:"made_of,omitempty"`
	}{sheet, errs, madeOf}
	if f != nil {
		f, err := View(f)
		if err != nil {
			return nil, err
		}
		v = resultsRow{sheet, f, madeOf}
	}
	var b bytes.Buffer
	if err := encodeJSON(&b, v, ""); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// DocumentRow says in a line of JSON Lines which file one sheet of many was written to.
func DocumentRow(sheet, path string) ([]byte, error) {
	var b bytes.Buffer
	err := encodeJSON(&b, struct {
		Sheet    string `json:"sheet"`
		Document string `json:"document"`
	}{sheet, path}, "")
	return b.Bytes(), err
}

// CSVHead is the first line of a table of many sheets.
func CSVHead() []byte {
	return csvLines([][]string{append([]string{"sheet"}, csvColumns()...)})
}

// CSVRows are the lines of one sheet of many: those of its report with the sheet
// before them, or with nil findings a line of the quantity "error" for each fault.
func CSVRows(sheet string, f *survey.Findings, errs []string) ([]byte, error) {
	var lines [][]string
	name := harmless(oneLine(sheet))
	if f == nil {
		for _, e := range errs {
			lines = append(lines, []string{name, "error", harmless(oneLine(e)), "", "", "", ""})
		}
		return csvLines(lines), nil
	}
	f, err := printed(f)
	if err != nil {
		return nil, err
	}
	for _, e := range entries(f) {
		lines = append(lines, append([]string{name}, e.cells()...))
	}
	if len(lines) == 0 { // so that no sheet is missing from the table
		lines = append(lines, []string{name, "", "", "", "", "", ""})
	}
	return csvLines(lines), nil
}

// csvLines writes to memory, which does not fail.
func csvLines(lines [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(lines)
	return b.Bytes()
}
