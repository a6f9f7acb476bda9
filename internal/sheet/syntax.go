package sheet

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"holdbook/units"
)

// syntax reports a line that is no TOML, in words for its writer, and says
// where reading may go on: on the next line, or at the next header when the
// line was a header. Within a value of several lines it does not go on.
func (b *builder) syntax(err error) (next int, ok bool) {
	at := len(b.src.data)
	if perr := (*unstable.ParserError)(nil); errors.As(err, &perr) {
		at = b.offset(b.parser.Range(perr.Highlight))
	}
	at = min(max(at, b.base), len(b.src.data)-1)
	start := b.expressionStart(at)
	line := b.src.lineStart(at)
	b.fault(b.explain(err.Error(), at))
	if start < line {
		return 0, false
	}
	next = min(b.src.lineEnd(at)+1, len(b.src.data))
	if bytes.HasPrefix(bytes.TrimLeft(b.src.data[line:], " \t"), []byte("[")) {
		next = b.nextHeader(next)
	}
	return next, next < len(b.src.data)
}

// expressionStart is where the expression that the parser gave up on begins:
// on a line after everything it has read.
func (b *builder) expressionStart(at int) int {
	start := b.read
	if start > b.base {
		start = b.src.lineEnd(start)
	}
	for start < at && bytes.IndexByte([]byte(" \t\r\n#"), b.src.data[start]) >= 0 {
		if b.src.data[start] == '#' {
			start = b.src.lineEnd(start)
			continue
		}
		start++
	}
	return min(start, at)
}

// nextHeader is the start of the next line that begins with a bracket.
func (b *builder) nextHeader(at int) int {
	for at < len(b.src.data) {
		if bytes.HasPrefix(bytes.TrimLeft(b.src.data[at:b.src.lineEnd(at)], " \t"), []byte("[")) {
			return at
		}
		at = b.src.lineEnd(at) + 1
	}
	return len(b.src.data)
}

// explanation turns one complaint of the parser into a place and words.
type explanation struct {
	says    string // a piece of the parser's message
	explain func(l brokenLine) (at int, text string)
}

// brokenLine is the line that could not be read.
type brokenLine struct {
	start int    // offset of the line
	text  string // the line
	at    int    // offset of the fault in the line
	src   *source
}

// explain finds words for a complaint.
func (b *builder) explain(says string, at int) (int, string) {
	start := b.src.lineStart(at)
	l := brokenLine{start, string(b.src.data[start:b.src.lineEnd(at)]), at - start, b.src}
	l.at = min(l.at, len(l.text))
	for _, e := range explanations {
		if strings.Contains(says, e.says) {
			i, text := e.explain(l)
			return start + i, text
		}
	}
	return at, "this line cannot be read; write key = value"
}

// always explains by a fixed text at the place of the complaint.
func always(text string) func(brokenLine) (int, string) {
	return func(l brokenLine) (int, string) { return l.at, text }
}

var explanations = []explanation{
	{"unterminated", (brokenLine).openQuote},
	{"cannot have new lines", (brokenLine).openQuote},
	{"not terminated by", always(`the text in three quotes is not closed; end it with three quotes`)},
	{"too many quotes", always("too many quotes; end the text with three")},
	{"escape", always(`a backslash in quotes begins a special sign; write \\ for a backslash`)},
	{"need a character after", always(`a backslash in quotes begins a special sign; write \\ for a backslash`)},
	{"control characters", always("a control character stands here; take it out")},
	{"carriage return", always("a lone carriage return stands here; end lines with a line feed")},
	{"UTF-8", always("this is not UTF-8; save the file as UTF-8")},
	{"expected ']' to close", always(`the header is not closed; write it as [house], or as [[hold]] where there may be several`)},
	{"expected ']]' to close", always(`the header is not closed; write it as [[hold]]`)},
	{"array is incomplete", always(`the list is not closed; end it with ]`)},
	{"inline table is incomplete", always(`the table is not closed; end it with }`)},
	{"nested more than", always("lists and tables stand too deep inside one another; a sheet needs at most 6 levels")},
	{"unexpected comma", always("a comma too many; take it out")},
	{"expected value but got", always("a value is missing here; write it, or take the comma out")},
	{"not end of input", always("the value is missing; write one, or leave the key out")},
	{"reached end of input", always("the key is missing; write key = value")},
	{"expected '=' after key", (brokenLine).noEquals},
	{"invalid character at start of key", (brokenLine).badKey},
	{"expected newline but got", (brokenLine).afterEnd},
	{"after array value", (brokenLine).nextItem},
	{"after inline table key-value", (brokenLine).nextItem},
	{"at start of value", (brokenLine).afterValue},
	{"expected keyword", (brokenLine).afterValue},
	{"strings must be quoted", (brokenLine).afterValue},
	{"expected \"inf\"", (brokenLine).afterValue},
	{"expected \"nan\"", (brokenLine).afterValue},
	{"decimal point must be followed", (brokenLine).afterValue},
	{"leading zeroes", (brokenLine).afterValue},
	{"digit", (brokenLine).afterValue},
	{"number after sign", (brokenLine).afterValue},
	{"sign is not allowed", (brokenLine).afterValue},
}

// openQuote points at the quote that nothing closes.
func (l brokenLine) openQuote() (int, string) {
	line := l.text[:l.at]
	for _, q := range []string{`"`, `'`} {
		if strings.Count(line, q)%2 == 1 {
			return strings.LastIndex(line, q), "the quote that opens here is not closed on its line; write the second quote"
		}
	}
	return l.at, "a quote is not closed on its line; write the second quote"
}

func (l brokenLine) noEquals() (int, string) {
	before, _, ok := strings.Cut(l.text, "=")
	from := max(strings.LastIndexAny(l.text[:l.at], "{,")+1, 0)
	if ok && from == 0 {
		name := units.SanitizeTo(before, 60)
		return l.at, `a key has no spaces and no signs but - and _; write a name in quotes: "` + strings.Trim(name, `"' `) + `" = …`
	}
	if name, _, ok := strings.Cut(l.text[from:], "="); ok && from > 0 {
		return from + len(name) - len(strings.TrimLeft(name, " ")), `a name with a space or an accent stands in quotes; write ` + quoted(strings.Trim(name, `"' `)) + " = …"
	}
	return l.at, "= is missing after the key; write key = value, and # before a comment"
}

func (l brokenLine) badKey() (int, string) {
	rest := l.text[l.at:]
	switch {
	case strings.HasPrefix(rest, ";"), strings.HasPrefix(rest, "/"), strings.HasPrefix(rest, "*"):
		return l.at, "a comment begins with #; write # here"
	case strings.HasPrefix(rest, "}"), strings.HasPrefix(rest, "]"):
		return l.at, "a closing bracket too many, or a comma before it; take it out"
	case strings.HasPrefix(rest, "="):
		return l.at, "the key before = is missing; write key = value"
	}
	return l.at, `a key cannot begin with this sign; write a name with accents or signs in quotes, as in "café" = "4 Pa"`
}

// afterEnd explains what follows a whole line.
func (l brokenLine) afterEnd() (int, string) {
	if strings.HasPrefix(strings.TrimLeft(l.text, " \t"), "[") {
		return l.at, "this is too much after the header; write it on a line of its own, and # before a comment"
	}
	if before := strings.TrimRight(l.text[:l.at], " \t"); strings.HasSuffix(before, "]") || strings.HasSuffix(before, "}") {
		return l.at, "this is too much after the value; take it out, or write # before a comment"
	}
	return l.afterValue()
}

// nextItem explains what follows an item of a list or table without a comma.
func (l brokenLine) nextItem() (int, string) {
	_, value := l.value()
	switch {
	case l.at < len(l.text) && strings.ContainsAny(l.text[l.at:l.at+1], `[{"'`):
		return l.at, "a comma is missing before this; write one, or close the list or table before it"
	case !strings.ContainsAny(l.text[:l.at], "[{") && strings.Contains(value, "="):
		return l.at, "a list or table further up is not closed; end it with ] or }, or write the comma that is missing"
	case strings.HasPrefix(value, `"`), strings.HasPrefix(value, "'"), strings.HasPrefix(value, "{"), strings.HasPrefix(value, "["):
		return l.at, "a comma is missing before this; write one"
	}
	return l.afterValue()
}

// afterValue explains a value that should have stood in quotes.
func (l brokenLine) afterValue() (int, string) {
	from, value := l.value()
	shownValue := units.SanitizeTo(value, 60)
	switch {
	case value == "" || value[0] == '#':
		return from, "the value is missing; write one, or leave the key out"
	case value[0] == '=':
		return from, "an equals sign too many; take it out"
	case strings.ContainsAny(value[:min(3, len(value))], "“”„‘’"):
		return from, `curly quotes; write straight ones: "` + strings.Trim(shownValue, `“”„‘’ "'`) + `"`
	case value[0] == '"' || value[0] == '\'':
		return l.at, "this is too much after the value; end the line after the closing quote, and put # before a comment"
	case value[0] == '[' || value[0] == '{':
		return l.at, "something is wrong inside this list or table; separate its items by commas and close it on its line"
	case strings.ContainsAny(value[:1], "+-.0123456789"):
		return from, unquotedQuantity(shownValue)
	}
	return from, "text stands without quotes; write \"" + strings.Trim(shownValue, `"'`) + `"`
}

// unquotedQuantity explains a value that begins like a number.
func unquotedQuantity(value string) string {
	number, unit := splitNumber(value)
	comma := strings.Count(number, ",") == 1 && !grouped.MatchString(number)
	point := strings.Replace(number, ",", ".", 1)
	v, err := strconv.ParseFloat(number, 64)
	switch {
	case unit == "" && comma:
		return "a decimal comma; write " + point + ", in quotes and with its unit"
	case unit == "" && err == nil:
		return quoted(value) + " is no number of TOML; write " + plain(v) + ", and a quantity in quotes with its unit"
	case unit == "" || unit[0] == '_':
		return quoted(value) + " is no number; write it with a decimal point, and a quantity in quotes with its unit"
	case comma:
		return `a quantity stands without quotes and with a decimal comma; write "` + point + " " + unit + `"`
	}
	return `a quantity stands without quotes; write "` + number + " " + unit + `"`
}

// grouped is a number with its thousands set apart by commas.
var grouped = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}(,[0-9]{3})+$`)

// value is the value that stands around the fault, up to the next sign that
// ends one, and where it begins in the line.
func (l brokenLine) value() (int, string) {
	from := valueBefore(l.text, l.at)
	for from < len(l.text) && (l.text[from] == ' ' || l.text[from] == '\t') {
		from++
	}
	rest := l.text[from:]
	end := len(rest)
	enders := "#}]"
	if strings.ContainsAny(l.text[:from], "{[") {
		enders = "#}],"
	}
	if i := strings.IndexAny(rest, enders); i > 0 && rest[0] != '[' && rest[0] != '{' {
		end = i
	}
	if i := strings.IndexByte(rest[:end], ','); i >= 0 && enders == "#}]," {
		end = i
	}
	return from, strings.TrimSpace(rest[:end])
}

// valueBefore is where the value around an offset begins: after the last
// equals sign, bracket or comma before it that stands outside quotes. A comma
// counts inside brackets only.
func valueBefore(line string, at int) int {
	from, quote, depth := 0, byte(0), 0
	for i := 0; i < at && i < len(line); i++ {
		c := line[i]
		switch {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '[' || c == '{':
			depth++
			from = i + 1
		case c == ']' || c == '}':
			depth--
		case c == '=', c == ',' && depth > 0:
			from = i + 1
		}
	}
	return from
}
