package units

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSanitize(t *testing.T) {
	for text, want := range map[string]string{
		"attic":                                "attic",
		"  knee \t wall\nnorth ":               "knee wall north",
		"Küche · 台所 ½":                         "Küche · 台所 ½",
		"\x1b[31mred\x1b[0m":                   "red",
		"\x1b]0;title\aattic":                  "attic",
		"\x1b]8;;x\x1b\\link\x1b]8;;\x1b\\":    "link",
		"\x1b]never ended":                     "never ended",
		"\x1b[31":                              "",
		"\x1bc":                                "c",
		"\u009b31m":                            "31m",
		"a\u202eb\u2066c\u200bd\ufeff":         "abcd",
		"bad \xff byte":                        "bad � byte",
		"a\x00b\x7fc":                          "abc",
		strings.Repeat("x", 48):                strings.Repeat("x", 48),
		strings.Repeat("ü", 49):                strings.Repeat("ü", 47) + "…",
		strings.Repeat("x", 46) + " " + "long": strings.Repeat("x", 46) + "…",
		"":                                     "",
	} {
		assert.Equalf(t, want, Sanitize(text), "%q", text)
	}
	assert.Equal(t, "…", SanitizeTo("long", 0))
}
