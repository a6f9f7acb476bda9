package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"holdbook/internal/survey"
)

// writeJSON writes the results object. Numbers carry the shortest text that
// reads back as the same float64. Names are as the sheet has them; characters
// that could act on a terminal are written as escapes.
func writeJSON(b *bytes.Buffer, f *survey.Findings, o Options) error {
	f, err := View(f)
	if err != nil {
		return err
	}
	if !o.Working {
		f.Working = nil
	}
	return EncodeJSON(b, f)
}

// EncodeJSON writes any value of results in the style of the results object:
// indented, no HTML escapes, invisible characters escaped, a line break at the
// end. NaN and infinity are an error.
func EncodeJSON(b *bytes.Buffer, v any) error {
	var raw bytes.Buffer
	e := json.NewEncoder(&raw)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	escapeInvisible(b, raw.Bytes())
	return nil
}

// escapeInvisible copies JSON, writing characters that are not seen, or that act
// on a terminal, as escapes.
func escapeInvisible(b *bytes.Buffer, raw []byte) {
	for len(raw) > 0 {
		r, n := utf8.DecodeRune(raw)
		switch {
		case r < utf8.RuneSelf && r != 0x7f || unicode.IsPrint(r):
			b.Write(raw[:n])
		case r <= 0xffff:
			fmt.Fprintf(b, `\u%04x`, r)
		default:
			hi, lo := utf16.EncodeRune(r)
			fmt.Fprintf(b, `\u%04x\u%04x`, hi, lo)
		}
		raw = raw[n:]
	}
}
