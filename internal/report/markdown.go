package report

import (
	"bytes"
	"strings"

	"holdbook/internal/survey"
)

func writeText(b *bytes.Buffer, f *survey.Findings, o Options) error {
	f, err := printed(f)
	if err != nil {
		return err
	}
	return compose(f, o).text(b, o)
}

func writeMarkdown(b *bytes.Buffer, f *survey.Findings, o Options) error {
	f, err := printed(f)
	if err != nil {
		return err
	}
	o.full = true
	return compose(f, o).markdown(b)
}

// escapeMarkdown makes a string plain text inside a line of Markdown or a cell
// of a table: no bar, tag, emphasis, link, automatic link, entity or formula
// comes of it.
func escapeMarkdown(s string) string {
	s = oneLine(s)
	var b strings.Builder
	for i, r := range s {
		switch {
		case strings.ContainsRune("\\`*_[]<>|~&@$", r),
			r == ':' && strings.HasPrefix(s[i:], "://"),
			r == '.' && i >= 3 && strings.EqualFold(s[i-3:i], "www"),
			r == '!' && strings.HasPrefix(s[i:], "!["):
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// escapeBlock is escapeMarkdown for a line of its own, which must not become a
// heading, a list or a rule either.
func escapeBlock(s string) string {
	e := escapeMarkdown(s)
	digits := len(e) - len(strings.TrimLeft(e, "0123456789"))
	switch {
	case e == "":
	case strings.ContainsRune("#+-=", rune(e[0])):
		return "\\" + e
	case digits > 0 && digits < len(e) && (e[digits] == '.' || e[digits] == ')'):
		return e[:digits] + "\\" + e[digits:]
	}
	return e
}
