package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
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
	return encodeJSON(b, f, "  ")
}

// encode writes a result of any kind in the style of the results object.
func encode(w io.Writer, result any) error {
	var b bytes.Buffer
	if err := encodeJSON(&b, result, "  "); err != nil {
		return err
	}
	return flush(w, b.Bytes())
}

// encodeJSON writes a result indented, or on one line for no indent: no HTML escapes,
// invisible characters escaped, a line break at the end. NaN and infinity are an error.
func encodeJSON(b *bytes.Buffer, result any, indent string) error {
	var raw bytes.Buffer
	e := json.NewEncoder(&raw)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(result); err != nil {
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
